"""Sizes of joints by rule of thumb: common practice, no source. Every one may be overridden."""

from __future__ import annotations

from collections.abc import Sequence

from overbend.frame.joint_records import System

__all__ = [
    "BEHIND",
    "DOWELS",
    "SCREWS",
    "TOOLS",
    "dowel_depth",
    "dowel_diameter",
    "end_rule",
    "peg_places",
    "round_diameter",
    "screw_diameter",
    "tenon_length",
    "tenon_thickness",
    "tenon_width",
    "usual",
    "wall_rule",
]

TOOLS: dict[System, tuple[float, ...]] = {
    "mm": (5.0, 6.0, 8.0, 10.0, 12.0, 14.0, 16.0, 18.0, 20.0, 22.0, 25.0, 30.0),
    "in": tuple(25.4 * n / 16 for n in (3, 4, 5, 6, 8, 10, 11, 12, 14, 16, 20)),
}
"""Usual widths of mortise chisels and augers [mm]."""
DOWELS: dict[System, tuple[float, ...]] = {
    "mm": (6.0, 8.0, 10.0, 12.0, 16.0),
    "in": tuple(25.4 * n / 16 for n in (4, 5, 6, 8, 10)),
}
"""Usual diameters of dowels [mm]."""
SCREWS: dict[System, tuple[float, ...]] = {
    "mm": (3.0, 3.5, 4.0, 4.5, 5.0, 6.0),
    "in": (3.5, 4.2, 4.8, 5.5),
}
"""Usual diameters of wood screws [mm]; in inch shops numbers 6, 8, 10 and 12."""

BEHIND = 5.0  # mm left at the bottom of a blind mortise at least
_WIDEST = 5.0  # a tenon is at most so many times as wide as thick
_SHOULDER = 0.1  # of the rail's width, above and below the tenon
_LEAST_SHOULDER = 4.0  # mm
_DEEP = 2.0 / 3.0  # of the part a tenon goes into


def usual(value: float, sizes: Sequence[float]) -> float:
    """Greatest usual size that is not above a value by more than a twentieth.

    Examples
    --------
    >>> usual(11.9, TOOLS["mm"]), usual(3.0, TOOLS["mm"])
    (12.0, 5.0)
    """
    fit = [size for size in sizes if size <= 1.05 * value]
    return fit[-1] if fit else sizes[0]


def tenon_thickness(rail: float, into: float, system: System) -> float:
    """A third of the thinner of rail and mortised part, to the nearest usual chisel below.

    Parameters
    ----------
    rail, into : thickness of the part with the tenon and of the part it goes into [mm].
    system : which sizes are usual.

    Examples
    --------
    >>> tenon_thickness(24.0, 40.0, "mm")
    8.0
    """
    return usual(min(rail, into) / 3.0, TOOLS[system])


def tenon_width(rail: float, thickness: float) -> float:
    """Rail's width less a shoulder of a tenth on either edge, at most five thicknesses.

    Examples
    --------
    >>> tenon_width(60.0, 10.0), tenon_width(90.0, 10.0)
    (48.0, 50.0)
    """
    shoulder = min(max(_SHOULDER * rail, _LEAST_SHOULDER), 0.25 * rail)
    return min(rail - 2.0 * shoulder, _WIDEST * thickness)


def tenon_length(deep: float) -> float:
    """Two thirds of the way through the part it goes into, less where under 5 mm would be left.

    Parameters
    ----------
    deep : way through that part along the tenon [mm].

    Examples
    --------
    >>> tenon_length(36.0), round(tenon_length(12.0), 3)
    (24.0, 7.0)
    """
    return max(min(_DEEP * deep, deep - BEHIND), 0.3 * deep)


def round_diameter(rail: float, into: float, system: System) -> float:
    """Six tenths of the rail's thinner side, at most half of the part it goes into.

    Examples
    --------
    >>> round_diameter(28.0, 36.0, "mm")
    16.0
    """
    return usual(min(0.6 * rail, 0.5 * into), TOOLS[system])


def dowel_diameter(thinner: float, system: System) -> float:
    """Four tenths of the thinner part.

    Examples
    --------
    >>> dowel_diameter(22.0, "mm")
    8.0
    """
    return usual(0.4 * thinner, DOWELS[system])


def dowel_depth(diameter: float, deep: float) -> float:
    """Three diameters into each part, less where under 5 mm would be left behind it.

    Examples
    --------
    >>> dowel_depth(8.0, 60.0), dowel_depth(8.0, 17.5)
    (24.0, 12.5)
    """
    return max(min(3.0 * diameter, deep - BEHIND), 0.3 * deep)


def screw_diameter(thinner: float, system: System) -> float:
    """A fifth of the thinner part.

    Examples
    --------
    >>> screw_diameter(20.0, "mm")
    4.0
    """
    return usual(0.2 * thinner, SCREWS[system])


def wall_rule(thickness: float, wide: bool) -> float:
    """Least wood beside a mortise: half its thickness, a third for a round one, 5 mm at least.

    Examples
    --------
    >>> wall_rule(12.0, True), wall_rule(12.0, False)
    (6.0, 5.0)
    """
    return max(thickness / 2.0 if wide else thickness / 3.0, 5.0)


def end_rule(thickness: float) -> float:
    """Least wood between a mortise and the part's end: its thickness, 10 mm at least.

    Examples
    --------
    >>> end_rule(8.0)
    10.0
    """
    return max(thickness, 10.0)


def peg_places(count: int, room: float, spacing: float | None) -> tuple[float, ...]:
    """Where dowels or screws stand along a row, from its middle [mm].

    Parameters
    ----------
    count : how many.
    room : length of the face they stand in [mm].
    spacing : between the outermost; None: half the room for two, else (n - 1)/n of it.

    Examples
    --------
    >>> peg_places(2, 60.0, None), peg_places(1, 60.0, None)
    ((-15.0, 15.0), (0.0,))
    """
    if count <= 1:
        return (0.0,) * count
    span = spacing if spacing is not None else room * (count - 1) / count
    return tuple(span * (i / (count - 1) - 0.5) for i in range(count))
