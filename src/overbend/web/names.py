"""What is written on the drawing: the reference end, named stations, the tightest place.

A name stands on the outside of the bend where there is room. Where the comb, a handle or
another name is in its way, it goes to the other side or further off, with a leader. Places are
judged by points along the lines, all at once: it is done anew for every move of a drag.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np

from overbend.curve import ArcPath, Floats
from overbend.draw.arcs import Box
from overbend.draw.dimensions import STYLE, note
from overbend.draw.drawing import Item, Label, Layer, Mark, Pen, Stroke
from overbend.draw.lettering import text_width
from overbend.draw.placing import standing
from overbend.plan import BentPlan, named_stations
from overbend.units import Display, format_length

__all__ = ["handle_lines", "names_of"]

Group: TypeAlias = tuple[Item, ...]

_SIZE = 2.3  # mm on the sheet, of a capital
_OFF = 2.0  # mm on the sheet that a tick stands over the part
_GAP = 1.6  # mm on the sheet from a tick to its name
_FAR = (0.0, 4.0, 8.0, 12.0, 17.0, 23.0)  # mm on the sheet of leaders that are tried
_TURNS = np.radians([0, 30, -30, 60, -60, 90, -90])
_NOTES = (12.0, 17.0, 24.0, 32.0)  # mm on the sheet of a note's leader
_SLANTS = np.radians([25, -25, 50, -50, 70, -70])
_ROOM = 0.5  # mm on the sheet kept free round a text
_GRIP = 1.8  # mm on the sheet from the middle of a handle to its edge
_BELOW = 0.4  # of a capital's height that letters reach under their line
_EVERY = 0.8  # mm on the sheet between points along lines
_LEAD = np.linspace(0.0, 1.0, 9)
_LATER, _INK, _NAME, _UNSEEN = 0.1, 3.0, 60.0, 1000.0
"""Costs: of a handier place passed over, a point of a line under a text, another name, the
edge of the sheet."""


@dataclass(frozen=True)
class _Wish:
    """Places a text may have, the handiest first.

    Parameters
    ----------
    boxes : of the text, shape (places, 4) [mm].
    leads : leaders, shape (places, 2, 2) [mm].
    make : the items of a place.
    """

    boxes: Floats
    leads: Floats
    make: Callable[[int], Group]


def names_of(
    part: BentPlan,
    scale: float,
    display: Display,
    window: Box | None = None,
    keep: Sequence[Floats] = (),
) -> list[Item]:
    """Return the texts of a part with their ticks and leaders, in the drawn frame [mm].

    Parameters
    ----------
    part : the part.
    scale : millimetres on the sheet per millimetre.
    display : the reader's units.
    window : part of the model that is seen [mm]; without one each text stands where it would
        stand best alone.
    keep : lines they keep clear of, each of shape (points, 2) [mm].
    """
    flip = np.array([1.0, -1.0 if part.target.mirrored else 1.0])
    curve, half = part.target.curve, 0.5 * part.depth
    start = curve.point(0.0) * flip
    fixed: list[Item] = [Mark(float(start[0]), float(start[1]), "dot", 1.8)]
    wishes = []
    for name, s in named_stations(curve).items():
        point, out = curve.point(s) * flip, -curve.normal(s) * flip
        fixed.append(_tick(point, out, half + _OFF / scale))
        text = f"{name} {format_length(s, display)}"
        wishes.append(_station(point, out, half + _OFF / scale, text, scale))
    wishes += _tightest(part, flip, scale, display)
    taken = [0] * len(wishes) if window is None else _chosen(wishes, scale, window, keep)
    texts = [i for wish, k in zip(wishes, taken, strict=True) for i in wish.make(k)]
    return [*fixed, *(replace(i, clear=True) if isinstance(i, Label) else i for i in texts)]


def handle_lines(places: Iterable[tuple[Floats, Floats | None]], scale: float) -> list[Floats]:
    """Return handles as lines that texts keep clear of [mm].

    Parameters
    ----------
    places : of each handle, and of the end of its lever.
    scale : millimetres on the sheet per millimetre.

    Examples
    --------
    >>> [line.shape for line in handle_lines([(np.zeros(2), np.ones(2))], 0.2)]
    [(6, 2), (2, 2)]
    """
    way = np.array([[0, 0], [-1, -1], [1, -1], [1, 1], [-1, 1], [-1, -1]]) * _GRIP / scale
    found = []
    for place, root in places:
        found.append(place + way)
        if root is not None:
            found.append(np.stack([root, place]))
    return found


# -- the places of a text -----------------------------------------------------------------


def _tick(point: Floats, out: Floats, half: float) -> Item:
    """Tick across the part at a station."""
    ends = np.stack([point - half * out, point + half * out])
    return Stroke(ArcPath.polyline(ends), Layer.MARK, Pen.THIN)


def _station(point: Floats, out: Floats, half: float, text: str, scale: float) -> _Wish:
    """Places of a station's name: outside, inside, further and further off."""
    c, s = np.cos(_TURNS), np.sin(_TURNS)
    turned = np.stack([c * out[0] - s * out[1], s * out[0] + c * out[1]], axis=1)
    way = np.tile(np.concatenate([turned, -turned]), (len(_FAR), 1))
    side = np.tile(np.repeat([1.0, -1.0], len(_TURNS)), len(_FAR))
    far = np.repeat(_FAR, 2 * len(_TURNS))
    tip = point + half * side[:, None] * out
    at = tip + ((far + _GAP) / scale)[:, None] * way
    end = tip + (np.where(far > 0.0, far + 0.5 * _GAP, 0.0) / scale)[:, None] * way

    def make(k: int) -> Group:
        label = standing(at[k], text, way[k], _SIZE, Layer.TEXT)
        if not far[k]:
            return (label,)
        lead = Stroke(ArcPath.polyline(np.stack([tip[k], end[k]])), Layer.MARK, Pen.THIN)
        return label, lead

    wide, high = text_width(text, _SIZE) / scale, _SIZE / scale
    # as `standing` has it: the side or corner that faces back lies at the point
    x0 = at[:, 0] - wide * np.select([way[:, 0] > 0.35, way[:, 0] < -0.35], [0.0, 1.0], 0.5)
    y0 = at[:, 1] - high * np.select([way[:, 1] > 0.35, way[:, 1] < -0.35], [0.0, 1.0], 0.5)
    boxes = np.stack([x0, y0 - _BELOW * high, x0 + wide, y0 + high], axis=1)
    return _Wish(boxes, np.stack([tip, end], axis=1), make)


