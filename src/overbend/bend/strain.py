"""Strain of each strip along a form, and whether it holds.

The curvature that counts is the form's, not the target's: the form is bent past the target, and
that is where a strip breaks. Every strip bends to its own radius.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from overbend.bend.hot import (
    HotWood,
    bend_free,
    bend_strapped,
    slenderness_free,
    slenderness_strapped,
)
from overbend.curve import Curve, Floats
from overbend.errors import LayupError

__all__ = [
    "STATION_SPACING",
    "BendWay",
    "Limits",
    "PartStrain",
    "StripBend",
    "Verdict",
    "Word",
    "cold_strain",
    "part_strain",
    "thickest_strip",
    "tightest_radius",
]

STATION_SPACING = 5.0  # mm between stations; the ends of every segment are added. Our choice
_TIE = 1e-9  # stations this close to the worst one, relative, count as equally bad

Word = Literal["holds", "close", "fails"]


@dataclass(frozen=True)
class Limits:
    """Strains the two faces may reach.

    Parameters
    ----------
    tension : stretch of the convex face, > 0.
    compression : shortening of the concave face, > 0.

    Raises
    ------
    LayupError
        When a limit is not above zero.
    """

    tension: float
    compression: float

    def __post_init__(self) -> None:
        if not (self.tension > 0.0 and self.compression > 0.0):
            raise LayupError(
                f"strain limits of {self.tension:g} and {self.compression:g}",
                allowed="limits above zero, as fractions (0.0175 for 1.75 %)",
            )


@dataclass(frozen=True)
class BendWay:
    """How a strip is bent.

    Parameters
    ----------
    hot : the hot wood, or None for a strip bent cold.
    strap : whether a strap with end stops holds the convex face.
    stretch : stretch of the convex face that the stops let in, >= 0.

    Raises
    ------
    LayupError
        When a strap is asked for a strip bent cold: it would crush nothing.

    Examples
    --------
    >>> tension, compression = BendWay().faces(3.2, 1 / 200)
    >>> print(f"{tension:.2%} {compression:.2%}")
    0.80% 0.80%
    """

    hot: HotWood | None = None
    strap: bool = False
    stretch: float = 0.0

    def __post_init__(self) -> None:
        if self.strap and self.hot is None:
            raise LayupError(
                "a strap on a strip that is bent cold",
                allowed="a strap on steamed wood only",
                todo="steam the strip, or take the strap off",
            )

    def faces(self, thickness: float, kappa: ArrayLike) -> tuple[Floats, Floats]:
        """Stretch of the convex and shortening of the concave face, both positive.

        Parameters
        ----------
        thickness : [mm], > 0.
        kappa : the strip's own curvature [1/mm], any shape. The strap lies on the right-hand
            face; where the curve turns right (kappa < 0) that face is the hollow one and the
            strip counts as without a strap.
        """
        bend = np.asarray(kappa, float)
        if self.hot is None:
            both = cold_strain(thickness, bend)
            return both, both
        free = bend_free(self.hot, thickness, bend)
        if not self.strap:
            return free.tension, free.compression
        held = bend_strapped(self.hot, thickness, bend, self.stretch)
        outside = bend >= 0.0
        return (
            np.where(outside, held.tension, free.tension),
            np.where(outside, held.compression, free.compression),
        )

    def slenderness(self, limits: Limits) -> float:
        """Least mid-depth radius over thickness that keeps to the limits."""
        if self.hot is None:
            return 0.5 / min(limits.tension, limits.compression)
        if self.strap:
            return slenderness_strapped(self.hot, limits.tension, limits.compression, self.stretch)
        return slenderness_free(self.hot, limits.tension, limits.compression)


@dataclass(frozen=True)
class StripBend:
    """One strip: its thickness, how it is bent, and what it stands.

    Parameters
    ----------
    thickness : [mm], > 0.
    way : how it is bent.
    holds : strains up to which few strips break.
    fails : strains from which it breaks more often than not; above `holds`.
    """

    thickness: float
    way: BendWay
    holds: Limits
    fails: Limits

    def __post_init__(self) -> None:
        grows = (
            self.fails.tension > self.holds.tension
            and self.fails.compression > self.holds.compression
        )
        if not (grows and self.thickness > 0.0 and math.isfinite(self.thickness)):
            raise LayupError(
                f"a strip {self.thickness:g} mm thick, held to {self.holds} and {self.fails}",
                allowed="a thickness above zero, and limits of failing above those of holding",
            )


def cold_strain(thickness: float, kappa: ArrayLike) -> Floats:
    """Surface strain of a strip bent cold, t/(2R), R its own mid-depth radius.

    The figure is nominal: the faces of a strip that begins to crush on the inside differ, and
    the cold limits of :mod:`overbend.bend.breakage` are stated in the same nominal strain.

    Parameters
    ----------
    thickness : [mm].
    kappa : own curvature [1/mm], any shape.

    Returns
    -------
    Floats
        Strain of either face, positive.

    Examples
    --------
    >>> float(cold_strain(3.0, -1 / 150))
    0.01
    """
    return np.asarray(0.5 * thickness * np.abs(np.asarray(kappa, float)))


def tightest_radius(thickness: float, way: BendWay, limits: Limits) -> float:
    """Least mid-depth radius that a strip of this thickness takes [mm].

    Parameters
    ----------
    thickness : [mm].
    way : how it is bent.
    limits : strains its faces may reach.

    Examples
    --------
    >>> tightest_radius(3.0, BendWay(), Limits(0.01, 0.05))
    150.0
    """
    return thickness * way.slenderness(limits)


def thickest_strip(radius: float, way: BendWay, limits: Limits) -> float:
    """Greatest thickness that can be bent to this mid-depth radius [mm].

    Examples
    --------
    >>> thickest_strip(150.0, BendWay(), Limits(0.01, 0.05))
    3.0
    """
    return radius / way.slenderness(limits)


@dataclass(frozen=True)
class Verdict:
    """What governs a part, and what would hold there.

    Parameters
    ----------
    word : ``holds``, ``close`` or ``fails``.
    start, end : stretch of the form's mid-depth line that governs [mm]; equal for one place.
    ply : index of the governing strip, outside in, from 0.
    plies : number of strips.
    radius : that strip's own mid-depth radius there [mm]; inf where it is straight.
    face : ``convex`` when it would tear, ``concave`` when it would crumple.
    strain : strain of that face.
    holds, fails : the two limits of that face.
    tightest : radius that a strip of its thickness takes and holds [mm].
    thickest : thickness that holds at `radius` [mm].
    """

    word: Word
    start: float
    end: float
    ply: int
    plies: int
    radius: float
    face: Literal["convex", "concave"]
    strain: float
    holds: float
    fails: float
    tightest: float
    thickest: float

    def words(self, length: Callable[[float], str] = "{:.4g} mm".format) -> str:
        """Say the verdict in a sentence or two.

        Parameters
        ----------
        length : turns a length in mm into text in the reader's unit.
        """
        if math.isinf(self.radius):
            return "Holds: nothing is bent."
        who = "it" if self.plies == 1 else f"strip {self.ply + 1} of {self.plies} from the outside"
        place = f"at {length(self.start)}"
        if self.end > self.start:
            place = f"from {length(self.start)} to {length(self.end)}"
        does = "stretches" if self.face == "convex" else "is squeezed"
        first = (
            f"{self.word.capitalize()}: {who} {does} by {_percent(self.strain)} "
            f"{place}, where its radius is {length(self.radius)}; it holds up to "
            f"{_percent(self.holds)} and breaks more often than not from {_percent(self.fails)}."
        )
        return (
            f"{first} This thickness bends to a radius of {length(self.tightest)}; "
            f"at this radius up to {length(self.thickest)} holds."
        )


@dataclass(frozen=True)
class PartStrain:
    """Strain of every strip along the form.

    Parameters
    ----------
    strips : the strips, outside in, count P.
    stations : arc length of the form's mid-depth line, shape (S,) [mm]; the joint of two
        segments is there twice, once for either side.
    kappa : own curvature of each strip, shape (P, S) [1/mm].
    tension, compression : strains of the convex and the concave face, shape (P, S).
    """

    strips: tuple[StripBend, ...]
    stations: Floats
    kappa: Floats
    tension: Floats
    compression: Floats

    @cached_property
    def _reaches(self) -> Floats:
        """Reach of the convex and of the concave face, shape (2, P, S)."""
        rows = [
            (
                _reach(e, strip.holds.tension, strip.fails.tension),
                _reach(c, strip.holds.compression, strip.fails.compression),
            )
            for strip, e, c in zip(self.strips, self.tension, self.compression, strict=True)
        ]
        return np.array(rows).transpose(1, 0, 2)

    @cached_property
    def reach(self) -> Floats:
        """How far each place has come, shape (P, S): 1 where holding ends, 2 where it fails."""
        return np.asarray(self._reaches.max(axis=0))

    @cached_property
    def verdict(self) -> Verdict:
        """The governing face, strip and place; the first of those equally bad."""
        worst = float(self.reach.max())
        bad = self._reaches >= worst * (1.0 - _TIE)
        side, ply = np.argwhere(bad.any(axis=2))[0]
        first, last = _run(bad[side, ply])
        strip = self.strips[ply]
        tears = side == 0
        strain = self.tension if tears else self.compression
        kappa = abs(float(self.kappa[ply, first]))
        radius = 1.0 / kappa if kappa > 0.0 else math.inf
        return Verdict(
            word="holds" if worst <= 1.0 else "close" if worst < 2.0 else "fails",
            start=float(self.stations[first]),
            end=float(self.stations[last]),
            ply=int(ply),
            plies=len(self.strips),
            radius=radius,
            face="convex" if tears else "concave",
            strain=float(strain[ply, first]),
            holds=strip.holds.tension if tears else strip.holds.compression,
            fails=strip.fails.tension if tears else strip.fails.compression,
            tightest=tightest_radius(strip.thickness, strip.way, strip.holds),
            thickest=thickest_strip(radius, strip.way, strip.holds),
        )


def part_strain(
    form: Curve, strips: Sequence[StripBend], spacing: float = STATION_SPACING
) -> PartStrain:
    """Strain of each strip at each station of a form.

    Parameters
    ----------
    form : mid-depth line of the stack as it lies on the form, tightest curvature positive.
    strips : outside in, at least one.
    spacing : greatest distance between stations [mm].

    Returns
    -------
    PartStrain
        Exact at the worst place: curvature is linear on a segment, so it is at a segment's end.

    Raises
    ------
    LayupError
        Without strips.
    CurveError
        When the middle of a strip would fold over at its own radius.

    Examples
    --------
    >>> from overbend.curve import Piece
    >>> bend = Curve((Piece(80.0, 0.0, 0.0), Piece(120.0, 1 / 200, 1 / 200)))
    >>> few, half = Limits(0.011, 0.05), Limits(0.015, 0.06)
    >>> part = part_strain(bend, [StripBend(t, BendWay(), few, half) for t in (3.0, 5.0)])
    >>> print(part.verdict.words())
    Close: strip 2 of 2 from the outside stretches by 1.26 % from 80 mm to 200 mm, where its \
