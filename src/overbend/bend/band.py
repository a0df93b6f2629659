"""The band within which a released part is to be expected, by sampling.

Each draw has its own modulus, thickness and set per ply; the released line follows from
the same section equations as the nominal one. The angle lost is a smooth function of the
form's curvature, so it is computed at a few Chebyshev nodes of curvature per draw and
carried to all stations by one matrix product.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from overbend.bend.carry import Stretches, stretches
from overbend.bend.layup import Layup, ply_offsets
from overbend.bend.placing import Datum
from overbend.bend.release import Relaxation, relax
from overbend.bend.section import layup_section, section
from overbend.bend.spread import Spread
from overbend.curve.core import Curve, Floats
from overbend.errors import LayupError

__all__ = ["Band", "Range", "TipScatter", "sample_release"]

Singles = NDArray[np.float32]

_ALONE, _CROSSED = 4, 3  # curvature nodes: one form; per form when there are two
_GAUSS, _GAUSS_WEIGHTS = np.polynomial.legendre.leggauss(3)


class Range(NamedTuple):
    """Median and the ends of the 90 % range."""

    low: float
    median: float
    high: float


@dataclass(frozen=True, eq=False)
class TipScatter:
    """Where the far end comes, parts laid on each other at their reference ends.

    Parameters
    ----------
    one_form : width of the 90 % range among parts off one form in one run [mm].
    forms : the same among parts off different forms and runs of one shop [mm].
    shop : the same for the prediction, in a shop and a wood not yet tried [mm].
    draws : tips of parts off one form along their widest direction, shape (draws,) [mm].
    """

    one_form: float
    forms: float
    shop: float
    draws: Floats

    def largest_difference(self, parts: int) -> float:
        """Difference between tips that nine in ten sets of like parts stay within [mm].

        Parameters
        ----------
        parts : number of parts off one form, at least 2.
        """
        if not 2 <= parts <= len(self.draws):
            raise LayupError(f"a set of {parts} parts", allowed=f"2 to {len(self.draws)} parts")
        sets = self.draws[: len(self.draws) // parts * parts].reshape(-1, parts)
        return float(np.quantile(np.ptp(sets, axis=1), 0.9))


@dataclass(frozen=True, eq=False)
class Band:
    """A released part and how far it may stray.

    Parameters
    ----------
    released : nominal mid-depth line after release.
    s : stations along it, shape (stations,) [mm].
    low, median, high : 5, 50 and 95 % of the deviation of the same material point from
        it, normal to it, positive to the left, shape (stations,) [mm].
    chord : distance between the ends [mm].
    rise : greatest distance of the line from its chord, at the stations [mm].
    tip : scatter of the far end.
    """

    released: Curve
    s: Floats
    low: Floats
    median: Floats
    high: Floats
    chord: Range
    rise: Range
    tip: TipScatter


def sample_release(
    layup: Layup,
    glued: Curve,
    spread: Spread | None = None,
    *,
    set_curve: Curve | None = None,
    datum: Datum = "reference-end",
    boards: int = 1,
    stations: int = 200,
    draws: int = 2000,
    seed: int = 1,
    relaxation: Relaxation | None = None,
) -> Band:
    """Sample released parts.

    Modulus is lognormal, thickness normal (not below a fifth of nominal), set
    logit-normal about the ply's own, the form's curvature and the drift normal, the loss of
    strips without set lognormal about its own once more, for creep.
    Deviations are exact in the angle; the change of length between draws is left out (it
    is a ten-thousandth of the length).

    Parameters
    ----------
    layup, glued, set_curve : as for :func:`overbend.bend.release.relax`.
    spread : standard deviations; None: the assumed ones of :class:`Spread`.
    datum : how each draw is laid on the nominal line.
    boards : how many boards of each wood the strips of one part come from; they are dealt
        in turn, outside in. Each part has boards of its own. Default 1, assumed: strips
        for one part are sawn from one board.
    stations : number of stations, evenly spaced on the form.
    draws : number of parts drawn, at least 100.
    seed : of the random numbers: the same seed gives the same band.
    relaxation : the nominal release where it is known; None: computed here.

    Raises
    ------
    LayupError
        Where the stack cannot follow the form, or for too few draws, stations or boards.

    Examples
    --------
    >>> from overbend.bend.layup import Ply
    >>> from overbend.curve.core import Piece
    >>> arc = Curve((Piece(500.0, 0.003, 0.003),))
    >>> stack = Layup((Ply(3.0, 11000.0), Ply(4.0, 9000.0), Ply(3.0, 11000.0)))
    >>> band = sample_release(stack, arc)
    >>> bool(band.low[-1] < band.median[-1] < band.high[-1])
    True
    """
    _check_counts(boards, stations, draws)
    of = Spread() if spread is None else spread
    relaxation = relaxation or relax(layup, glued, set_curve)
    s_form = np.linspace(0.0, glued.length, stations)
    s = relaxation.to_released(s_form)
    basis = _basis(stretches(glued, set_curve), s_form, layup.depth)
    frame = _Frame(layup, basis, glued.angle(s_form) - glued.heading, s)
    normals = _Normals.drawn(layup, boards, draws, seed)
    x, y = frame.departures(_Draws.of(frame, normals, of))
    tip = _tip_scatter(frame, normals, of, np.stack([x[-1], y[-1]], axis=-1).astype(float))
    x0, y0 = frame.points()
    chord, rise = _chord_and_rise(x + x0, y + y0)
    if datum == "chord-middle":
        x, y = _on_chord(x, y, x0, y0)
    low, median, high = _normal_quantiles(frame, x, y)
    return Band(relaxation.released, s, low, median, high, chord, rise, tip)


def _check_counts(boards: int, stations: int, draws: int) -> None:
    for given, least, what in (
        (boards, 1, "boards"),
        (stations, 2, "stations"),
        (draws, 100, "draws"),
    ):
        if given < least:
            raise LayupError(f"{given} {what}", allowed=f"{least} {what} or more")


# -- angle lost as a polynomial in curvature ---------------------------------------------
class _Basis(NamedTuple):
    """Nodes of curvature, on both forms, and their integrals to each station."""

    kappa: Floats  # (nodes,)
    kappa_set: Floats  # (nodes,)
    integral: Floats  # (stations, nodes)


def _basis(along: Stretches, s: Floats, depth: float) -> _Basis:
    cuts = np.sort(np.concatenate([along.s0, s]))
    at = np.clip(np.searchsorted(along.s0, 0.5 * (cuts[:-1] + cuts[1:])) - 1, 0, None)
    half = 0.5 * np.diff(cuts)
    u = 0.5 * (cuts[:-1] + cuts[1:]) + half * _GAUSS[:, None]
    f = (u - along.s0[at]) / along.length[at]
    kappa = along.k0[at] + (along.k1 - along.k0)[at] * f
    kappa_set = along.c0[at] + (along.c1 - along.c0)[at] * f
    if np.array_equal(kappa, kappa_set):
        nodes, value = _lagrange(kappa, _ALONE, depth)
        pairs = nodes, nodes
    else:
        nodes, first = _lagrange(kappa, _CROSSED, depth)
        nodes_set, second = _lagrange(kappa_set, _CROSSED, depth)
        value = (first[..., :, None] * second[..., None, :]).reshape(*kappa.shape, -1)
        pairs = np.repeat(nodes, len(nodes_set)), np.tile(nodes_set, len(nodes))
    steps = np.einsum("g,gin,i->in", _GAUSS_WEIGHTS, value, half)
    total = np.concatenate([np.zeros((1, steps.shape[1])), np.cumsum(steps, axis=0)])
    return _Basis(*pairs, total[np.searchsorted(cuts, s)])


def _lagrange(kappa: Floats, count: int, depth: float) -> tuple[Floats, Floats]:
    """Chebyshev nodes over the range of kappa and their polynomials, kappa.shape + (nodes,)."""
    low, high = float(kappa.min()), float(kappa.max())
    if (high - low) * depth < 1e-9:
        return np.array([0.5 * (low + high)]), np.ones((*kappa.shape, 1))
    unit = np.cos(np.pi * (np.arange(count) + 0.5) / count)
    chebyshev = np.polynomial.chebyshev.chebvander
    scaled = (2.0 * kappa - low - high) / (high - low)
    value = chebyshev(scaled, count - 1) @ np.linalg.inv(chebyshev(unit, count - 1))
    return 0.5 * (low + high) + 0.5 * (high - low) * unit, value


# -- draws -------------------------------------------------------------------------------
class _Normals(NamedTuple):
    """Standard normals, one row per thing that differs, spread out over the plies."""

    modulus: tuple[Floats, Floats, Floats]  # species, board, strip; each (plies, draws)
    thickness: Floats
    set: tuple[Floats, Floats, Floats]  # species, run, strip
    form: Floats  # (draws,)
    drift: Floats
    creep: Floats

    @classmethod
    def drawn(cls, layup: Layup, boards: int, draws: int, seed: int) -> _Normals:
        return _drawn(tuple(p.wood for p in layup.plies), boards, draws, seed)


@lru_cache(maxsize=16)
def _drawn(names: tuple[str, ...], boards: int, draws: int, seed: int) -> _Normals:
    """Normals for plies of these woods; the same for the same seed, so kept and not changed."""
    order = list(dict.fromkeys(names))
    wood = np.array([order.index(n) for n in names])
    turn = np.array([names[:i].count(n) for i, n in enumerate(names)])
    board = wood * boards + turn % boards
    rng = np.random.default_rng(seed)
    n = len(names)

    def rows(count: int) -> Floats:
        return rng.standard_normal((count, draws))

    modulus = rows(len(order))[wood], rows(len(order) * boards)[board], rows(n)
    thickness = rows(n)
    sets = rows(len(order))[wood], np.repeat(rows(1), n, axis=0), rows(n)
    made = _Normals(modulus, thickness, sets, *(rows(1)[0] for _ in range(3)))
    for array in (*made.modulus, made.thickness, *made.set, made.form, made.drift, made.creep):
        array.setflags(write=False)
    return made


class _Draws(NamedTuple):
    """Angle lost per length at each node, (draws, nodes), and gain on the angle, (draws,)."""

    lost: Floats
    gain: Floats

    @classmethod
    def of(cls, frame: _Frame, normals: _Normals, of: Spread) -> _Draws:
        layup = frame.layup
        sds = [np.sqrt(np.log1p(cv**2)) for cv in _modulus_levels(of)]
        E = layup.modulus[:, None] * np.exp(_weighted(sds, normals.modulus))
        t = layup.thickness[:, None] + of.thickness * normals.thickness
        t = np.maximum(t, 0.2 * layup.thickness[:, None])
        levels = [of.widening * sd for sd in (of.set_species, of.set_run, of.set_strip)]
        phi = layup.set_fraction[:, None]
        odds = phi / (1.0 - phi) * np.exp(_weighted(levels, normals.set))
        phi = odds / (1.0 + odds)
        t, E, phi = t[..., None], E[..., None], phi[..., None]
        lost = section(t, E, ply_offsets(t), phi, frame.basis.kappa, frame.kappa_set).lost
        if not layup.set_fraction.any():
            lost = lost * np.exp(of.creep * normals.creep)[:, None]
        return cls(lost, (1.0 + of.form * normals.form) * (1.0 - of.drift * normals.drift))


def _modulus_levels(of: Spread) -> tuple[float, float, float]:
    return of.modulus_species, of.modulus_board, of.modulus_strip


def _weighted(sds: list[float], rows: tuple[Floats, ...]) -> Floats:
    total = np.zeros_like(rows[0])
    for sd, row in zip(sds, rows, strict=True):
        if sd:
            total += sd * row
    return total


# -- from draws to lines -----------------------------------------------------------------
class _Frame:
    """The nominal released line at the stations, and how draws depart from it."""

    def __init__(self, layup: Layup, basis: _Basis, turned: Floats, s: Floats) -> None:
        self.layup, self.basis = layup, basis
        self.one_form = np.array_equal(basis.kappa, basis.kappa_set)
        self.lost = layup_section(layup, basis.kappa, self.kappa_set).lost
        self.angle = turned - basis.integral @ self.lost
        self.steps = np.diff(s)
        unit = np.stack([np.cos(self.angle), np.sin(self.angle)], axis=-1)
        self.normal = np.stack([-unit[:, 1], unit[:, 0]], axis=-1)

    @property
    def kappa_set(self) -> Floats | None:
        """Curvature nodes of the setting form, where there is one."""
        return None if self.one_form else self.basis.kappa_set

    def departures(self, drawn: _Draws) -> tuple[Singles, Singles]:
        """Shift of each station in x and y from the nominal, shape (stations, draws) [mm]."""
        less = (self.lost[:, None] - drawn.lost.T) * drawn.gain
        turn = self.basis.integral.astype(np.float32) @ less.astype(np.float32)
        turn += np.multiply.outer(self.angle, drawn.gain - 1.0).astype(np.float32)
        nominal = self.angle.astype(np.float32)[:, None]
        turn += nominal
        x, y = np.cos(turn), np.sin(turn)
        x -= np.cos(nominal)
        y -= np.sin(nominal)
        return self._integrated(x), self._integrated(y)

    def _integrated(self, slope: Singles) -> Singles:
        out = np.zeros_like(slope)
        np.add(slope[1:], slope[:-1], out=out[1:])
        out[1:] *= (0.5 * self.steps).astype(np.float32)[:, None]
        for before, row in pairwise(out):
            row += before
        return out

    def points(self) -> tuple[Singles, Singles]:
        """Nominal x and y, from the start, by the same quadrature, shape (stations, 1)."""
        x, y = (f(self.angle)[:, None].astype(np.float32) for f in (np.cos, np.sin))
        return self._integrated(x), self._integrated(y)

    def tips(self, drawn: _Draws) -> Floats:
        """Shift of the far end to first order in the angle, shape (draws, 2) [mm]."""
        weight = np.zeros(len(self.angle))
        weight[1:] += 0.5 * self.steps
        weight[:-1] += 0.5 * self.steps
        arm = weight[:, None] * self.normal
        by_node, by_gain = self.basis.integral.T @ arm, self.angle @ arm
        moved = (self.lost - drawn.lost) @ by_node
        return np.asarray(moved + np.multiply.outer(drawn.gain - 1.0, by_gain))


def _on_chord(x: Singles, y: Singles, x0: Singles, y0: Singles) -> tuple[Singles, Singles]:
    """Departures once chords run the same way and their middles agree."""
    ax, ay = x + x0, y + y0
    to = np.arctan2(y0[-1] - y0[0], x0[-1] - x0[0])
    turn = to - np.arctan2(ay[-1] - ay[0], ax[-1] - ax[0])
    c, s = np.cos(turn), np.sin(turn)
    ax -= 0.5 * (ax[0] + ax[-1])
    ay -= 0.5 * (ay[0] + ay[-1])
    x0, y0 = x0 - 0.5 * (x0[0] + x0[-1]), y0 - 0.5 * (y0[0] + y0[-1])
    return c * ax - s * ay - x0, s * ax + c * ay - y0


def _quantiles(values: NDArray[np.floating[Any]]) -> Floats:
    """5, 50 and 95 % by nearest rank along the last axis, first in the result."""
    last = values.shape[-1] - 1
    ranks = [round(q * last) for q in (0.05, 0.5, 0.95)]
    return np.moveaxis(np.partition(values, ranks, axis=-1)[..., ranks], -1, 0).astype(float)


def _normal_quantiles(frame: _Frame, x: Singles, y: Singles) -> Floats:
    normal = frame.normal.astype(np.float32)
    return _quantiles(normal[:, :1] * x + normal[:, 1:] * y)


def _chord_and_rise(x: Singles, y: Singles) -> tuple[Range, Range]:
    """Chord and greatest distance from it, from positions, shape (stations, draws)."""
    across, up = x[-1], y[-1]
    chord = np.hypot(across, up)
    rise = np.abs(x * up - y * across).max(axis=0) / np.maximum(chord, 1e-6)
    return Range(*_quantiles(chord).tolist()), Range(*_quantiles(rise).tolist())


def _tip_scatter(frame: _Frame, normals: _Normals, of: Spread, shop: Floats) -> TipScatter:
    same_wood = replace(of, modulus_species=0.0, set_species=0.0)
    same_form = replace(same_wood, set_run=0.0, form=0.0, drift=0.0, creep=0.0)
    forms, one_form = (
        _along_widest(frame.tips(_Draws.of(frame, normals, level)))
        for level in (same_wood, same_form)
    )
    ranges = map(_quantiles, (one_form, forms, _along_widest(shop)))
    narrow, wide, widest = (float(q[2] - q[0]) for q in ranges)
    return TipScatter(narrow, wide, widest, one_form)


def _along_widest(tips: Floats) -> Floats:
    """Coordinate along the direction in which points scatter most."""
    centred = tips - tips.mean(axis=0)
    _, axes = np.linalg.eigh(centred.T @ centred)
    return np.asarray(centred @ axes[:, -1])
