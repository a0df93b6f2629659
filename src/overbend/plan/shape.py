"""Sizes of a line that a maker can measure with a rule, a straight edge and a bevel."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

import numpy as np

from overbend.curve import Curve

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

    Examples
    --------
    >>> from overbend.curve import Piece
    >>> half = shape_of(Curve((Piece(math.pi * 80.0, 1 / 80, 1 / 80),)))
    >>> round(half.chord, 6), round(half.rise, 4), round(half.radius, 6)
    (160.0, 80.0, 80.0)
    """
    points = curve.point(curve.even_grid(1001))
    dx, dy = points[-1] - points[0]
    chord = math.hypot(dx, dy)
    if chord > 1e-9:
        across = (points - points[0]) @ np.array([-dy, dx]) / chord
        rise = float(np.abs(across).max())
    else:
        rise = float(np.hypot(*(points - points[0]).T).max())
    at, kappa = curve.tightest
    radius = 1.0 / abs(kappa) if kappa else math.inf
    return Shape(curve.length, chord, rise, curve.turn, radius, at)


def named_stations(curve: Curve) -> dict[str, float]:
    """Stations that the maker named; points a curve was run through only have numbers.

    Examples
    --------
    >>> from overbend.curve import Piece
    >>> named_stations(Curve((Piece(9.0, 0.0, 0.0),), stations={"p1": 0.0, "rail": 4.0}))
    {'rail': 4.0}
    """
    return {n: s for n, s in curve.stations.items() if not re.fullmatch(r"p\d+", n)}
