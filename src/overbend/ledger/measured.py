"""From what is measured on a bend to the curvature of its face, with the error.

A bend is measured by its radius, by chord and rise, or by points along its face.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from overbend.curve import Floats
from overbend.errors import TrialError

__all__ = [
    "LENGTH_ERROR",
    "MOST_POINTS",
    "RADIUS_ERROR",
    "Bow",
    "bow_of_chord",
    "bow_of_points",
    "bow_of_radius",
]

LENGTH_ERROR = 0.5  # mm, assumed: standard error of a chord, a rise or a point taken with a rule
RADIUS_ERROR = 0.01  # assumed: standard error of a radius, as a share of it
LEAST_POINTS, MOST_POINTS = 3, 50


@dataclass(frozen=True)
class Bow:
    """A measured curvature.

    Parameters
    ----------
    kappa : curvature [1/mm], 0 for straight, never below.
    sd : its standard error [1/mm].
    """

    kappa: float
    sd: float

    def parallel(self, distance: float) -> Bow:
        """Return the curvature of the parallel line that much farther from the centre [mm].

        Raises
        ------
        TrialError
            When that line would lie beyond the centre.

        Examples
        --------
        >>> round(1.0 / Bow(1 / 300, 1e-5).parallel(10.0).kappa, 6)
        310.0
        """
        stretch = 1.0 + distance * self.kappa
        if not stretch > 1e-9:
            raise TrialError(
                f"a face of radius {1.0 / self.kappa:.4g} mm on the outside of a stack whose "
                f"middle lies {-distance:g} mm farther in",
                allowed="a radius above half the depth of the stack",
                todo="check the radius, the thickness and the side of the form",
            )
        return Bow(self.kappa / stretch, self.sd / stretch**2)


def bow_of_radius(radius: float, error: float | None = None) -> Bow:
    """Curvature from a radius.

    Parameters
    ----------
    radius : [mm], > 0.
    error : its standard error [mm]; None: a hundredth of it, assumed.

    Raises
    ------
    TrialError
        When the radius is not above zero.

    Examples
    --------
    >>> bow_of_radius(400.0, 8.0)
    Bow(kappa=0.0025, sd=5e-05)
    """
    _positive(radius, "a radius")
    sd = RADIUS_ERROR * radius if error is None else error
    return Bow(1.0 / radius, sd / radius**2)


def bow_of_chord(
    chord: float, rise: float, error: float | None = None, *, past_half: bool = False
) -> Bow:
    """Curvature from a chord and its rise, 8 h / (c^2 + 4 h^2).

    Parameters
    ----------
    chord : straight distance between two places of the face [mm], > 0.
    rise : greatest distance of the face from that line between them [mm], >= 0.
    error : standard error of either [mm]; None: 0.5 mm, assumed.
    past_half : whether the arc between them is more than half a circle.

    Raises
    ------
    TrialError
        When the rise contradicts the arc.

    Examples
    --------
    >>> round(1.0 / bow_of_chord(600.0, 100.0).kappa, 6)
    500.0
    """
    _positive(chord, "a chord")
    if not (math.isfinite(rise) and rise >= 0.0):
        raise TrialError(f"a rise of {rise:g} mm", allowed="zero or above")
    if (2.0 * rise > chord) != past_half:
        than = "larger" if 2.0 * rise > chord else "no larger"
        arc = "more" if past_half else "no more"
        raise TrialError(
            f"a rise of {rise:g} mm over a chord of {chord:g} mm, {than} than half the chord, "
            f"for an arc said to be {arc} than half a circle",
            allowed="a rise up to half the chord; above it only for more than half a circle",
            todo="check that chord and rise are not swapped, or say that the arc is past half",
        )
    sd = LENGTH_ERROR if error is None else error
    below = chord**2 + 4.0 * rise**2
    by_rise = 8.0 * (chord**2 - 4.0 * rise**2) / below**2
    by_chord = -16.0 * rise * chord / below**2
    return Bow(8.0 * rise / below, sd * math.hypot(by_rise, by_chord))


def bow_of_points(points: ArrayLike, error: float | None = None) -> Bow:
    """Curvature of the circle nearest to some points, in least squares of the distance.

    Parameters
    ----------
    points : places on the face, in any order, shape (3 to 50, 2) [mm].
    error : standard error of a point [mm]; None: 0.5 mm, assumed. Points that stray farther
        than that from the circle make the error larger, never smaller.

    Raises
    ------
    TrialError
        For another number of points, or points all in one place.

    Notes
    -----
    The circle is A (x^2 + y^2) + B x + C y + D = 0 with B^2 + C^2 - 4 A D = 1, which passes
    smoothly through a straight line at A = 0; its curvature is 2 A.

    References
    ----------
    Chernov and Lesort, Least squares fitting of circles, J. Math. Imaging Vision 23, 2005.

    Examples
    --------
    >>> angles = np.array([0.1, 0.4, 0.5, 0.9])
    >>> bow = bow_of_points(250.0 * np.stack([np.cos(angles), np.sin(angles)], axis=-1))
    >>> round(1.0 / bow.kappa, 6)
    250.0
    """
    from scipy.optimize import least_squares

    xy, size = _scaled(points)
    fit = least_squares(_distances, _start(xy), args=(xy,), jac="3-point", xtol=1e-14, ftol=1e-14)
    spare = len(xy) - 3
    stray = size * math.sqrt(2.0 * float(fit.cost) / spare) if spare else 0.0
    each = max(LENGTH_ERROR if error is None else error, stray)
    slope: Floats = np.asarray(fit.jac)
    cov = np.linalg.pinv(slope.T @ slope)
    sd = 2.0 * each / size**2 * math.sqrt(float(cov[0, 0]))
    return Bow(2.0 * abs(float(fit.x[0])) / size, sd)


def _scaled(points: ArrayLike) -> tuple[Floats, float]:
    """Points about their middle, with a size of about one, and that size [mm]."""
    try:
        xy = np.asarray(points, float)
    except (TypeError, ValueError):
        xy = np.empty((0, 2))
    if xy.ndim != 2 or xy.shape[1] != 2 or not LEAST_POINTS <= len(xy) <= MOST_POINTS:
        raise TrialError(
            f"{len(xy)} points measured",
            allowed=f"{LEAST_POINTS} to {MOST_POINTS} points, each with x and y",
        )
    about = xy - xy.mean(axis=0)
    size = float(np.abs(about).max())
    if not (math.isfinite(size) and size > 0.0 and len(np.unique(xy, axis=0)) >= LEAST_POINTS):
        raise TrialError(
            "points that lie in fewer than three places",
            allowed="at least three different places along the face",
        )
    return about / size, size


def _start(xy: Floats) -> Floats:
    """Algebraic fit, as A, D and the direction of (B, C)."""
    square = (xy**2).sum(axis=-1)
    rows = np.stack([square, xy[:, 0], xy[:, 1], np.ones(len(xy))], axis=-1)
    a, b, c, d = np.linalg.svd(rows)[2][-1]
    norm = math.sqrt(max(b * b + c * c - 4.0 * a * d, 1e-12))
    return np.array([a / norm, d / norm, math.atan2(c, b)])


def _distances(abc: Floats, xy: Floats) -> Floats:
    """Signed distance of each point from the circle."""
    a, d, angle = abc
    side = math.sqrt(max(1.0 + 4.0 * a * d, 0.0))
    across = xy @ np.array([math.cos(angle), math.sin(angle)])
    p = a * (xy**2).sum(axis=-1) + side * across + d
    return np.asarray(2.0 * p / (1.0 + np.sqrt(np.maximum(1.0 + 4.0 * a * p, 0.0))))


def _positive(value: float, what: str) -> None:
    if not (math.isfinite(value) and value > 0.0):
        raise TrialError(f"{what} of {value:g} mm", allowed="above zero")
