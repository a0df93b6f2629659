"""The page: the main face of the program, served from this machine to its own browser."""

from overbend.web.serve import serve

__all__ = ["serve"]
