"""Which stretches of which edges are seen: exact for solids of plane convex faces.

A stretch is hidden by a face where it lies inside the face's outline on the drawing and
behind its plane. Along an edge all of these are linear, so each face hides one interval of
each edge: no sampling, no painting over.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from overbend.curve import Floats
from overbend.draw.shapes import Camera, Shape

__all__ = ["SeenLines", "seen_lines", "seen_points"]

_INSIDE = 1e-4  # mm: an edge on the outline of a face is not hidden by it
_BEHIND = 0.02  # mm: an edge on a face is not hidden by it
_SHORT = 1e-6  # of an edge: shorter stretches are nothing
_CHUNK = 400_000


@dataclass(frozen=True, eq=False)
class SeenLines:
    """Lines of one shape on the drawing.

    Parameters
    ----------
    name : of the shape.
    visible : stretches that are seen, shape (n, 2, 2) [mm].
    hidden : stretches behind something, shape (m, 2, 2) [mm].
    nearness : greatest coordinate of the shape towards the viewer [mm].
    """

    name: str
    visible: Floats
    hidden: Floats
    nearness: float


def seen_lines(shapes: Sequence[Shape], view: Camera) -> tuple[SeenLines, ...]:
    """Split the edges of solids into what is seen and what is hidden.

    Of solids that lie exactly behind each other, as in a row seen along it, the nearest is
    told alone.

    Parameters
    ----------
    shapes : the solids; they may touch or run into each other.
    view : the direction of view.
    """
    shown = _unlike(shapes, view)
    faces = [_facing(shape, view) for shape in shown]
    edges = [_edges(shape, view) for shape in shown]
    covers = _covering(edges, faces)
    out = []
    for k, (shape, segments) in enumerate(zip(shown, edges, strict=True)):
        cover = [_intervals(segments, faces[j]) for j in np.flatnonzero(covers[k])]
        visible, hidden = _split(segments, cover)
        out.append(SeenLines(shape.name, visible, hidden, _nearness(shape, view)))
    return tuple(out)


def _nearness(shape: Shape, view: Camera) -> float:
    return float((shape.faces.reshape(-1, 3) @ view.towards).max())


def _unlike(shapes: Sequence[Shape], view: Camera) -> list[Shape]:
    """Leave out shapes that lie exactly behind a like one: they add no line and hide no more."""
    known: set[bytes] = set()
    kept = set()
    for k in sorted(range(len(shapes)), key=lambda n: -_nearness(shapes[n], view)):
        flat = np.round(view.seen(shapes[k].faces)[..., :2], 4) + 0.0
        key = flat.tobytes()
        if key not in known:
            known.add(key)
            kept.add(k)
    return [shape for k, shape in enumerate(shapes) if k in kept]


def seen_points(points: Floats, shapes: Sequence[Shape], view: Camera) -> np.ndarray[
    tuple[int], np.dtype[np.bool_]
]:  # fmt: skip
    """Which points nothing stands before.

    Parameters
    ----------
    points : shape (n, 3) [mm].
    shapes : the solids.
    view : the direction of view.
    """
    dots = view.seen(np.stack([points, points + 1e-3 * view.right], axis=1))
    seen = np.ones(len(points), bool)
    faces = [_facing(shape, view) for shape in shapes]
    for k in np.flatnonzero(_covering([dots], faces)[0]):
        seen[_intervals(dots, faces[k])[0].astype(int)] = False
    return seen


def _facing(shape: Shape, view: Camera) -> Floats:
    """Faces that look towards the viewer, as seen, shape (m, 4, 3)."""
    seen = view.seen(shape.faces)
    a, b = seen[:, 2] - seen[:, 0], seen[:, 3] - seen[:, 1]
    area = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    return np.asarray(seen[area > 1e-9])


def _edges(shape: Shape, view: Camera) -> Floats:
    """Edges that are drawn: the hard ones, and soft ones where the surface turns away."""
    turn = shape.beside @ view.towards
    outline = turn[:, 0] * turn[:, 1] < 0.0 if len(turn) else np.zeros(0, bool)
    segments = view.seen(np.concatenate([shape.hard, shape.soft[outline]]))
    length = np.hypot(*(segments[:, 1, :2] - segments[:, 0, :2]).T)
    return np.asarray(segments[length > 1e-6])


def _covering(
    edges: Sequence[Floats], faces: Sequence[Floats]
) -> np.ndarray[tuple[int, int], np.dtype[np.bool_]]:
    """Which faces may hide which edges: boxes overlap, and the edges reach farther back."""
    low_e, high_e = _boxes(edges)
    low_f, high_f = _boxes(faces)
    flat = (low_e[:, None, :2] <= high_f[None, :, :2]) & (low_f[None, :, :2] <= high_e[:, None, :2])
    behind = low_e[:, None, 2] < high_f[None, :, 2] - _BEHIND
    return np.asarray(flat.all(axis=-1) & behind)


def _boxes(groups: Sequence[Floats]) -> tuple[Floats, Floats]:
    """Least and greatest coordinates of each group; an empty one overlaps nothing."""
    low, high = np.full((len(groups), 3), np.inf), np.full((len(groups), 3), -np.inf)
    for k, group in enumerate(groups):
        if len(group):
            points = group.reshape(-1, 3)
            low[k], high[k] = points.min(axis=0), points.max(axis=0)
    return low, high


def _intervals(segments: Floats, faces: Floats) -> tuple[Floats, Floats, Floats]:
    """Hidden stretches: number of the edge, start and end as shares of it, three arrays."""
    which = np.flatnonzero(_touching(segments, faces))
    faces = faces[_touching(faces, segments[which])] if len(which) else faces[:0]
    rows = max(1, _CHUNK // max(len(faces), 1))
    parts = [_some_intervals(segments[which[i : i + rows]], faces)
             for i in range(0, len(which), rows)]  # fmt: skip
    if not len(faces) or not parts:
        return np.empty(0), np.empty(0), np.empty(0)
    number = [which[k * rows + part[0]] for k, part in enumerate(parts)]
    return (
        np.concatenate(number).astype(float),
        np.concatenate([part[1] for part in parts]),
        np.concatenate([part[2] for part in parts]),
    )


def _touching(some: Floats, others: Floats) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """Which of some shapes have boxes on the drawing that reach the box round all others."""
    flat = others[..., :2].reshape(-1, 2)
    low, high = flat.min(axis=0), flat.max(axis=0)
    own = some[..., :2]
    return np.asarray(((own.min(axis=1) <= high) & (own.max(axis=1) >= low)).all(axis=1))


def _some_intervals(
    segments: Floats, faces: Floats
) -> tuple[np.ndarray[tuple[int], np.dtype[np.int64]], Floats, Floats]:
    start, run = segments[:, 0], segments[:, 1] - segments[:, 0]
    low = np.zeros((len(segments), len(faces)))
    high = np.ones_like(low)
    for k in range(4):
        a, side = faces[:, k, :2], faces[:, (k + 1) % 4, :2] - faces[:, k, :2]
        size = np.maximum(np.hypot(*side.T), 1e-12)
        inward = np.stack([-side[:, 1], side[:, 0]], axis=1) / size[:, None]
        at = start[:, :2] @ inward.T - (a * inward).sum(axis=1) - _INSIDE
        at[:, size < 1e-9] = 1.0
        _clip(low, high, at, run[:, :2] @ inward.T)
    slope, level = _planes(faces)
    depth = level + start[:, :2] @ slope.T - start[:, 2:] - _BEHIND
    _clip(low, high, depth, run[:, :2] @ slope.T - run[:, 2:])
    i, j = np.nonzero(high - low > _SHORT)
    return i, low[i, j], high[i, j]


def _clip(low: Floats, high: Floats, at: Floats, rate: Floats) -> None:
    """Keep of each stretch where at + rate t is not below zero."""
    flat = np.abs(rate) < 1e-12
    safe = np.where(flat, 1.0, rate)
    root = -at / safe
    np.maximum(low, root, out=low, where=~flat & (rate > 0.0))
    np.minimum(high, root, out=high, where=~flat & (rate < 0.0))
    high[flat & (at < 0.0)] = -1.0


def _planes(faces: Floats) -> tuple[Floats, Floats]:
    """Each face's plane as nearness = level + slope . (right, up)."""
    normal = np.cross(faces[:, 2] - faces[:, 0], faces[:, 3] - faces[:, 1])
    slope = -normal[:, :2] / normal[:, 2:]
    middle = faces.mean(axis=1)
    return slope, middle[:, 2] - (slope * middle[:, :2]).sum(axis=1)


