"""How the angle of a bend opens and closes with the seasons.

Wood moves across the grain much more than along it. A curved part that dries therefore gets
thinner while its length stays, and its angle closes; in damp air it opens. With uniform
strains the part stays an arc and is free of stress: the radius goes with the thickness, the
arc length with the grain, so angle' = angle (1 + eps_length) / (1 + eps_thickness), and the
change is -(eps_thickness - eps_length) per unit of angle to first order.

Sign: a positive change is a bigger included angle, a tighter part.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import product

from overbend.errors import LayupError
from overbend.wood.species import Species
from overbend.wood.swelling import Sawn, movement, sides, size_at
from overbend.wood.values import Value, derived

__all__ = ["LENGTHWISE", "angle_at", "seasonal_change", "thickness_movement"]

LENGTHWISE = Value(
    0.15,
    "%",
    "shrinkage along the grain, green to oven-dry, of straight-grained wood",
    "memory",
    "shrinkage along the grain",
    0.1,
    0.2,
)
"""What wood shrinks along the grain."""


def angle_at(angle: float, thickness_strain: float, length_strain: float = 0.0) -> float:
    """Return the included angle of an arc after its thickness and length have moved [rad].

    Exact for uniform strains; the radius becomes ``radius * (1 + thickness_strain)``.

    Parameters
    ----------
    angle : included angle before [rad]; its sign is kept.
    thickness_strain : change of thickness over thickness, above -1; positive swells.
    length_strain : change of arc length over length, above -1.

    Raises
    ------
    LayupError
        A strain that leaves nothing.

    Examples
    --------
    A right angle whose thickness shrinks by 1 % closes by nine tenths of a degree:

    >>> import math
    >>> round(math.degrees(angle_at(math.pi / 2, -0.01)), 2)
    90.91
    """
    if not (thickness_strain > -1 and length_strain > -1):
        worst = min(thickness_strain, length_strain)
        raise LayupError(f"a part that shrinks by {-worst:.0%}", allowed="strains above -1")
    return angle * (1 + length_strain) / (1 + thickness_strain)


def thickness_movement(
    plies: Sequence[tuple[Species, float]], sawn: Sawn, from_moisture: float, to_moisture: float
) -> Value:
    """Return the strain of a stack across its plies between two moistures.

    Parameters
    ----------
    plies : species and thickness [mm] of each, in any order; all sawn alike.
    sawn : how the rings lie in the strips: ``flat`` (thickness across the rings), ``quarter``
        or ``unknown``.
    from_moisture, to_moisture : [%], >= 0.

    Returns
    -------
    Change of depth over depth; positive swells.

    Raises
    ------
    LayupError
        No plies, or one without thickness.
    WoodError
        An unknown way of sawing, or a moisture below zero.

    Examples
    --------
    >>> from overbend.wood.species import find_species
    >>> stack = [(find_species("white ash"), 3.0), (find_species("black walnut"), 2.0)]
    >>> print(thickness_movement(stack, "flat", 11.0, 6.0))
    -0.0088559
    """
    if not plies or min(t for _, t in plies) <= 0:
        raise LayupError("a stack without thickness", allowed="plies of more than 0 mm")
    direction = sides(sawn)[1]
    depth = math.fsum(t for _, t in plies)
    moved = [movement(species, direction, from_moisture, to_moisture) for species, _ in plies]
    parts = [t / depth for _, t in plies]
    mean, low, high = (
        math.fsum(part * one for part, one in zip(parts, ends, strict=True))
        for ends in zip(*((v.value, *_ends(v)) for v in moved), strict=True)
    )
    known = any(v.low is not None for v in moved)
    inputs = tuple(dict.fromkeys(moved))
    how, name = "mean of the strips by thickness", "movement of the depth"
    band = (low, high) if known else (None, None)
    return derived(mean, "", how, inputs, name, low=band[0], high=band[1])


def seasonal_change(
    angle: float,
    plies: Sequence[tuple[Species, float]],
    sawn: Sawn,
    from_moisture: float,
    to_moisture: float,
    lengthwise: Value = LENGTHWISE,
) -> Value:
    """Return how much the included angle of a bend changes between two moistures [rad].

    Parameters
    ----------
    angle : included angle at from_moisture [rad].
    plies, sawn : as for `thickness_movement`.
    from_moisture, to_moisture : [%], >= 0.
    lengthwise : shrinkage along the grain, green to oven-dry [%], with its range.

    Returns
    -------
    Change of the angle; positive closes the bend. Its range covers that of the shrinkages.

    Raises
    ------
    LayupError, WoodError
        As for `thickness_movement`.

    Examples
    --------
    Flat-sawn ash bent through a quarter turn, from 11 % in summer to 6 % in winter:

    >>> import math
    >>> from overbend.wood.species import find_species
    >>> change = seasonal_change(math.pi / 2, [(find_species("white ash"), 18.0)], "flat", 11, 6)
    >>> round(math.degrees(change.value), 2)
    0.74
    """
    across = thickness_movement(plies, sawn, from_moisture, to_moisture)
    along = _lengthwise(lengthwise, from_moisture, to_moisture)
    corners = product(_ends(across), _ends(along))
    ends = [angle_at(angle, thick, length) - angle for thick, length in corners]
    value = angle_at(angle, across.value, along.value) - angle
    how = "angle (1 + strain along) / (1 + strain of the depth), uniform strains"
    name, inputs = "seasonal change of the angle", (across, along)
    return derived(value, "rad", how, inputs, name, low=min(ends), high=max(ends))


def _lengthwise(whole: Value, from_moisture: float, to_moisture: float) -> Value:
    value, *ends = (
        size_at(1.0, one, from_moisture, to_moisture) - 1 for one in (whole.value, *_ends(whole))
    )
    how, name = "in proportion to moisture, as across the grain", "movement along the grain"
    return derived(value, "", how, (whole,), name, low=min(ends), high=max(ends))


def _ends(value: Value) -> tuple[float, float]:
    return (
        value.value if value.low is None else value.low,
        value.value if value.high is None else value.high,
    )
