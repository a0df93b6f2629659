"""Builders of curves: straight, arc and easement, chained end to end, and their checks."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from overbend.curve.core import Curve, Piece
from overbend.errors import CurveError

__all__ = ["Jump", "arc", "biggest_deviation", "chain", "curvature_jumps", "easement", "line"]


@dataclass(frozen=True)
class Jump:
    """A sudden change of curvature.

    Parameters
    ----------
    station : arc length where it is [mm].
    before, after : curvature on either side [1/mm], positive to the left.
    """

    station: float
    before: float
    after: float

    @property
    def size(self) -> float:
        """Change of curvature [1/mm], positive when the curve turns more to the left."""
        return self.after - self.before


def line(length: float) -> Piece:
    """A straight stretch.

    Parameters
    ----------
    length : [mm], > 0.

    Examples
    --------
    >>> line(250.0)
    Piece(length=250.0, kappa0=0.0, kappa1=0.0)
    """
    return Piece(float(length), 0.0, 0.0)


def arc(radius: float, angle: float) -> Piece:
    """An arc of a circle.

    Parameters
    ----------
    radius : [mm], > 0.
    angle : angle turned [rad]; above zero turns left, below zero right.

    Raises
    ------
    CurveError
        A radius that is not above zero, or an angle of zero.

    Examples
    --------
    >>> piece = arc(500.0, -math.pi / 2)
    >>> round(piece.length, 3), piece.kappa0
    (785.398, -0.002)
    """
    if not (math.isfinite(radius) and radius > 0):
        raise CurveError(
            f"an arc of radius {radius:g} mm",
            allowed="a radius above zero",
            todo="to bend to the right give a negative angle, not a negative radius",
        )
    if not math.isfinite(angle) or angle == 0:
        raise CurveError(
            f"an arc that turns {math.degrees(angle):g} degrees",
            allowed="an angle above zero (left) or below zero (right)",
            todo="give the angle, or use a line",
        )
    kappa = math.copysign(1.0 / radius, angle)
    return Piece(radius * abs(angle), kappa, kappa)


def easement(length: float, kappa0: float, kappa1: float) -> Piece:
    """An easement: a clothoid whose curvature runs evenly from one value to another.

    Parameters
    ----------
    length : [mm], > 0.
    kappa0, kappa1 : curvature at start and end [1/mm], positive to the left; 0 is straight.

    Examples
    --------
    >>> easement(300.0, 0.0, 1 / 600).turn  # half of length times curvature
    0.25
    """
    return Piece(float(length), float(kappa0), float(kappa1))


def chain(
    *pieces: Piece,
    start: tuple[float, float] = (0.0, 0.0),
    heading: float = 0.0,
    stations: Mapping[str, float] | None = None,
) -> Curve:
    """Lay pieces end to end, each along the tangent of the one before.

    Parameters
    ----------
    pieces : one or more.
    start : position of the start [mm, mm].
    heading : direction there [rad], counter-clockwise from the x axis.
    stations : named arc lengths [mm].

    Raises
    ------
    CurveError
        No pieces, a start or heading that is not a number, or a station off the curve.

    Examples
    --------
    >>> hook = chain(line(200.0), arc(100.0, math.pi), line(150.0), stations={"tip": 200.0})
    >>> hook.point(hook.length).round(6).tolist()
    [50.0, 200.0]
    """
    if not all(map(math.isfinite, (*start, heading))):
        raise CurveError(
            f"a curve starting at ({start[0]:g}, {start[1]:g}) mm, heading {heading:g} rad",
            allowed="numbers",
        )
    return Curve(pieces, (float(start[0]), float(start[1])), heading, dict(stations or {}))


def curvature_jumps(curve: Curve, least: float = 1e-9) -> tuple[Jump, ...]:
    """List the places where the curvature jumps, as where a line runs straight into an arc.

    Wood takes a jump, but it shows and it springs back unevenly there: an easement between
    the two is worth a thought. This is information, not an error.

    Parameters
    ----------
    curve : the curve.
    least : smallest jump listed [1/mm].

    Returns
    -------
    tuple of Jump
        In the order of the curve.

    Examples
    --------
    >>> curvature_jumps(chain(line(200.0), arc(400.0, 0.5)))
    (Jump(station=200.0, before=0.0, after=0.0025),)
    """
    return tuple(
        Jump(float(s), p.kappa1, q.kappa0)
        for s, p, q in zip(curve.knots[1:-1], curve.pieces[:-1], curve.pieces[1:], strict=True)
        if abs(q.kappa0 - p.kappa1) > least
    )


def biggest_deviation(a: Curve, b: Curve, count: int = 401) -> float:
    """Greatest distance between two curves at matching fractions of their lengths [mm].

    Parameters
    ----------
    a, b : curves that run the same way.
    count : evenly spaced places compared, >= 2.

    Examples
    --------
    >>> straight = chain(line(1000.0))
    >>> round(biggest_deviation(straight, straight.moved(turn=0.01), count=3), 6)
    9.999958
    """
    gaps = a.point(a.even_grid(count)) - b.point(b.even_grid(count))
    return float(np.hypot(gaps[:, 0], gaps[:, 1]).max())