def _tightest(part: BentPlan, flip: Floats, scale: float, display: Display) -> list[_Wish]:
    """Places of the radius at the tightest place of the part at rest."""
    curve = part.target.curve
    at, kappa = curve.tightest
    if kappa == 0.0:
        return []
    knots = zip(curve.knots, curve.pieces, strict=False)
    even = [
        (s, p)
        for s, p in knots
        if p.kappa0 == p.kappa1 == kappa and s - 1e-6 <= at <= s + p.length + 1e-6
    ]
    at = float(even[0][0] + 0.6 * even[0][1].length) if even else at
    side = 1.0 if named_stations(curve) else -1.0  # names of stations lie on the outside
    out = side * curve.normal(at) * flip
    text = f"R {format_length(1.0 / abs(kappa), display)}"
    return [_note(curve.point(at) * flip, out, 0.5 * part.depth, text, scale)]


def _note(point: Floats, out: Floats, half: float, text: str, scale: float) -> _Wish:
    """Places of a note on a shelf, from either face."""
    rows = [(math.copysign(9.0, out[0]), math.copysign(8.0, out[1]), 1.0)]
    for length in _NOTES:
        for side in (1.0, -1.0):
            angles = math.atan2(side * out[1], side * out[0]) + _SLANTS
            rows += [(length * math.cos(a), length * math.sin(a), side) for a in angles]
    found = np.array([row for row in rows if abs(row[0]) >= 3.0 and abs(row[1]) >= 2.0])
    tip = point + half * found[:, 2:] * out
    elbow = tip + found[:, :2] / scale
    shelf = (text_width(text, STYLE.text) + STYLE.gap) / scale
    x0 = elbow[:, 0] - np.where(found[:, 0] < 0.0, shelf, 0.0)
    y1 = elbow[:, 1] + (1.6 * STYLE.gap + STYLE.text) / scale

    def make(k: int) -> Group:
        (dx, dy, _), (x, y) = found[k].tolist(), tip[k].tolist()
        return tuple(note((x, y), text, scale=scale, dx=dx, dy=dy))

    boxes = np.stack([x0, elbow[:, 1], x0 + shelf, y1], axis=1)
    return _Wish(boxes, np.stack([tip, elbow], axis=1), make)


