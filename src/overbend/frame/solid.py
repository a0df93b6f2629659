"""A part as a solid: a rectangle swept along its middle line, or a bar with sawn ends."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import ArrayLike

from overbend.curve import Curve, Floats
from overbend.errors import FrameError
from overbend.frame.midline import MidLine
from overbend.frame.placement import Pose

__all__ = ["FACES", "Body", "Ends", "FaceName", "Mesh", "bounding_pairs"]

FaceName: TypeAlias = Literal["left", "right", "near", "far", "start", "end"]
Ends: TypeAlias = tuple[Floats | None, Floats | None]

FACES: tuple[FaceName, ...] = ("left", "right", "near", "far", "start", "end")
"""Faces of a part: left and right of its line in its plane, near (w above zero) and far."""

_GAUSS, _WEIGHTS = np.polynomial.legendre.leggauss(6)
_CORNERS = np.array([[-0.5, -0.5], [0.5, -0.5], [0.5, 0.5], [-0.5, 0.5]])  # in (depth, width)


@dataclass(frozen=True, eq=False)
class Mesh:
    """A closed surface of plane quadrilaterals.

    Parameters
    ----------
    vertices : shape (n, 3) [mm].
    quads : corners of each face, counter-clockwise from outside, shape (m, 4).
    """

    vertices: Floats
    quads: np.ndarray[tuple[int, int], np.dtype[np.int64]]

    @property
    def triangles(self) -> np.ndarray[tuple[int, int], np.dtype[np.int64]]:
        """Two triangles for each quadrilateral, shape (2 m, 3)."""
        a, b, c, d = self.quads.T
        return np.concatenate([np.stack([a, b, c], axis=1), np.stack([a, c, d], axis=1)])

    @property
    def corners(self) -> Floats:
        """Corners of each face, shape (m, 4, 3) [mm]."""
        return self.vertices[self.quads]

    @property
    def normals(self) -> Floats:
        """Outward unit normal of each face, shape (m, 3)."""
        p = self.corners
        across = np.cross(p[:, 2] - p[:, 0], p[:, 3] - p[:, 1])
        return np.asarray(across / np.linalg.norm(across, axis=1, keepdims=True))


@dataclass(frozen=True, eq=False)
class Body:
    """One part in space: a rectangle swept along a middle line.

    Parameters
    ----------
    id : of the single part, such as "leg/left".
    kind : name of the part it is one of.
    line : middle line in the part's plane.
    width : across the plane [mm].
    depth : in the plane, across the line [mm].
    pose : where it stands.
    cuts : outward normals of the planes that end a straight part, in (along, left, across)
        of its line; None is square.
    mirrored : whether it is the mirror image of the part as drawn.

    Examples
    --------
    >>> from overbend.frame.midline import straight_line
    >>> from overbend.frame.placement import plane_pose
    >>> bar = Body("rail", "rail", straight_line(500.0), 60.0, 20.0, plane_pose("front"))
    >>> bar.volume, bar.area, bar.centroid.tolist()
    (600000.0, 82400.0, [0.0, 250.0, 0.0])
    """

    id: str
    kind: str
    line: MidLine
    width: float
    depth: float
    pose: Pose
    cuts: Ends = (None, None)
    mirrored: bool = False

    def __post_init__(self) -> None:
        if any(cut is not None for cut in self.cuts) and not self.line.straight:
            raise FrameError("a slanting end on a bent part", self.id, "square ends")

    # -- along the line ----------------------------------------------------------------
    @property
    def curve(self) -> Curve:
        """The middle line in the part's plane."""
        return self.line.curve

    @property
    def length(self) -> float:
        """Length along the middle line [mm]."""
        return self.line.length

    def point(self, s: ArrayLike, z: ArrayLike = 0.0, w: ArrayLike = 0.0) -> Floats:
        """Points of the part in the piece.

        Parameters
        ----------
        s : arc length of the middle line [mm].
        z : distance to the left of it, in its plane [mm].
        w : distance across the plane [mm].

        Returns
        -------
        ndarray, shape (..., 3) [mm]
        """
        at, left, across = (np.asarray(v, float)[..., None] for v in (s, z, w))
        if self.line.straight:
            origin, axes = self._bar
            return np.asarray(origin + at * axes[:, 0] + left * axes[:, 1] + across * axes[:, 2])
        angle = self.curve.angle(at[..., 0])
        flat = self.curve.point(at[..., 0])
        u = flat[..., :1] - left * np.sin(angle)[..., None]
        v = flat[..., 1:] + left * np.cos(angle)[..., None]
        x, y, n = self.pose.rotation.T
        return np.asarray(self.pose.origin + u * x + v * y + across * n)

    @cached_property
    def _bar(self) -> tuple[Floats, Floats]:
        """Start and axes of a straight part."""
        flat = self.curve.point(0.0)
        origin = self.pose.point(np.append(flat, 0.0))
        return origin, self._axes_at(self.curve.heading)

    def _axes_at(self, angle: float) -> Floats:
        x, y, n = self.pose.rotation.T
        c, t = math.cos(angle), math.sin(angle)
        return np.array([c * x + t * y, c * y - t * x, n]).T

    def axes(self, s: ArrayLike) -> Floats:
        """Directions along, left and across, as columns, shape (..., 3, 3)."""
        at = np.asarray(s, float)
        if at.ndim == 0:
            return (
                self._bar[1] if self.line.straight else self._axes_at(float(self.curve.angle(at)))
            )
        angle = self.curve.angle(at)
        own = np.zeros((*at.shape, 3, 3))
        own[..., 0, 0] = own[..., 1, 1] = np.cos(angle)
        own[..., 1, 0] = np.sin(angle)
        own[..., 0, 1] = -own[..., 1, 0]
        own[..., 2, 2] = 1.0
        return np.asarray(self.pose.rotation @ own)

    def tangent(self, s: ArrayLike) -> Floats:
        """Direction of the line, shape (..., 3)."""
        return np.asarray(self.axes(s)[..., :, 0])

    def end_normal(self, end: int) -> Floats:
        """Outward normal of the face at the start (0) or end (1), shape (3,)."""
        axes = self.axes(self.length * end)
        cut = self.cuts[end]
        return np.asarray(axes @ (np.array([2.0 * end - 1.0, 0.0, 0.0]) if cut is None else cut))

    def face_normal(self, face: FaceName, s: float) -> Floats:
        """Outward normal of a face at a station, shape (3,)."""
        if face in ("start", "end"):
            return self.end_normal(FACES.index(face) - 4)
        sign, column = {"left": (1, 1), "right": (-1, 1), "near": (1, 2), "far": (-1, 2)}[face]
        return np.asarray(sign * self.axes(s)[:, column])

    def moved(self, move: ArrayLike) -> Body:
        """Return the same part moved by a vector [mm]."""
        return replace(self, pose=self.pose.shifted(move))

    # -- exact sizes -------------------------------------------------------------------
    @cached_property
    def _slopes(self) -> Floats:
        """How far each end runs out along the line per depth and width, shape (2, 2)."""
        rows = [[0.0, 0.0] if c is None else [-c[1] / c[0], -c[2] / c[0]] for c in self.cuts]
        return np.array(rows)

    @property
    def volume(self) -> float:
        """Volume [mm3], exact: section times length of the middle line.

        For a bent part ``int (1 - kappa z) dz ds`` over a section that is even about the
        line leaves depth times length; for sawn ends the slopes cancel the same way.
        """
        return self.width * self.depth * self.length

    @property
    def area(self) -> float:
        """Surface [mm2], exact.

        The two curved faces together are twice the middle line long, whatever they bend.
        """
        section, around = self.width * self.depth, 2.0 * (self.width + self.depth)
        ends = sum(math.sqrt(1.0 + float(row @ row)) for row in self._slopes)
        return around * self.length + section * ends

    @property
    def centroid(self) -> Floats:
        """Centre of volume in the piece, shape (3,) [mm]."""
        return self.pose.point(self._local_centroid())

    def _local_centroid(self) -> Floats:
        """Centre of volume in the part's axes.

        Bent: ``(1/L) [int p ds - (h^2/12) (t(L) - t(0))]``. Straight with sawn ends: a prism cut
        by two planes, with second moments h^2/12 and b^2/12 of its section.
        """
        curve, length = self.curve, self.length
        if self.line.straight:
            inertia = np.array([self.depth, self.width]) ** 2 / 12.0
            at_start, at_end = self._slopes
            along = length / 2 + float(((at_end**2 - at_start**2) * inertia).sum()) / (2 * length)
            z, w = (at_end - at_start) * inertia / length
            flat = curve.point(0.0) + along * curve.tangent(0.0) + z * curve.normal(0.0)
            return np.array([flat[0], flat[1], w])
        t0, t1 = curve.tangent([0.0, length])
        flat = _mean_point(curve) - self.depth**2 / (12.0 * length) * (t1 - t0)
        return np.array([flat[0], flat[1], 0.0])

    # -- surface -----------------------------------------------------------------------
    def mesh(self, tolerance: float = 0.05) -> Mesh:
        """Closed surface of plane faces, in the piece.

        Parameters
        ----------
        tolerance : greatest distance of the faces from the curved ones [mm].

        Raises
        ------
        FrameError
            A tolerance that is not above zero.
        """
        if not tolerance > 0.0:
            raise FrameError(f"a tolerance of {tolerance:g} mm", allowed="above zero")
        rings = self.rings(self.stations(tolerance))
        return Mesh(rings.reshape(-1, 3), _quads(len(rings)))

    def stations(self, tolerance: float) -> Floats:
        """Stations between which the outer face departs from its chord by a tolerance [mm]."""
        return self.line.stations(self.depth, tolerance)

    def rings(self, s: Floats) -> Floats:
        """Corners of the section at stations, sawn ends included, shape (n, 4, 3) [mm].

        In order: right far, left far, left near, right near.
        """
        z, w = (_CORNERS * [self.depth, self.width]).T
        rings = self.point(s[:, None], z[None], w[None])
        for end in (0, 1):
            out = self._slopes[end] @ np.stack([z, w])
            rings[-end] += out[:, None] * self.tangent(self.length * end)
        return rings

    @cached_property
    def box(self) -> Floats:
        """Least and greatest x, y, z of the part, shape (2, 3) [mm]."""
        corners = self.rings(self.stations(0.2)).reshape(-1, 3)
        return np.stack([corners.min(axis=0), corners.max(axis=0)])

    @cached_property
    def tips(self) -> Floats:
        """Both ends of the middle line, shape (2, 3) [mm]."""
        return self.point(np.array([0.0, self.length]))

    def extent(self, way: ArrayLike) -> tuple[float, float]:
        """Least and greatest coordinate of the part along a unit direction [mm]."""
        reach = self.rings(self.stations(0.002)).reshape(-1, 3) @ np.asarray(way, float)
        return float(reach.min()), float(reach.max())