def _split(
    segments: Floats, cover: Sequence[tuple[Floats, Floats, Floats]]
) -> tuple[Floats, Floats]:
    """Seen and hidden stretches of edges from all that hides them, two arrays (n, 2, 2)."""
    if not cover:
        return segments[..., :2], np.empty((0, 2, 2))
    which, low, high = (np.concatenate(column) for column in zip(*cover, strict=True))
    order = np.lexsort((low, which))
    which, low, high = which[order].astype(int), low[order], high[order]
    starts = np.searchsorted(which, np.arange(len(segments) + 1))
    visible: list[Floats] = []
    hidden: list[Floats] = []
    for k, segment in enumerate(segments[..., :2]):
        here = slice(starts[k], starts[k + 1])
        for a, b, dark in _merged(low[here], high[here]):
            piece = segment[0] + np.array([[a], [b]]) * (segment[1] - segment[0])
            (hidden if dark else visible).append(piece)
    return _stacked(visible), _stacked(hidden)


def _merged(low: Floats, high: Floats) -> list[tuple[float, float, bool]]:
    """Stretches from 0 to 1, each hidden or not, from hidden ones sorted by their start."""
    out: list[tuple[float, float, bool]] = []
    at = 0.0
    for a, b in zip(low.tolist(), high.tolist(), strict=True):
        if a > at + _SHORT:
            out.append((at, a, False))
            at = a
        if b > at + _SHORT:
            if out and out[-1][2] and abs(out[-1][1] - at) < _SHORT:
                out[-1] = (out[-1][0], b, True)
            else:
                out.append((at, b, True))
            at = b
    if at < 1.0 - _SHORT:
        out.append((at, 1.0, False))
    return out


def _stacked(pieces: Sequence[Floats]) -> Floats:
    return np.array(pieces) if pieces else np.empty((0, 2, 2))
