"""The command. It does what the page does, through the same facade."""

from overbend.cli.main import app

__all__ = ["app"]
