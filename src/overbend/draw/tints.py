"""Colours of woods for views in space: a likeness of planed, unfinished faces, no more."""

from __future__ import annotations

from collections.abc import Mapping

__all__ = ["TINTS", "wood_tint"]

TINTS: Mapping[str, tuple[int, int, int]] = {
    "ash": (221, 200, 164),
    "oak": (203, 169, 121),
    "red-oak": (209, 165, 125),
    "maple": (232, 212, 176),
    "walnut": (110, 78, 56),
    "cherry": (188, 126, 84),
    "beech": (217, 176, 134),
    "birch": (226, 202, 164),
    "hickory": (208, 172, 128),
    "elm": (196, 158, 115),
    "pine": (231, 203, 148),
    "spruce": (234, 214, 172),
    "mahogany": (158, 94, 64),
    "poplar": (214, 203, 158),
}
"""Colour of each wood by a word in its species' name; red, green, blue of sRGB, 0 to 255."""

_OTHER = (212, 182, 140)


def wood_tint(species: str) -> tuple[float, float, float]:
    """Colour of a species in linear light, each part 0 to 1, as glTF wants it.

    Parameters
    ----------
    species : id of the species; the longest matching word counts.

    Examples
    --------
    >>> wood_tint("black-walnut") < wood_tint("sugar-maple")
    True
    """
    fit = [word for word in TINTS if word in species]
    red, green, blue = TINTS[max(fit, key=len)] if fit else _OTHER
    return _linear(red), _linear(green), _linear(blue)


def _linear(value: int) -> float:
    """Linear light of an sRGB value (IEC 61966-2-1)."""
    c = value / 255.0
    return float(c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4)
