"""The lines, arcs and free curves of a drawing, and how they join end to end."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from overbend.curve.core import Floats
from overbend.errors import DrawingFileError

__all__ = ["Strand", "bow", "free", "in_order", "straight", "wrapped"]

_NOTHING = 1e-6  # mm: shorter strands are left out
_FARTHEST = 1e7  # mm
_STEP = 0.02  # rad turned between two samples of a free curve at most
_FEWEST, _MOST = 33, 4097  # samples of a free curve


@dataclass(frozen=True, eq=False)
class Strand:
    """One line, arc or free curve of a drawing.

    Parameters
    ----------
    points : start and end, or samples of a free curve, shape (n, 2) [mm].
    headings : direction of travel at the points, shape (n,) [rad].
    bulge : tan(sweep / 4) of an arc, 0 for a line, None for a free curve.
    layer : where it was drawn.
    """

    points: Floats
    headings: Floats
    bulge: float | None
    layer: str = ""

    @property
    def length(self) -> float:
        """Length [mm]; of a free curve that of the chords between its samples."""
        chords = np.hypot(*np.diff(self.points, axis=0).T)
        return float(chords.sum() / np.sinc(2.0 * math.atan(self.bulge or 0.0) / np.pi))

    @property
    def sweep(self) -> float:
        """Angle turned by a line or an arc [rad]."""
        return 4.0 * math.atan(self.bulge or 0.0)

    def reversed(self) -> Strand:
        """Run the same strand from its other end."""
        bulge = None if self.bulge is None else -self.bulge
        return Strand(self.points[::-1], self.headings[::-1] + np.pi, bulge, self.layer)

    def samples(self, count: int = 9) -> Floats:
        """Points on it, shape (n, 2) [mm]."""
        if self.bulge is None:
            return self.points
        t = np.linspace(0.0, 1.0, count)
        half = 0.5 * self.sweep * t
        way = self.length * t * np.sinc(half / np.pi)
        angle = self.headings[0] + half
        unit = np.stack([np.cos(angle), np.sin(angle)], axis=-1)
        return np.asarray(self.points[0] + way[:, None] * unit)


def wrapped(angle: float) -> float:
    """Angle brought to -pi to pi [rad]."""
    return math.remainder(angle, 2.0 * math.pi)


def straight(start: ArrayLike, end: ArrayLike, layer: str = "") -> Strand:
    """A straight strand."""
    return bow(start, end, 0.0, layer)


def bow(start: ArrayLike, end: ArrayLike, bulge: float, layer: str = "") -> Strand:
    """An arc by its ends and its bulge, positive when it turns left.

    Examples
    --------
    >>> half = bow((0, 0), (100, 0), 1.0)
    >>> round(half.length, 3), half.samples(3)[1].round(6).tolist()
    (157.08, [50.0, -50.0])
    """
    points = np.array([start, end], float)
    dx, dy = points[1] - points[0]
    chord, half = math.atan2(dy, dx), 2.0 * math.atan(bulge)
    return Strand(points, np.array([chord - half, chord + half]), float(bulge), layer)


def free(
    place: Callable[[Floats], tuple[Floats, Floats]], t0: float, t1: float, layer: str = ""
) -> Strand:
    """A free curve, sampled finely.

    Parameters
    ----------
    place : gives positions and derivatives, shape (n, 2) each, at parameters (n,).
    t0, t1 : parameters of its ends.
    layer : where it was drawn.
    """
    count = _FEWEST
    while True:
        t = np.linspace(t0, t1, count)
        points, _ = place(t)
        inside = np.clip(t, t0 + 1e-7 * (t1 - t0), t1 - 1e-7 * (t1 - t0))
        _, slope = place(inside)  # just inside: handles of no length have no direction
        headings = np.unwrap(np.arctan2(slope[:, 1], slope[:, 0]))
        if np.abs(np.diff(headings)).max() <= _STEP or count >= _MOST:
            return Strand(points, headings, None, layer)
        count = 2 * count - 1


def in_order(strands: Sequence[Strand], tolerance: float) -> list[Strand]:
    """Join strands end to end into one path.

    Parameters
    ----------
    strands : in any order and direction.
    tolerance : ends nearer than this meet [mm].

    Returns
    -------
    list of Strand
        In order, each run the way of the path; the first strand given keeps its
        direction.

    Raises
    ------
    DrawingFileError
        When they make no path, several separate ones, or one that branches.
    """
    if any(np.abs(s.points).max() > _FARTHEST for s in strands):
        raise DrawingFileError(
            f"something drawn more than {_FARTHEST / 1e6:g} km from the origin",
            todo="move the drawing to its origin, or say in what unit it was drawn",
        )
    kept = _without_doubles([s for s in strands if s.length > _NOTHING], tolerance)
    if not kept:
        raise DrawingFileError(
            "nothing drawn that a curve could be read from",
            allowed="lines, arcs, circles, polylines, ellipses and splines",
            todo="check that the file is the right one and that the layer is switched on",
        )
    nodes = _nodes(kept, min(tolerance, 0.3 * min(s.length for s in kept)))
    _refuse_separate(kept, nodes)
    _refuse_branches(kept, nodes)
    return _walk(kept, nodes)


def _without_doubles(strands: list[Strand], tolerance: float) -> list[Strand]:
    """Leave out strands drawn twice on top of each other."""
    seen: set[tuple[int, ...]] = set()
    kept = []
    for s in strands:
        middle = s.samples(3)[1] if s.bulge is not None else s.points[len(s.points) // 2]
        a, b, m = (tuple(np.round(p / tolerance).astype(int).tolist()) for p in
                   (s.points[0], s.points[-1], middle))  # fmt: skip
        key = (*min(a, b), *max(a, b), *m)
        if key not in seen:
            seen.add(key)
            kept.append(s)
    return kept


def _nodes(strands: list[Strand], gap: float) -> NDArray[np.intp]:
    """Number of the place where each strand starts and ends, shape (n, 2)."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components
    from scipy.spatial import cKDTree

    ends = np.concatenate([s.points[[0, -1]] for s in strands])
    pairs = cKDTree(ends).query_pairs(gap, output_type="ndarray")
    links = coo_array((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), (len(ends), len(ends)))
    return connected_components(links, directed=False)[1].astype(np.intp).reshape(-1, 2)


