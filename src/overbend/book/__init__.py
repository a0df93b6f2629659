"""The folder taken to the bench."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from overbend.book.report import check_report
    from overbend.book.write import Written, write_book

__all__ = ["Written", "check_report", "write_book"]

_PLACES = {"Written": "write", "check_report": "report", "write_book": "write"}


def __getattr__(name: str) -> object:
    """Import what is asked for when it is asked for: the page asks for the folder's mark only."""
    if name not in _PLACES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module

    found: object = getattr(import_module(f"{__name__}.{_PLACES[name]}"), name)
    return found
