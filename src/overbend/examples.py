"""Where the example projects lie, without reading any of them."""

from __future__ import annotations

from pathlib import Path

__all__ = ["example_files"]

_HERE = Path(__file__).parent
_PLACES = (_HERE / "project" / "examples", _HERE.parents[1] / "examples")


def example_files() -> dict[str, Path]:
    """Example files by name: beside the installed package, or in a checkout.

    Examples
    --------
    >>> "low-stool" in example_files()
    True
    """
    place = next((place for place in _PLACES if place.is_dir()), None)
    return {file.stem: file for file in sorted(place.glob("*.toml"))} if place else {}