# -- choosing -----------------------------------------------------------------------------


def _chosen(
    wishes: Sequence[_Wish], scale: float, window: Box, keep: Sequence[Floats]
) -> list[int]:
    """The place each text takes; the first ones look again once all have one."""
    ink = _points(keep, _EVERY / scale)
    room = np.array([-1.0, -1.0, 1.0, 1.0]) * _ROOM / scale
    seen = np.array(window) - room
    costs = []
    for wish in wishes:
        boxes = wish.boxes + room
        unseen = (boxes[:, :2] < seen[:2]).any(axis=1) | (boxes[:, 2:] > seen[2:]).any(axis=1)
        under = _inside(ink, boxes).sum(axis=1)
        costs.append(_LATER * np.arange(len(boxes)) + _INK * under + _UNSEEN * unseen)
    taken: list[int] = []
    for k, cost in [*enumerate(costs), *enumerate(costs)]:
        others = [(w, j) for n, (w, j) in enumerate(zip(wishes, taken, strict=False)) if n != k]
        total = cost + sum(_NAME * _meets(wishes[k], w, j, room) for w, j in others)
        taken[k : k + 1] = [int(np.argmin(total))]
    return taken


def _meets(wish: _Wish, other: _Wish, j: int, room: Floats) -> Floats:
    """Whether each place of a text meets another text that has its place, leaders included."""
    box, lead = other.boxes[j], other.leads[j]
    mine = wish.boxes + room
    apart = (mine[:, :2] > box[2:]).any(axis=1) | (mine[:, 2:] < box[:2]).any(axis=1)
    led = lead[0] + _LEAD[:, None] * (lead[1] - lead[0])
    leads = wish.leads[:, :1] + _LEAD[:, None] * (wish.leads[:, 1:] - wish.leads[:, :1])
    crossed = _inside(leads.reshape(-1, 2), box[None]).reshape(len(mine), -1)
    return np.asarray(~apart + 0.5 * _inside(led, mine).any(axis=1) + 0.5 * crossed.any(axis=1))


def _inside(points: Floats, boxes: Floats) -> np.ndarray:
    """Which points lie in which boxes, shape (boxes, points)."""
    x, y = points[None, :, 0], points[None, :, 1]
    x0, y0, x1, y1 = (side[:, None] for side in boxes.T)
    return np.asarray((x > x0) & (x < x1) & (y > y0) & (y < y1))


def _points(lines: Sequence[Floats], every: float) -> Floats:
    """Points along lines."""
    found = [np.empty((0, 2))]
    for line in lines:
        s = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
        at = np.linspace(0.0, s[-1], max(int(s[-1] / every), 1) + 1)
        found.append(np.stack([np.interp(at, s, line[:, i]) for i in (0, 1)], axis=1))
    return np.concatenate(found)