def _refuse_separate(strands: list[Strand], nodes: NDArray[np.intp]) -> None:
    """Raise unless everything hangs together."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    size = int(nodes.max()) + 1
    links = coo_array((np.ones(len(nodes)), (nodes[:, 0], nodes[:, 1])), (size, size))
    count, label = connected_components(links, directed=False)
    if count == 1:
        return
    where: dict[int, str] = {}
    for s, node in zip(strands, nodes[:, 0], strict=True):
        where.setdefault(int(label[node]), s.layer)
    layers = Counter(where.values())
    listed = ", ".join(f"{n} on {name!r}" if name else f"{n} on none" for name, n in
                       sorted(layers.items())[:8])  # fmt: skip
    raise DrawingFileError(
        f"{count} separate paths in the drawing; by layer: {listed}",
        allowed="one path, its pieces meeting end to end",
        todo="give the layer that holds only the wanted curve, or close the gaps between its pieces"
        if len(layers) > 1
        else "put the wanted curve on a layer of its own and give that layer, or close the gaps",
    )


def _refuse_branches(strands: list[Strand], nodes: NDArray[np.intp]) -> None:
    """Raise where more than two ends meet."""
    meet = np.bincount(nodes.ravel())
    if meet.max() > 2:
        i, side = np.argwhere(nodes == int(meet.argmax()))[0]
        x, y = strands[i].points[-side]
        raise DrawingFileError(
            f"{meet.max()} lines meet at ({x:.4g}, {y:.4g}) mm",
            allowed="one path without branches",
            todo="put the wanted curve on a layer of its own and give that layer",
        )


def _walk(strands: list[Strand], nodes: NDArray[np.intp]) -> list[Strand]:
    """Follow the path from a free end, or round from the first strand."""
    at: dict[int, list[int]] = {}
    for i, pair in enumerate(nodes.tolist()):
        for node in pair:
            at.setdefault(node, []).append(i)
    free_ends = [node for node, users in at.items() if len(users) == 1]
    node = free_ends[0] if free_ends else int(nodes[0, 0])
    i = at[node][0] if free_ends else 0
    out: list[tuple[int, bool]] = []
    used: set[int] = set()
    while i >= 0:
        forwards = int(nodes[i, 0]) == node
        out.append((i, forwards))
        used.add(i)
        node = int(nodes[i, 1 if forwards else 0])
        i = next((j for j in at[node] if j not in used), -1)
    if not dict(out)[0]:
        out = [(i, not forwards) for i, forwards in reversed(out)]
    return _from_corner([strands[i] if f else strands[i].reversed() for i, f in out], free_ends)


def _from_corner(path: list[Strand], free_ends: Iterable[int]) -> list[Strand]:
    """Let a ring start at its sharpest corner, where it may stay open."""
    if free_ends or len(path) < 2:
        return path
    corner = [abs(wrapped(b.headings[0] - a.headings[-1])) for a, b in
              zip([path[-1], *path[:-1]], path, strict=True)]  # fmt: skip
    sharpest = int(np.argmax(np.round(corner, 6)))
    return path[sharpest:] + path[:sharpest]