radius is 198.5 mm; it holds up to 1.10 % and breaks more often than not from 1.50 %. \
This thickness bends to a radius of 227.3 mm; at this radius up to 4.367 mm holds.
    """
    if not strips:
        raise LayupError("a part without strips", allowed="one strip or more")
    stations, kappa = _stations(form, spacing)
    thickness = np.array([strip.thickness for strip in strips])
    middle = np.cumsum(thickness) - 0.5 * (thickness + thickness.sum())
    for z in middle:
        form.offset(float(z))
    own = kappa / (1.0 - kappa * middle[:, None])
    faces = [s.way.faces(s.thickness, k) for s, k in zip(strips, own, strict=True)]
    tension, compression = np.array(faces).transpose(1, 0, 2)
    return PartStrain(tuple(strips), stations, own, tension, compression)


def _percent(strain: float) -> str:
    """Write a strain in percent."""
    return f"{100.0 * strain:.2f} %"


def _stations(form: Curve, spacing: float) -> tuple[Floats, Floats]:
    """Stations and curvature, both ends of every segment included."""
    length, k0, k1 = form.rows.T
    parts = np.maximum(np.ceil(length / spacing), 1.0).astype(int)
    piece = np.repeat(np.arange(len(parts)), parts + 1)
    first = np.cumsum(parts + 1) - (parts + 1)
    share = (np.arange(len(piece)) - first[piece]) / parts[piece]
    s = form.knots[piece] + length[piece] * share
    return s, k0[piece] + (k1 - k0)[piece] * share


def _reach(strain: Floats, holds: float, fails: float) -> Floats:
    """0 at no strain, 1 where holding ends, 2 where it fails, then in proportion."""
    between = 1.0 + (strain - holds) / (fails - holds)
    above = np.where(strain < fails, between, 2.0 * strain / fails)
    return np.asarray(np.where(strain <= holds, strain / holds, above))


def _run(bad: NDArray[np.bool_]) -> tuple[int, int]:
    """First stretch of neighbours that are all bad: its first and last index."""
    first = int(np.argmax(bad))
    rest = bad[first:]
    return first, first + (int(np.argmin(rest)) - 1 if not rest.all() else rest.size - 1)
