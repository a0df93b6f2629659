"""Sizes of a line that a maker can measure with a rule, a straight edge and a bevel."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

import numpy as np

from overbend.curve import Curve, Floats

__all__ = ["Shape", "named_stations", "shape_of"]


@dataclass(frozen=True)
class Shape:
    """Sizes of a line.

    Parameters
    ----------
    length : along the line [mm].
    chord : straight from end to end [mm].
    rise : greatest distance from the chord [mm].
    turn : angle between the end directions [rad].
    radius : at the tightest place [mm], inf for a straight line.
    tightest_at : arc length of that place [mm].
    """

    length: float
    chord: float
    rise: float
    turn: float
    radius: float
    tightest_at: float


def shape_of(curve: Curve) -> Shape:
    """Measure a line; the rise is exact to a ten-thousandth of the length.

    The place farthest from the chord is looked for among 201 places, then among 41 round it.

    Examples
    --------
    >>> from overbend.curve import Piece
    >>> half = shape_of(Curve((Piece(math.pi * 80.0, 1 / 80, 1 / 80),)))
    >>> round(half.chord, 6), round(half.rise, 4), round(half.radius, 6)
    (160.0, 80.0, 80.0)
    """
    ends = curve.point([0.0, curve.length])
    chord = math.hypot(*(ends[1] - ends[0]))
    s = curve.even_grid(201)
    far = int(np.argmax(_rise(curve.point(s), ends)))
    near = np.linspace(s[max(far - 1, 0)], s[min(far + 1, 200)], 41)
    rise = float(_rise(curve.point(near), ends).max())
    at, kappa = curve.tightest
    radius = 1.0 / abs(kappa) if kappa else math.inf
    return Shape(curve.length, chord, rise, curve.turn, radius, at)


def _rise(points: Floats, ends: Floats) -> Floats:
    """Distance of points from the chord, or from the start where the ends meet [mm]."""
    dx, dy = ends[1] - ends[0]
    chord = math.hypot(dx, dy)
    if chord > 1e-9:
        return np.asarray(np.abs((points - ends[0]) @ np.array([-dy, dx])) / chord)
    return np.asarray(np.hypot(*(points - ends[0]).T))


def named_stations(curve: Curve) -> dict[str, float]:
    """Stations that the maker named; points a curve was run through only have numbers.

    Examples
    --------
    >>> from overbend.curve import Piece
    >>> named_stations(Curve((Piece(9.0, 0.0, 0.0),), stations={"p1": 0.0, "rail": 4.0}))
    {'rail': 4.0}
    """
    return {n: s for n, s in curve.stations.items() if not re.fullmatch(r"p\d+", n)}
