"""Where two parts meet: stations, faces, angle, gap or overlap."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import ArrayLike

from overbend.curve import Floats
from overbend.errors import FrameError
from overbend.frame.probe import Local, crossings, find_root, local, outside
from overbend.frame.solid import Body, FaceName, bounding_pairs

__all__ = [
    "Contact",
    "Misfit",
    "distance",
    "face_point",
    "find_contacts",
    "meetings",
    "misfit_at",
    "never_meet",
    "turned_round",
]

How: TypeAlias = Literal["end", "side"]
Span: TypeAlias = tuple[float, float]

TOUCH = 1e-6  # mm: closer counts as touching
STEEPEST = math.cos(math.radians(75.0))  # an end meets a face no flatter than this
_ACROSS = np.array([-1.0, 0.0, 1.0])
_ALONG = np.array([-1.0, -0.5, 0.0, 0.5, 1.0])
_NEWTON = 6


@dataclass(frozen=True, eq=False)
class Contact:
    """Where part a meets part b.

    Parameters
    ----------
    a, b : ids of the parts.
    how : "end": a ends at or in b; "side": a face of a lies against a face of b.
    end : which end of a: 0 its start, 1 its end; -1 for a side.
    s_a, s_b : stations on the middle lines, from their starts as drawn [mm].
    face_a, face_b : faces that meet.
    point : where they meet, on b's face, shape (3,) [mm].
    normal : outward normal of b's face there, towards a, shape (3,).
    gap : clear distance between the faces; below zero a reaches into b by so much [mm].
    angle : side: between the two faces, 0 when flush, which for a flat face against a bend
        is the angle between the face and the curve's tangent; end: between a's line and the
        square to b's face [rad].
    crossing : angle between the two lines, 0 to a right angle [rad].
    span_a, span_b : stations of each part that the other one covers [mm].
    """

    a: str
    b: str
    how: How
    end: int
    s_a: float
    s_b: float
    face_a: FaceName
    face_b: FaceName
    point: Floats
    normal: Floats
    gap: float
    angle: float
    crossing: float
    span_a: Span
    span_b: Span

    @property
    def height(self) -> float:
        """Height above the floor [mm]."""
        return float(self.point[2])


# -- the misfit a joint may see -----------------------------------------------------------


@dataclass(frozen=True)
class Misfit:
    """How far a released part may lie off its drawing at a joint.

    Parameters
    ----------
    part : id of the bent part.
    s : station on it [mm].
    low, median, high : square to its line, to the left as drawn, nine parts in ten [mm].
    """

    part: str
    s: float
    low: float
    median: float
    high: float

    @property
    def most(self) -> float:
        """Greatest departure either way [mm]."""
        return max(abs(self.low), abs(self.high))


def misfit_at(
    part: str, s: float, stations: ArrayLike, low: ArrayLike, median: ArrayLike, high: ArrayLike
) -> Misfit:
    """Departure of a released part at a station, from its band.

    Parameters
    ----------
    part : id of the part.
    s : station of the joint [mm].
    stations : of the band, rising, shape (n,) [mm].
    low, median, high : the band there, square to the line, shape (n,) [mm].

    Examples
    --------
    >>> misfit_at("rib", 50.0, [0.0, 100.0], [0.0, -2.0], [0.0, 0.4], [0.0, 3.0]).high
    1.5
    """
    at = [float(np.interp(s, np.asarray(stations), np.asarray(y))) for y in (low, median, high)]
    return Misfit(part, s, *at)


# -- two parts ----------------------------------------------------------------------------


def meetings(a: Body, b: Body, reach: float) -> tuple[Contact, ...]:
    """Every place where two parts meet.

    An end of a that comes to b counts before an end of b that comes to a, and either
    before faces that lie against each other.

    Parameters
    ----------
    a, b : the parts.
    reach : widest gap that still counts as meeting [mm].

    Examples
    --------
    >>> from overbend.frame.midline import straight_line
    >>> from overbend.frame.placement import plane_pose
    >>> post = Body("post", "post", straight_line(400.0), 40.0, 40.0,
    ...             plane_pose("side", turn=math.pi / 2))
    >>> rail = Body("rail", "rail", straight_line(300.0), 50.0, 20.0,
    ...             plane_pose("side", (21.0, 0.0, 150.0)))
    >>> one, = meetings(rail, post, 2.0)
    >>> one.how, round(one.s_b, 9), round(one.gap, 9), one.face_b
    ('end', 150.0, 1.0, 'right')
    """
    for first, second in ((a, b), (b, a)):
        found = [c for end in (0, 1) for c in _end_contact(first, second, end, reach)]
        if found:
            return tuple(found)
    return tuple(_side_contacts(a, b, reach))


def distance(a: Body, b: Body) -> float:
    """Clear distance between two parts, square between their middle lines [mm]."""
    found = _nearest_lines(a, b, math.inf)
    return min((_clear(a, b, *pair)[0] for pair in found), default=math.inf)


def find_contacts(
    bodies: Sequence[Body],
    reach: float,
    wanted: frozenset[tuple[str, str]] | None = None,
    skip: frozenset[frozenset[str]] = frozenset(),
) -> tuple[Contact, ...]:
    """Every place where any two parts meet.

    Parameters
    ----------
    bodies : the parts.
    reach : widest gap that still counts [mm].
    wanted : pairs of kinds to look at, in the order wanted; None: all pairs.
    skip : pairs of ids to leave out.
    """
    found: list[Contact] = []
    memory = _Memory()
    for i, j in bounding_pairs(bodies, reach):
        a, b = bodies[i], bodies[j]
        if frozenset((a.id, b.id)) in skip:
            continue
        if wanted is not None and (a.kind, b.kind) not in wanted:
            a, b = b, a
            if (a.kind, b.kind) not in wanted:
                continue
        found += memory.meetings(a, b, reach)
    return tuple(found)


class _Memory:
    """Contacts of like pairs: a row of parts along a straight one meets it alike."""

    def __init__(self) -> None:
        self._known: dict[tuple[object, ...], tuple[float, tuple[Contact, ...]]] = {}

    def meetings(self, a: Body, b: Body, reach: float) -> tuple[Contact, ...]:
        if not b.line.straight:
            return meetings(a, b, reach)
        shift = float(b.pose.local_point(a.pose.origin)[0])
        key = self._key(a, b)
        if key in self._known:
            was, found = self._known[key]
            moved = [_slid(c, a, b, shift - was) for c in found]
            if moved and all(m is not None for m in moved):
                return tuple(m for m in moved if m is not None)
        found = meetings(a, b, reach)
        self._known[key] = (shift, found)
        return found

    @staticmethod
    def _key(a: Body, b: Body) -> tuple[object, ...]:
        turned = b.pose.rotation.T @ a.pose.rotation
        aside = b.pose.local_point(a.pose.origin)[1:]
        rounded = np.round(np.concatenate([turned.ravel(), aside]), 8) + 0.0
        return (id(a.line), a.width, a.depth, b.kind, b.width, b.depth, rounded.tobytes())


def _slid(contact: Contact, a: Body, b: Body, d: float) -> Contact | None:
    """The same side contact further along a straight part b; None past its ends."""
    lo, hi = contact.span_b[0] + d, contact.span_b[1] + d
    if contact.how != "side" or contact.b != b.id or lo < 0.0 or hi > b.length:
        return None
    point = contact.point + d * b.tangent(0.0)
    return replace(contact, a=a.id, b=b.id, s_b=contact.s_b + d, point=point, span_b=(lo, hi))


# -- an end of one part -------------------------------------------------------------------


def _end_contact(a: Body, b: Body, end: int, reach: float) -> list[Contact]:
    """Contact of an end of a with b, if there is one."""
    s_end = a.length * end
    if (a.tips[end] < b.box[0] - reach).any() or (a.tips[end] > b.box[1] + reach).any():
        return []
    tip, out = a.point(s_end), a.tangent(s_end) * (2.0 * end - 1.0)
    here = local(b, tip[None])
    off = float(here.depth[0])
    if abs(off) <= TOUCH:
        face, s_b = here.face(0), float(here.s[0])
        return _end_made(a, b, end, s_end, tip, face, s_b, 0.0)
    if off > 0.0:
        hits = crossings(b, tip, out, 0.0, reach) if reach > 0.0 else ()
        hit = hits[0] if hits else None
        return [] if hit is None else _end_made(a, b, end, s_end, hit.point, hit.face, hit.s, hit.t)
    entry = _entry(a, b, end)
    if entry is None:
        return []
    point = a.point(entry)
    there = local(b, point[None])
    return _end_made(a, b, end, entry, point, there.face(0), float(there.s[0]), -abs(s_end - entry))


def _entry(a: Body, b: Body, end: int) -> float | None:
    """Station of a, back from an end inside b, where its line leaves b."""
    most = min(a.length, 2.0 * math.hypot(b.width, b.depth))
    back = np.linspace(0.0, most, 33)
    s = np.abs(a.length * end - back)
    f = outside(b, a.point(s))
    out = np.flatnonzero(f > 0.0)
    if not len(out):
        return None
    k = int(out[0])
    return find_root(
        lambda at: float(outside(b, a.point([at]))[0]),
        (float(s[k - 1]), float(f[k - 1])),
        (float(s[k]), float(f[k])),
    )


def _end_made(
    a: Body, b: Body, end: int, s_a: float, point: Floats, face: FaceName, s_b: float, gap: float
) -> list[Contact]:
    normal = b.face_normal(face, s_b)
    into = a.tangent(s_a) * (2.0 * end - 1.0)
    square = float(-into @ normal)
    if square < STEEPEST:
        return []
    axes = a.axes(s_a)
    along = b.tangent(s_b)
    half = _end_reach(axes, a, into, normal, along)
    inserted = max(-gap, 0.0)
    span_a = (s_a, s_a + inserted) if end else (s_a - inserted, s_a)
    return [
        Contact(
            a.id, b.id, "end", end, s_a, s_b, "end" if end else "start", face, point, normal, gap,
            math.acos(min(square, 1.0)), _between_lines(axes[:, 0], along), span_a,
            (max(s_b - half, 0.0), min(s_b + half, b.length)),
        )
    ]  # fmt: skip


def _end_reach(axes: Floats, a: Body, into: Floats, normal: Floats, along: Floats) -> float:
    """Half of the length along b that the section of a covers on its face [mm]."""
    corners = [0.5 * (i * a.depth * axes[:, 1] + j * a.width * axes[:, 2])
               for i in (-1, 1) for j in (-1, 1)]  # fmt: skip
    on_face = [c - into * float(c @ normal) / float(into @ normal) for c in corners]
    return max(abs(float(c @ along)) for c in on_face)


def _between_lines(p: Floats, q: Floats) -> float:
    return math.acos(min(abs(float(p @ q)), 1.0))


# -- faces against each other -------------------------------------------------------------


def _side_contacts(a: Body, b: Body, reach: float) -> list[Contact]:
    limit = 0.5 * (math.hypot(a.width, a.depth) + math.hypot(b.width, b.depth)) + reach
    found = []
    for s_a, s_b in _nearest_lines(a, b, limit):
        gap, face_a, face_b, on_a, on_b = _clear(a, b, s_a, s_b)
        if gap <= reach:
            found.append(_side_made(a, b, s_a, s_b, face_a, face_b, gap, on_a, on_b))
    return found


def _nearest_lines(a: Body, b: Body, limit: float) -> list[tuple[float, float]]:
    """Stations where two middle lines come nearest, every place within a limit."""
    if a.line.straight and not b.line.straight:
        return [(s, t) for t, s in _nearest_lines(b, a, limit)]
    if a.line.straight:
        s = np.linspace(0.0, a.length, 33)
        points = a.point(s)
    else:
        s, flat, _, _ = a.line.samples
        points = a.pose.point(np.column_stack([flat, np.zeros(len(flat))]))
    own = b.pose.local_point(points)
    t, z, past = b.line.nearest(own[:, :2])
    far = np.sqrt(z**2 + own[:, 2] ** 2 + np.maximum(past, 0.0) ** 2)
    return [
        pair
        for k in _lowest(far)
        if far[k] <= limit + 30.0
        for pair in [_refined(a, b, float(s[k]), float(t[k]))]
        if _apart(a, b, *pair) <= limit
    ]


def _lowest(values: Floats) -> list[int]:
    """Places of the local minima; of a level stretch its middle."""
    step = np.sign(np.round(np.diff(values), 7))
    edges = np.concatenate([[-1.0], step, [1.0]])
    lows, k = [], 0
    while k < len(values):
        last = k
        while edges[last + 1] == 0.0:
            last += 1
        if edges[k] < 0.0 and edges[last + 1] > 0.0:
            lows.append((k + last) // 2)
        k = last + 1
    return lows


def _apart(a: Body, b: Body, s: float, t: float) -> float:
    return float(np.linalg.norm(a.point(s) - b.point(t)))


def _refined(a: Body, b: Body, s: float, t: float) -> tuple[float, float]:
    """Newton steps towards the nearest points of two lines, ends included."""
    for _ in range(_NEWTON):
        axes_a, axes_b = a.axes(s), b.axes(t)
        gap = a.point(s) - b.point(t)
        ta, tb = axes_a[:, 0], axes_b[:, 0]
        bent_a = float(a.curve.kappa(s)) * float(gap @ axes_a[:, 1])
        bent_b = float(b.curve.kappa(t)) * float(gap @ axes_b[:, 1])
        ds, dt = _newton_step(
            max(1.0 + bent_a, 0.2), max(1.0 - bent_b, 0.2), float(ta @ tb),
            float(gap @ ta), float(gap @ tb),
        )  # fmt: skip
        s, t = min(max(s + ds, 0.0), a.length), min(max(t + dt, 0.0), b.length)
        if abs(ds) + abs(dt) < 1e-7:
            break
    return float(s), float(t)


def _newton_step(
    h_a: float, h_b: float, turn: float, ahead_a: float, ahead_b: float
) -> tuple[float, float]:
    """Step along both lines towards the nearest points; along a only when they run alike."""
    det = h_a * h_b - turn * turn
    if det < 1e-9:
        return -ahead_a / h_a, 0.0
    return (ahead_b * turn - ahead_a * h_b) / det, (ahead_b * h_a - ahead_a * turn) / det


def _clear(a: Body, b: Body, s: float, t: float) -> tuple[float, FaceName, FaceName, Local, Local]:
    """Gap between the facing faces near two stations, and how points of each lie in the other."""
    axes_a, axes_b = a.axes(s), b.axes(t)
    way = b.point(t) - a.point(s)
    size = float(np.linalg.norm(way))
    if size < TOUCH:
        way, size = np.cross(axes_a[:, 0], axes_b[:, 0]), 1.0
    face_a, face_b = _facing(axes_a, way), _facing(axes_b, -way)
    in_b = local(b, _face_points(a, s, face_a, axes_a, b, axes_b))
    in_a = local(a, _face_points(b, t, face_b, axes_b, a, axes_a))
    gap = min(float(in_b.distance.min()), float(in_a.distance.min()))
    return gap, face_a, face_b, in_b, in_a


def _facing(axes: Floats, way: Floats) -> FaceName:
    """Side face that looks most along a direction."""
    left, across = float(way @ axes[:, 1]), float(way @ axes[:, 2])
    if abs(left) >= abs(across):
        return "left" if left > 0.0 else "right"
    return "near" if across > 0.0 else "far"


def _face_points(
    body: Body, s: float, face: FaceName, axes: Floats, other: Body, theirs: Floats
) -> Floats:
    """Grid of points on a face where the other part lies: middle first, shape (16, 3)."""
    along = axes[:, 0]
    half = 0.5 * float(
        np.abs(along @ theirs[:, 1]) * other.depth + np.abs(along @ theirs[:, 2]) * other.width
    )
    at = np.clip(s + half * _ALONG, 0.0, body.length)
    sign = 0.5 if face in ("left", "near") else -0.5
    side = 0.5 * _ACROSS
    if face in ("left", "right"):
        z, w = np.full(3, sign * body.depth), side * body.width
    else:
        z, w = side * body.depth, np.full(3, sign * body.width)
    grid = body.point(at[:, None], z[None], w[None]).reshape(-1, 3)
    return np.concatenate([body.point(s, z[1], w[1])[None], grid])


def _side_made(
    a: Body, b: Body, s_a: float, s_b: float, face_a: FaceName, face_b: FaceName, gap: float,
    on_b: Local, on_a: Local,
) -> Contact:  # fmt: skip
    """Contact of two faces; stations are those of the middle of the other's face."""
    at_a, at_b = float(on_a.s[0]), float(on_b.s[0])
    normal = b.face_normal(face_b, at_b)
    flush = float(-a.face_normal(face_a, at_a) @ normal)
    return Contact(
        a.id, b.id, "side", -1, at_a, at_b, face_a, face_b,
        face_point(b, face_b, at_b), normal, gap,
        math.acos(min(max(flush, -1.0), 1.0)),
        _between_lines(a.tangent(s_a), b.tangent(s_b)),
        (float(on_a.s.min()), float(on_a.s.max())), (float(on_b.s.min()), float(on_b.s.max())),
    )  # fmt: skip


