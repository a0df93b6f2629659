"""A path of straight lines and circular arcs, the exact form that drawings and files use.

Vertices carry a bulge, ``tan(sweep / 4)`` of the arc to the next vertex: zero for a
line, positive counter-clockwise, as in the DXF format (LWPOLYLINE, group code 42).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from overbend.curve.core import Floats

__all__ = ["ArcPath"]

FLAT = 1e-14  # a bulge below this departs from its chord by less than rounding does


@dataclass(frozen=True, eq=False)
class ArcPath:
    """A chain of lines and arcs.

    Parameters
    ----------
    vertices : x, y [mm] and bulge to the next vertex, shape (n, 3), n >= 2. The last
        bulge is used only when the path is closed.
    closed : whether the last vertex runs back to the first.
    """

    vertices: Floats
    closed: bool = False

    @classmethod
    def polyline(cls, points: Floats, closed: bool = False) -> ArcPath:
        """Return a path of straight lines through points, shape (n, 2) [mm]."""
        xy = np.asarray(points, float)
        return cls(np.column_stack([xy, np.zeros(len(xy))]), closed)

    @property
    def ends(self) -> tuple[Floats, Floats]:
        """Start and end vertex of each segment, two arrays of shape (m, 3)."""
        rows = self.vertices
        if self.closed:
            return rows, np.concatenate([rows[1:], rows[:1]])
        return rows[:-1], rows[1:]

    @property
    def length(self) -> float:
        """Total length [mm]."""
        a, b = self.ends
        chord = np.hypot(*(b - a)[:, :2].T)
        half = 2.0 * np.arctan(a[:, 2])
        return float((chord / np.sinc(half / np.pi)).sum())

    def flatten(self, tolerance: float = 0.01) -> Floats:
        """Points on the path no further than `tolerance` from it between them [mm]."""
        a, b = self.ends
        rows = [_arc_points(p, q, tolerance) for p, q in zip(a, b, strict=True)]
        last = [] if self.closed else [self.vertices[-1:, :2]]
        return np.concatenate([*rows, *last])

    def moved(self, dx: float = 0.0, dy: float = 0.0, turn: float = 0.0) -> ArcPath:
        """Turn about the origin by `turn` [rad], then shift by (dx, dy) [mm]."""
        c, s = math.cos(turn), math.sin(turn)
        x, y, bulge = self.vertices.T
        moved = np.column_stack([c * x - s * y + dx, s * x + c * y + dy, bulge])
        return ArcPath(moved, self.closed)

    def reversed(self) -> ArcPath:
        """Run the same path from the other end."""
        xy = self.vertices[::-1, :2]
        bulge = -np.roll(self.vertices[::-1, 2], -1)
        return ArcPath(np.column_stack([xy, bulge]), self.closed)

    def mirrored(self) -> ArcPath:
        """Reflect in the x axis."""
        return ArcPath(self.vertices * (1.0, -1.0, -1.0), self.closed)

    def joined(self, other: ArcPath, closed: bool = False) -> ArcPath:
        """Run on into `other`, with a straight line across any gap."""
        mine = self.vertices.copy()
        mine[-1, 2] = 0.0
        theirs = other.vertices
        if np.hypot(*(mine[-1, :2] - theirs[0, :2])) < 1e-9:
            mine = mine[:-1]
        return ArcPath(np.concatenate([mine, theirs]), closed)

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Smallest box round the path: x0, y0, x1, y1 [mm], within 0.001 mm."""
        xy = self.flatten(0.001)
        (x0, y0), (x1, y1) = xy.min(axis=0), xy.max(axis=0)
        return float(x0), float(y0), float(x1), float(y1)


def _arc_points(p: Floats, q: Floats, tolerance: float) -> Floats:
    """Points from p up to but without q on the arc between them."""
    if abs(p[2]) < FLAT:
        return p[None, :2]
    half = 2.0 * math.atan(p[2])
    chord = q[:2] - p[:2]
    span = math.hypot(*chord)
    radius = span / (2.0 * abs(math.sin(half)))
    step = 4.0 * math.asin(math.sqrt(min(tolerance / radius, 1.0) / 2.0))
    n = max(1, math.ceil(2.0 * abs(half) / step))
    t = np.arange(n) / n
    heading = math.atan2(chord[1], chord[0]) - half
    run = 2.0 * abs(half) * radius * t
    turn = half * t
    distance = run * np.sinc(turn / np.pi)
    offset = np.stack([np.cos(heading + turn), np.sin(heading + turn)], axis=-1)
    return np.asarray(p[None, :2] + distance[:, None] * offset)