def _quads(rings: int) -> np.ndarray[tuple[int, int], np.dtype[np.int64]]:
    """Faces of a tube of rectangles with both ends closed, outwards."""
    i = 4 * np.arange(rings - 1)[:, None]
    a = np.arange(4)[None]
    b = (a + 1) % 4
    sides = np.stack([i + a, i + b, i + 4 + b, i + 4 + a], axis=-1).reshape(-1, 4)
    last = 4 * (rings - 1)
    ends = np.array([[3, 2, 1, 0], [last, last + 1, last + 2, last + 3]])
    return np.concatenate([sides, ends])


def _mean_point(curve: Curve) -> Floats:
    """Mean of the points of a curve over its length, shape (2,) [mm]."""
    cuts = curve.grid(max(curve.length / 24.0, 1.0))
    half = 0.5 * np.diff(cuts)
    s = (0.5 * (cuts[:-1] + cuts[1:]))[:, None] + half[:, None] * _GAUSS
    points = curve.point(s)
    total = np.einsum("i,g,igk->k", half, _WEIGHTS, points)
    return np.asarray(total / curve.length)


def bounding_pairs(bodies: Sequence[Body], reach: float) -> list[tuple[int, int]]:
    """Pairs of parts whose boxes come within a reach of each other, in order.

    Parameters
    ----------
    bodies : the parts.
    reach : [mm].
    """
    boxes = np.array([body.box for body in bodies]).reshape(-1, 2, 3)
    low, high = boxes[:, 0], boxes[:, 1]
    near = (low[:, None] <= high[None] + reach).all(-1) & (low[None] <= high[:, None] + reach).all(
        -1
    )
    return [(int(i), int(j)) for i, j in zip(*np.nonzero(np.triu(near, 1)), strict=True)]
