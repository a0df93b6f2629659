"""Entry point of the command."""

from __future__ import annotations


def main() -> None:
    """Run the command; the faces are imported only here."""
    from overbend.cli import app

    app()


if __name__ == "__main__":
    main()