def face_point(body: Body, face: FaceName, s: float) -> Floats:
    """Middle of a side face at a station, shape (3,) [mm]."""
    sign = 0.5 if face in ("left", "near") else -0.5
    if face in ("left", "right"):
        return body.point(s, sign * body.depth)
    return body.point(s, 0.0, sign * body.width)


def turned_round(contact: Contact, new_b: Body) -> Contact:
    """The same contact of two faces with the parts the other way round.

    Parameters
    ----------
    contact : of two faces.
    new_b : the part that was a.
    """
    return replace(
        contact,
        a=contact.b,
        b=contact.a,
        s_a=contact.s_b,
        s_b=contact.s_a,
        face_a=contact.face_b,
        face_b=contact.face_a,
        span_a=contact.span_b,
        span_b=contact.span_a,
        point=face_point(new_b, contact.face_a, contact.s_a),
        normal=new_b.face_normal(contact.face_a, contact.s_a),
    )


def never_meet(a: Body, others: Sequence[Body], where: str) -> FrameError:
    """The error for a part that comes near none of those it is to be joined to.

    Parameters
    ----------
    a : the part.
    others : those it should meet.
    where : the joint, for the message.
    """
    near, b = min(((distance(a, b), b) for b in others), key=lambda pair: pair[0])
    return FrameError(
        f"{a.id} and {b.id} never meet: they are {near:.4g} mm apart where they come nearest",
        where,
        "parts that touch, or come within the joint's reach",
        "move one of them, or give the joint a reach",
    )
