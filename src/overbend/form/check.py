"""Numbers to verify a made form by, and to lay one out without a printer."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from overbend.curve import Floats
from overbend.form.face import Face
from overbend.form.spec import End

__all__ = [
    "FaceCheck",
    "Ordinate",
    "StationRadius",
    "check_face",
    "chord_and_rise",
    "on_chord",
]

_HALVINGS = 36  # of a step between places: to far below a micron
_PLACES = 201  # looked at along a face before places are refined
_LEANS = 0.7  # of each step along the face has to show along the chord: a lean of 45 degrees


@dataclass(frozen=True)
class StationRadius:
    """Radius of the face at a place.

    Parameters
    ----------
    key : as the witness mark's.
    s : on the mid-depth line [mm].
    radius : of the face [mm]; positive where its centre lies on the part's concave side,
        inf where straight.
    """

    key: str
    s: float
    radius: float


@dataclass(frozen=True)
class Ordinate:
    """One line of the table of offsets.

    Parameters
    ----------
    x : along the chord from the trim line at the reference end [mm].
    y : from the chord to the face, square to it, positive where the face bulges [mm].
    along : along the face from the same trim line [mm].
    """

    x: float
    y: float
    along: float


@dataclass(frozen=True)
class FaceCheck:
    """What a maker measures on a face between its two trim lines.

    Parameters
    ----------
    chord : straight distance between the trim lines on the face [mm].
    rise : greatest distance of the face from the chord [mm]; negative on a face that
        lies further on the other side.
    rise_x : where that is, along the chord from the reference end [mm].
    length : along the face [mm].
    radii : radius at marks and stations.
    ordinates : table of offsets.
    spaced : "chord", even steps along the chord; "face", even steps along the face, for a
        face that leans more than 45 degrees from its chord somewhere.
    """

    chord: float
    rise: float
    rise_x: float
    length: float
    radii: tuple[StationRadius, ...]
    ordinates: tuple[Ordinate, ...]
    spaced: str


def chord_and_rise(face: Face) -> tuple[float, float, float]:
    """Chord between the finished ends on the face, greatest rise and its place [mm].

    Returns
    -------
    tuple
        Chord; rise, signed; distance of the rise along the chord from the start.

    Examples
    --------
    >>> from overbend.curve import arc, chain
    >>> chord, rise, x = chord_and_rise(Face(chain(arc(510.0, 1.0)), 10.0, 60.0, 1.0))
    >>> round(chord, 4), round(rise, 4)  # 2 r sin(1/2), r (1 - cos(1/2)) for r = 500
    (479.4255, 61.2087)
    """
    s = face.glued.even_grid(_PLACES)
    xy = _in_chord(face, s, "start")
    i = int(np.abs(xy[:, 1]).argmax())
    best = _refined(face, s, i)
    x, y = _in_chord(face, np.array([best]), "start")[0]
    return float(xy[-1, 0]), float(y), float(x)


def check_face(face: Face, reference: End, keys: dict[str, float], spacing: float) -> FaceCheck:
    """Work out what to measure on a face.

    Parameters
    ----------
    face : a form's face.
    reference : end that distances count from.
    keys : places to give the radius of, arc lengths [mm].
    spacing : of the table of offsets, widest [mm].

    Examples
    --------
    >>> from overbend.curve import arc, chain
    >>> face = Face(chain(arc(510.0, 1.0)), 10.0, 60.0, 1.0)
    >>> check = check_face(face, "start", {"middle": 255.0}, 100.0)
    >>> check.radii[0].radius, [round(o.y, 1) for o in check.ordinates]
    (500.0, [0.0, 40.1, 58.9, 58.9, 40.1, 0.0])
    """
    chord, rise, x = chord_and_rise(face)
    length = face.along(face.glued.length)
    x = chord - x if reference == "end" else x
    spaced, s = _table_places(face, spacing)
    if reference == "end":
        s = s[::-1]
    rows = _in_chord(face, s, reference)
    along = [face.along(float(at)) for at in s]
    if reference == "end":
        along = [length - a for a in along]
    table = tuple(
        Ordinate(float(a), float(b), float(c)) for (a, b), c in zip(rows, along, strict=True)
    )
    radii = tuple(StationRadius(key, at, face.radius(at)) for key, at in keys.items())
    return FaceCheck(chord, rise, x, length, radii, table, spaced)


def _in_chord(face: Face, s: Floats, reference: End) -> Floats:
    """Face points from the reference end along and off the chord, bulge positive."""
    return on_chord(face, face.point(s), reference)


def on_chord(face: Face, points: ArrayLike, reference: End) -> Floats:
    """Where points are along and off the chord between a face's trim lines.

    Parameters
    ----------
    face : whose chord.
    points : shape (n, 2) [mm].
    reference : end that distances count from.

    Returns
    -------
    Floats
        Shape (n, 2): along the chord, and off it, positive where the face bulges [mm].

    Examples
    --------
    >>> from overbend.curve import arc, chain
    >>> face = Face(chain(arc(510.0, 1.0)), 10.0, 60.0, 1.0)
    >>> on_chord(face, face.point([0.0, 255.0]), "start").round(2).tolist()
    [[0.0, 0.0], [239.71, 61.21]]
    """
    a, b = face.point(np.array([0.0, face.glued.length]))
    u = (b - a) / math.hypot(*(b - a))
    right = np.array([u[1], -u[0]])
    x, y = (np.asarray(points, float) - a) @ u, (np.asarray(points, float) - a) @ right
    if reference == "end":
        x = math.hypot(*(b - a)) - x
    return np.stack([x, y], axis=-1)


def _refined(face: Face, s: Floats, i: int) -> float:
    """Arc length of the greatest rise near s[i], where the face runs along its chord."""
    from scipy.optimize import brentq

    a, b = face.point(np.array([0.0, face.glued.length]))
    u = (b - a) / math.hypot(*(b - a))
    right = np.array([u[1], -u[0]])

    def slope(at: float) -> float:
        return float(face.tangent(at) @ right)

    lo, hi = float(s[max(i - 1, 0)]), float(s[min(i + 1, len(s) - 1)])
    if slope(lo) * slope(hi) >= 0:
        return float(s[i])
    return float(brentq(slope, lo, hi, xtol=1e-9))


def _table_places(face: Face, spacing: float) -> tuple[str, Floats]:
    """Arc lengths of the table's lines: even along the chord where that can be."""
    s = face.glued.even_grid(_PLACES)

    def along_chord(at: Floats) -> Floats:
        return np.asarray(_in_chord(face, at, "start")[:, 0])

    def along_face(at: Floats) -> Floats:
        return face.line.along(at + face.reach) - face.line.along(face.reach)

    if (np.diff(along_chord(s)) > _LEANS * np.diff(along_face(s))).all():
        return "chord", _evenly(s, along_chord, spacing)
    return "face", _evenly(s, along_face, spacing)


def _evenly(s: Floats, way: Callable[[Floats], Floats], spacing: float) -> Floats:
    """Arc lengths at even steps of a way that grows along the curve, by halving."""
    ways = way(s)
    steps = max(2, math.ceil(ways[-1] / spacing - 1e-9))
    wanted = np.linspace(0.0, ways[-1], steps + 1)[1:-1]
    j = np.searchsorted(ways, wanted)
    low, high = s[j - 1], s[j]
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        short = way(middle) < wanted
        low, high = np.where(short, middle, low), np.where(short, high, middle)
    return np.concatenate([s[:1], 0.5 * (low + high), s[-1:]])
