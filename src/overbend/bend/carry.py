"""Carry a curve through a point-by-point change of length and turn.

Release and its inverse both take a mid-depth line, whose curvature is linear on each
stretch, to another one. At every material point the change is known: how much the new
line turns, and how long it is, per length of the old one. Straight and round stretches
come out straight or round, exactly. Others are divided until a line of linear curvature
pieces follows the true one; the turn of each stretch is kept exactly.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from overbend.curve.core import Curve, Floats, Piece
from overbend.errors import LayupError

__all__ = ["Carried", "Rates", "Stretches", "carry", "stretches"]

Rates = Callable[[Floats, Floats], tuple[Floats, Floats]]
"""(curvature, curvature of the setting form) to (turn [rad/mm], length [mm/mm]), each per
length of the old line."""

Counts = NDArray[np.intp]

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(5)
_SAMPLES = np.concatenate([[0.0], 0.5 * (_NODES + 1.0), [1.0]])
_PLACE = 2e-4  # mm: what dividing may leave of error in one stretch
_LENGTH_MISMATCH = 0.01  # relative: setting form against gluing form


@dataclass(frozen=True, eq=False)
class Stretches:
    """Stretches on which both curvatures are linear, arrays of shape (stretches,).

    Parameters
    ----------
    s0, s1 : ends along the line [mm].
    k0, k1 : curvature at the ends [1/mm].
    c0, c1 : curvature of the setting form there [1/mm].
    """

    s0: Floats
    s1: Floats
    k0: Floats
    k1: Floats
    c0: Floats
    c1: Floats

    @property
    def length(self) -> Floats:
        """Length of each [mm]."""
        return self.s1 - self.s0

    @property
    def round(self) -> NDArray[np.bool_]:
        """Whether both curvatures are constant on each."""
        return np.asarray((self.k0 == self.k1) & (self.c0 == self.c1))

    def sampled(self, at: Floats) -> tuple[Floats, Floats]:
        """Both curvatures at fractions `at` of each stretch, shape (at, stretches)."""
        f = at[:, None]
        return self.k0 + (self.k1 - self.k0) * f, self.c0 + (self.c1 - self.c0) * f

    def divided(self, counts: Counts) -> tuple[Stretches, Counts]:
        """Cut each into a number of equal ones; also returns the index of its parent."""
        parent = np.repeat(np.arange(len(counts)), counts)
        first = np.repeat(np.cumsum(counts) - counts, counts)
        i = np.arange(len(parent)) - first
        lo, hi = i / counts[parent], (i + 1) / counts[parent]
        ends = [
            (a[parent] + (b - a)[parent] * f)
            for a, b in ((self.s0, self.s1), (self.k0, self.k1), (self.c0, self.c1))
            for f in (lo, hi)
        ]
        return Stretches(*ends), parent


@dataclass(frozen=True, eq=False)
class Carried:
    """The new line and which place on it is which place on the old one.

    Parameters
    ----------
    curve : the new line; starts where and as the old one does.
    s_old, s_new : arc lengths of the same material points, ends included [mm].
    """

    curve: Curve
    s_old: Floats
    s_new: Floats


def stretches(
    curve: Curve, set_curve: Curve | None = None, places: tuple[Floats, Floats] | None = None
) -> Stretches:
    """Return the stretches of a curve, cut also where the setting form's pieces meet.

    Parameters
    ----------
    curve : mid-depth line.
    set_curve : mid-depth line of the form on which the strips took their set; a material
        point sits at the same fraction of both lengths. None: the same form.
    places : arc lengths along the gluing form and along `curve` of the same material
        points, when `curve` is not the line on the gluing form itself.

    Raises
    ------
    LayupError
        When the two forms' lines differ in length by more than 1 %.
    """
    if set_curve is None:
        k0, k1 = curve.rows[:, 1], curve.rows[:, 2]
        return Stretches(curve.knots[:-1], curve.knots[1:], k0, k1, k0, k1)
    on_form, on_curve = places if places is not None else (curve.knots, curve.knots)
    scale = set_curve.length / float(on_form[-1])
    if abs(scale - 1.0) > _LENGTH_MISMATCH:
        raise LayupError(
            f"the strips took their set along {set_curve.length:.4g} mm and are glued "
            f"along {on_form[-1]:.4g} mm",
            allowed="mid-depth lengths within 1 % of each other",
            todo="give both forms the part's own ends",
        )
    cuts = np.interp(set_curve.knots[1:-1] / scale, on_form, on_curve)
    s = np.sort(np.concatenate([curve.knots, cuts]))
    s = s[np.concatenate([[True], np.diff(s) > 1e-9 * s[-1]])]
    s[-1] = curve.length
    there = scale * np.interp(s, on_curve, on_form)
    return Stretches(s[:-1], s[1:], *_ends(curve, s), *_ends(set_curve, there))


def _ends(curve: Curve, s: Floats) -> tuple[Floats, Floats]:
    """Curvature just after the start and just before the end of each interval of s."""
    lo, hi = s[:-1], s[1:]
    i = np.clip(np.searchsorted(curve.knots, 0.5 * (lo + hi)) - 1, 0, len(curve.pieces) - 1)
    start = curve.knots[:-1][i]
    length, first, last = curve.rows.T
    k0, slope = first[i], ((last - first) / length)[i]
    return k0 + slope * (lo - start), k0 + slope * (hi - start)


class _Change(NamedTuple):
    """What becomes of each stretch, arrays of shape (stretches,)."""

    k0: Floats
    k1: Floats
    turn: Floats
    length: Floats
    uneven: Floats

    @property
    def excess(self) -> Floats:
        """Turn of a straight line of curvature from end to end, less the true turn [rad]."""
        return 0.5 * (self.k0 + self.k1) * self.length - self.turn


def carry(curve: Curve, along: Stretches, rates: Rates) -> Carried:
    """Carry a curve through the change that `rates` describes.

    Positions of the new line are within about 0.001 mm over a few metres of the exact
    ones; stations are carried to the same material points.
    """
    change = _change(along, rates)
    counts = _counts(along, change)
    fine, parent = along.divided(counts)
    if counts.max() > 1:
        change = _change(fine, rates)
    k0, k1 = _with_turn_kept(change, parent)
    pieces = tuple(map(Piece, change.length.tolist(), k0.tolist(), k1.tolist()))
    s_old = np.append(fine.s0, curve.length)
    s_new = np.concatenate([[0.0], np.cumsum(change.length)])
    names = {n: float(np.interp(s, s_old, s_new)) for n, s in curve.stations.items()}
    return Carried(Curve(pieces, curve.start, curve.heading, names), s_old, s_new)


def _change(along: Stretches, rates: Rates) -> _Change:
    """New curvature at both ends, turn and length, by Gauss-Legendre quadrature."""
    turn, length = rates(*along.sampled(_SAMPLES))
    first, last = turn[0] / length[0], turn[-1] / length[-1]
    half = 0.5 * along.length
    return _Change(
        first,
        np.where(along.round, first, last),
        half * (_WEIGHTS @ turn[1:-1]),
        np.where(along.round, 2.0 * half * length[0], half * (_WEIGHTS @ length[1:-1])),
        np.abs(length[-1] - length[0]) * along.length,
    )


def _counts(along: Stretches, change: _Change) -> Counts:
    """How many pieces each stretch needs.

    A piece's excess turn falls with the cube of their number and moves what follows by
    as much times the stretch's length; a place between divisions, interpolated, is off by
    an eighth of the unevenness over their number squared.
    """
    excess = np.abs(change.excess)
    slight = excess * along.s1[-1] * len(along.s0) < 0.1 * _PLACE
    by_turn = np.where(slight, 1.0, np.maximum(np.cbrt(excess * change.length / _PLACE), 2.0))
    by_place = np.sqrt(change.uneven / (8.0 * _PLACE))
    needed = np.where(along.round, 1.0, np.maximum(by_turn, by_place))
    return np.maximum(np.ceil(needed), 1.0).astype(int)


def _with_turn_kept(change: _Change, parent: Counts) -> tuple[Floats, Floats]:
    """Shift the curvature at divisions inside a stretch so that the stretch turns exactly.

    Ends of stretches keep their curvature, so a curve without jumps stays without.
    """
    k0, k1, length = change.k0.copy(), change.k1.copy(), change.length
    inside = np.flatnonzero(parent[1:] == parent[:-1])
    if inside.size == 0:
        return k0, k1
    error = change.excess / length
    shift = -0.5 * (error[inside] + error[inside + 1])
    weight = 0.5 * (length[inside] + length[inside + 1])
    stretch, count = parent[inside], int(parent[-1]) + 1
    owed = -np.bincount(parent, change.excess, count)
    owed -= np.bincount(stretch, shift * weight, count)
    shift += owed[stretch] / np.bincount(stretch, weight, count)[stretch]
    k1[inside] += shift
    k0[inside + 1] += shift
    return k0, k1
