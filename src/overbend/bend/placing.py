"""Lay one line on another as a rigid body, for drawing and for measuring."""

from __future__ import annotations

import math
from typing import Literal, get_args

from overbend.curve.core import Curve
from overbend.errors import CurveError

__all__ = ["Datum", "lay_on"]

Place = tuple[float, float]

Datum = Literal["reference-end", "chord-middle"]
"""How a released shape is laid on its target.

``reference-end``: start and direction at s = 0 agree, as against the form's stop.
``chord-middle``: the lines through both ends run the same way and the middles between the
ends agree, as when a part is laid over its template by eye.
"""


def lay_on(curve: Curve, target: Curve, datum: Datum = "reference-end") -> Curve:
    """Move a curve rigidly onto a target.

    Parameters
    ----------
    curve : curve to move.
    target : curve to lay it on.
    datum : see :data:`Datum`.

    Raises
    ------
    CurveError
        For an unknown datum, or ``chord-middle`` of a curve whose ends coincide.

    Examples
    --------
    >>> from overbend.curve.core import Piece
    >>> bar = Curve((Piece(100.0, 0.0, 0.0),), start=(5.0, 7.0), heading=1.0)
    >>> long = Curve((Piece(140.0, 0.0, 0.0),))
    >>> lay_on(bar, long, "chord-middle").point([0.0, 100.0]).round(9).tolist()
    [[20.0, 0.0], [120.0, 0.0]]
    """
    if datum not in get_args(Datum):
        raise CurveError(f"a datum {datum!r}", allowed=" or ".join(get_args(Datum)))
    if datum == "reference-end":
        return _placed(curve, target.heading - curve.heading, curve.start, target.start)
    (mid, angle), (mid_to, angle_to) = _chord(curve), _chord(target)
    turn = math.remainder(angle_to - angle, math.tau)
    return _placed(curve, turn, mid, mid_to)


def _placed(curve: Curve, turn: float, pivot: Place, to: Place) -> Curve:
    turned = curve.moved(-pivot[0], -pivot[1]).moved(turn=turn)
    return turned.moved(to[0], to[1])


def _chord(curve: Curve) -> tuple[Place, float]:
    """Middle between the ends and the direction from the first to the last."""
    a, b = curve.point([0.0, curve.length])
    dx, dy = b - a
    if math.hypot(dx, dy) < 1e-6 * curve.length:
        raise CurveError(
            "the ends of the curve meet, so it has no chord to lay it by",
            allowed="reference-end",
        )
    middle = 0.5 * (a + b)
    return (float(middle[0]), float(middle[1])), math.atan2(dy, dx)
