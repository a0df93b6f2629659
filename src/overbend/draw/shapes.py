"""Solids as drawings need them: plane faces, edges that always show, edges that may be outlines."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from overbend.curve import Floats
from overbend.frame import Block, Body

__all__ = ["Camera", "Shape", "block_shape", "body_shape", "camera"]

_ROUND = 12  # faces round a dowel


@dataclass(frozen=True, eq=False)
class Shape:
    """A solid of plane faces.

    Parameters
    ----------
    name : what a page calls it.
    faces : corners of convex plane faces, counter-clockwise from outside, shape (m, 4, 3) [mm].
    hard : edges that are always drawn, shape (k, 2, 3) [mm].
    soft : edges between faces that run on smoothly, shape (n, 2, 3) [mm].
    beside : normals of the two faces at each soft edge, shape (n, 2, 3).
    """

    name: str
    faces: Floats
    hard: Floats
    soft: Floats
    beside: Floats

    def moved(self, move: Floats) -> Shape:
        """Return the shape moved by a vector [mm]."""
        return Shape(self.name, self.faces + move, self.hard + move, self.soft + move, self.beside)


@dataclass(frozen=True, eq=False)
class Camera:
    """A parallel view.

    Parameters
    ----------
    right, up : directions of the drawing's axes in the piece, shape (3,).
    towards : direction towards the viewer, shape (3,).
    """

    right: Floats
    up: Floats
    towards: Floats

    def seen(self, points: Floats) -> Floats:
        """Points as (right, up, nearness), shape (..., 3) [mm]."""
        return np.asarray(points @ np.stack([self.right, self.up, self.towards], axis=1))


def camera(azimuth: float, elevation: float) -> Camera:
    """View from a direction round the piece.

    Parameters
    ----------
    azimuth : of the viewer, from the front towards the left [rad].
    elevation : of the viewer above level [rad], at most a right angle.

    Examples
    --------
    >>> camera(0.0, 0.0).right.tolist()
    [0.0, 1.0, 0.0]
    """
    c, s = math.cos(elevation), math.sin(elevation)
    towards = np.array([c * math.cos(azimuth), c * math.sin(azimuth), s])
    right = np.array([-math.sin(azimuth), math.cos(azimuth), 0.0]) + 0.0
    return Camera(right, np.cross(towards, right), towards)


def body_shape(body: Body, tolerance: float) -> Shape:
    """Shape of a part.

    Parameters
    ----------
    body : the part.
    tolerance : of its bent faces [mm].
    """
    rings = body.rings(body.stations(tolerance))
    mesh = body.mesh(tolerance)
    ahead = np.stack([rings[:-1], rings[1:]], axis=2).reshape(-1, 2, 3)
    around = [np.stack([ring, np.roll(ring, -1, axis=0)], axis=1) for ring in rings[[0, -1]]]
    hard = np.concatenate([ahead, *around])
    normals = mesh.normals[:-2].reshape(-1, 4, 3)  # ring, then side: far, left, near, right
    soft, beside = [], []
    for side in (1, 3):
        soft.append(np.stack([rings[1:-1, side], rings[1:-1, (side + 1) % 4]], axis=1))
        beside.append(np.stack([normals[:-1, side], normals[1:, side]], axis=1))
    return Shape(body.id, mesh.corners, hard, np.concatenate(soft), np.concatenate(beside))


def block_shape(block: Block, name: str) -> Shape:
    """Shape of a tenon, dowel or screw.

    Parameters
    ----------
    block : what is cut or put in.
    name : what a page calls it.
    """
    corners = _round_outline(block) if block.round else _square_outline(block)
    ends = np.stack([corners, corners + block.length * block.axis])
    n = len(corners)
    after = np.roll(ends, -1, axis=1)
    sides = np.stack([ends[0], after[0], after[1], ends[1]], axis=1)
    caps = _caps(ends)
    rims = np.stack([ends, after], axis=2).reshape(-1, 2, 3)
    along = np.stack([ends[0], ends[1]], axis=1)
    if not block.round:
        empty = np.empty((0, 2, 3))
        return Shape(name, np.concatenate([sides, caps]), np.concatenate([rims, along]),
                     empty, empty)  # fmt: skip
    out = sides.mean(axis=1) - (block.mouth + 0.5 * block.length * block.axis)
    normals = out / np.linalg.norm(out, axis=1, keepdims=True)
    beside = np.stack([normals[(np.arange(n) - 1) % n], normals], axis=1)
    return Shape(name, np.concatenate([sides, caps]), rims, along, beside)


def _square_outline(block: Block) -> Floats:
    _, across, thick = block.frame.T
    signs = ((-1, -1), (1, -1), (1, 1), (-1, 1))
    return np.array([block.mouth + 0.5 * (i * block.width * across + j * block.thickness * thick)
                     for i, j in signs])  # fmt: skip


def _round_outline(block: Block) -> Floats:
    _, across, thick = block.frame.T
    angle = np.linspace(0.0, 2.0 * math.pi, _ROUND, endpoint=False)[:, None]
    rim = np.cos(angle) * across + np.sin(angle) * thick
    return np.asarray(block.mouth + 0.5 * block.width * rim)


def _caps(ends: Floats) -> Floats:
    """Both end faces as quadrilaterals, outwards."""
    n = ends.shape[1]
    if n == 4:
        return np.stack([ends[0][::-1], ends[1]])
    middle = ends.mean(axis=1)
    after = np.roll(ends, -1, axis=1)
    first = np.stack([np.broadcast_to(middle[0], (n, 3)), after[0], ends[0],
                      np.broadcast_to(middle[0], (n, 3))], axis=1)  # fmt: skip
    last = np.stack([np.broadcast_to(middle[1], (n, 3)), ends[1], after[1],
                     np.broadcast_to(middle[1], (n, 3))], axis=1)  # fmt: skip
    return np.concatenate([first, last])
