"""Shrinkage and swelling across the grain: a strip, a section, a tenon.

Between two moistures below fibre saturation wood moves in proportion to the difference;
above it, not at all. How the rings lie in a piece decides how much: along the rings
(tangential) about twice as much as across them (radial).

References
----------
Wood Handbook, FPL-GTR-282 (2021), equation 4-9, equation 4-12 and Tables 4-3 and 4-4.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

from overbend.errors import WoodError
from overbend.wood.estimates import typical_part
from overbend.wood.formulas import handbook
from overbend.wood.properties import basic_gravity
from overbend.wood.species import FACTS, Species
from overbend.wood.thermal import FIBRE_SATURATION
from overbend.wood.values import Value, derived

__all__ = [
    "Direction",
    "Sawn",
    "SectionChange",
    "dimension_change",
    "movement",
    "section_change",
    "shrinkage",
    "shrinkage_to",
    "sides",
    "size_at",
]

Direction = Literal["radial", "tangential", "unknown"]
Sawn = Literal["flat", "quarter", "unknown"]

_DIRECTIONS: dict[str, tuple[Direction, Direction]] = {
    "flat": ("tangential", "radial"),
    "quarter": ("radial", "tangential"),
    "unknown": ("unknown", "unknown"),
}


def shrinkage_to(whole: float, moisture: float, saturation: float = FIBRE_SATURATION) -> float:
    """Return shrinkage from green to a moisture [%].

    Sx = S0 (1 - x / 30), zero at fibre saturation and above.

    Parameters
    ----------
    whole : shrinkage from green to oven-dry, S0 [%].
    moisture : x [%], >= 0.
    saturation : moisture at which shrinkage begins [%].

    Raises
    ------
    WoodError
        A moisture below zero.

    Examples
    --------
    >>> round(shrinkage_to(7.8, 12.0), 2)
    4.68

    References
    ----------
    Wood Handbook, FPL-GTR-282 (2021), equation 4-9.
    """
    if not moisture >= 0:
        raise WoodError(f"a moisture of {moisture:g} %", allowed="0 % and up")
    return whole * max(0.0, 1 - moisture / saturation)


def size_at(size: float, whole: float, from_moisture: float, to_moisture: float) -> float:
    """Return a size across the grain at another moisture, in the unit of the size.

    Parameters
    ----------
    size : at from_moisture.
    whole : shrinkage from green to oven-dry in that direction [%].
    from_moisture, to_moisture : [%], >= 0.

    Examples
    --------
    A 100 mm board, 8 % tangential, from 12 to 6 %:

    >>> round(size_at(100.0, 8.0, 12.0, 6.0), 3)
    98.319
    """
    green = 1 - shrinkage_to(whole, from_moisture) / 100
    return size * (1 - shrinkage_to(whole, to_moisture) / 100) / green


def shrinkage(species: Species, direction: Direction | Literal["volumetric"]) -> Value:
    """Return shrinkage of a wood from green to oven-dry [%].

    With the rings unknown: the mean of radial and tangential, with both as its range. What
    the table does not give is assumed: volumetric 26.5 times basic specific gravity, or
    radial and tangential together; a direction as the usual part of volumetric.

    Parameters
    ----------
    species : the wood.
    direction : ``radial`` (across the rings), ``tangential`` (along them), ``unknown`` or
        ``volumetric``.

    Raises
    ------
    WoodError
        The direction is none of these.

    Examples
    --------
    >>> from overbend.wood.species import find_species
    >>> print(shrinkage(find_species("white ash"), "unknown"))
    6.35 % (4.9 to 7.8)
    """
    if direction not in (*get_args(Direction), "volumetric"):
        raise WoodError(f"no direction called {direction!r}", allowed="radial, tangential, unknown")
    if direction == "unknown":
        ends = shrinkage(species, "radial"), shrinkage(species, "tangential")
        low, high = sorted(end.value for end in ends)
        how, name = "mean of radial and tangential, rings unknown", "shrinkage across the grain"
        return derived((low + high) / 2, "%", how, ends, name, low=low, high=high)
    return species.fact(direction) or _assumed(species, direction)


def _assumed(species: Species, direction: str) -> Value:
    name = FACTS[direction].label
    if direction == "volumetric":
        sides = species.fact("radial"), species.fact("tangential")
        if sides[0] and sides[1]:
            total = sides[0].value + sides[1].value
            return derived(total, "%", "radial and tangential together", (sides[0], sides[1]), name)
        solid = basic_gravity(species)
        return derived(26.5 * solid.value, "%", handbook("equation 4-12"), (solid,), name)
    whole = shrinkage(species, "volumetric")
    part = typical_part(species.kind, direction, "volumetric")
    low, high = (whole.value * (end or part.value) for end in (part.low, part.high))
    how = "usual part of volumetric shrinkage"
    value = whole.value * part.value
    return derived(value, "%", how, (whole, part), name, low=low, high=high)


def movement(
    species: Species, direction: Direction, from_moisture: float, to_moisture: float
) -> Value:
    """Return the strain of a wood across the grain between two moistures.

    Parameters
    ----------
    species : the wood.
    direction : ``radial``, ``tangential`` or ``unknown``.
    from_moisture, to_moisture : [%], >= 0.

    Returns
    -------
    Change of size over size at from_moisture; positive swells. With the rings unknown its
    range spans both directions.

    Examples
    --------
    >>> from overbend.wood.species import find_species
    >>> print(movement(find_species("white ash"), "tangential", 6.0, 11.0))
    0.013865
    """
    whole = shrinkage(species, direction)
    ends = whole.value, whole.low, whole.high
    strains = [
        None if end is None else size_at(1.0, end, from_moisture, to_moisture) - 1 for end in ends
    ]
    spread = [s for s in strains[1:] if s is not None]
    low, high = (min(spread), max(spread)) if spread else (None, None)
    how = handbook("equation 4-9") + f", from {from_moisture:g} to {to_moisture:g} %"
    name = f"movement, {direction}" if direction != "unknown" else "movement across the grain"
    return derived(strains[0] or 0.0, "", how, (whole,), name, low=low, high=high)


def dimension_change(
    species: Species,
    size: float,
    direction: Direction,
    from_moisture: float,
    to_moisture: float,
) -> Value:
    """Return how much a size across the grain changes [mm].

    Parameters
    ----------
    species : the wood.
    size : at from_moisture [mm], > 0.
    direction : ``radial``, ``tangential`` or ``unknown``.
    from_moisture, to_moisture : [%], >= 0.

    Returns
    -------
    Change [mm]; positive swells.

    Raises
    ------
    WoodError
        A size of zero or less, or a moisture below zero.

    Examples
    --------
    >>> from overbend.wood.species import find_species
    >>> print(dimension_change(find_species("white oak"), 60.0, "radial", 8.0, 12.0))
    0.46719 mm
    """
    if not size > 0:
        raise WoodError(f"a size of {size:g} mm", allowed="above 0 mm")
    strain = movement(species, direction, from_moisture, to_moisture)
    low, high = (None if end is None else size * end for end in (strain.low, strain.high))
    how = f"movement of {size:g} mm"
    return derived(size * strain.value, "mm", how, (strain,), "change", low=low, high=high)


def sides(sawn: Sawn) -> tuple[Direction, Direction]:
    """Return how the wide and the narrow side of a board lie to the rings.

    Parameters
    ----------
    sawn : ``flat`` (rings along the wide side), ``quarter`` or ``unknown``.

    Raises
    ------
    WoodError
        The way of sawing is none of these.

    Examples
    --------
    >>> sides("flat")
    ('tangential', 'radial')
    """
    if sawn not in _DIRECTIONS:
        raise WoodError(f"a board sawn {sawn!r}", allowed="flat, quarter or unknown")
    return _DIRECTIONS[sawn]


@dataclass(frozen=True)
class SectionChange:
    """How a section, or a tenon, moves between two moistures.

    Parameters
    ----------
    width : change of the wide side [mm], positive swells.
    thickness : change of the narrow side [mm], positive swells.
    """

    width: Value
    thickness: Value


def section_change(
    species: Species,
    width: float,
    thickness: float,
    sawn: Sawn,
    from_moisture: float,
    to_moisture: float,
) -> SectionChange:
    """Return how the two sides of a section or a tenon change.

    In a joint the two sides of a tenon meet wood that hardly moves along its own grain: the
    change of width strains the glue, that of thickness opens or tightens the cheeks.

    Parameters
    ----------
    species : the wood.
    width, thickness : at from_moisture [mm], > 0.
    sawn : ``flat`` (rings along the wide side: it moves tangentially), ``quarter`` (rings
        along the narrow side) or ``unknown``.
    from_moisture, to_moisture : [%], >= 0.

    Raises
    ------
    WoodError
        An unknown way of sawing, a size of zero or less, or a moisture below zero.

    Examples
    --------
    A flat-sawn white oak tenon, 45 x 11 mm, from the shop at 8 % to a summer at 11 %:

    >>> from overbend.wood.species import find_species
    >>> moved = section_change(find_species("white oak"), 45.0, 11.0, "flat", 8.0, 11.0)
    >>> print(moved.width, "|", moved.thickness)
    0.51192 mm | 0.064238 mm
    """
    wide, narrow = sides(sawn)
    return SectionChange(
        dimension_change(species, width, wide, from_moisture, to_moisture),
        dimension_change(species, thickness, narrow, from_moisture, to_moisture),
    )
