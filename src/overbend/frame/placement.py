"""Where parts stand: planes, rigid motions, mirror images and even rows.

The piece has x to the front, y to the left and z up from the floor. A part's curve lies in a
plane with axes u and v and normal w = u x v; a pose carries (u, v, w) into the piece.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import ArrayLike

from overbend.curve import Floats
from overbend.errors import FrameError

__all__ = [
    "AXES",
    "REFLECTION",
    "Fit",
    "Plane",
    "Pose",
    "Row",
    "even_row",
    "face_word",
    "instance_ids",
    "plane_pose",
    "turn_about",
]

Plane: TypeAlias = Literal["side", "front", "plan"]
Fit: TypeAlias = Literal["middles", "faces", "gaps"]

AXES: dict[str, tuple[float, float, float]] = {
    "x": (1.0, 0.0, 0.0),
    "y": (0.0, 1.0, 0.0),
    "z": (0.0, 0.0, 1.0),
    "-x": (-1.0, 0.0, 0.0),
    "-y": (0.0, -1.0, 0.0),
    "-z": (0.0, 0.0, -1.0),
}
"""Directions of the piece by name: x front, y left, z up."""

REFLECTION: Floats = np.diag([1.0, -1.0, 1.0])
"""Reflection in the piece's middle plane, y = 0. Its determinant is -1: it is no motion."""

_PLANES: dict[Plane, tuple[str, str, str]] = {
    "side": ("x", "z", "-y"),
    "front": ("y", "z", "x"),
    "plan": ("x", "y", "z"),
}
_HANDED: Floats = np.diag([1.0, -1.0, 1.0])
_LOOKS = (("x", "front", "back"), ("y", "left", "right"), ("z", "top", "bottom"))


@dataclass(frozen=True, eq=False)
class Pose:
    """A rigid motion from a part's own axes (u, v, w) into the piece.

    Parameters
    ----------
    rotation : columns are u, v and w in the piece, shape (3, 3), determinant 1.
    origin : where the part's own origin goes, shape (3,) [mm].

    Examples
    --------
    >>> pose = plane_pose("side", (100.0, 20.0, 0.0))
    >>> pose.point([3.0, 4.0, 5.0]).tolist()
    [103.0, 15.0, 4.0]
    """

    rotation: Floats
    origin: Floats

    def point(self, local: ArrayLike) -> Floats:
        """Points of the part, shape (..., 3), in the piece [mm]."""
        return np.asarray(local, float) @ self.rotation.T + self.origin

    def way(self, local: ArrayLike) -> Floats:
        """Directions of the part, shape (..., 3), in the piece."""
        return np.asarray(local, float) @ self.rotation.T

    def local_point(self, point: ArrayLike) -> Floats:
        """Points of the piece, shape (..., 3), in the part's own axes [mm]."""
        return (np.asarray(point, float) - self.origin) @ self.rotation

    def local_way(self, way: ArrayLike) -> Floats:
        """Directions of the piece, shape (..., 3), in the part's own axes."""
        return np.asarray(way, float) @ self.rotation

    def shifted(self, move: ArrayLike) -> Pose:
        """Return the pose moved by a vector [mm]."""
        return Pose(self.rotation, self.origin + np.asarray(move, float))

    def mirrored(self) -> Pose:
        """Return the pose of the mirror image, for the part built on the mirrored curve.

        With M the reflection in y = 0 and D that of v, a point ``o + R p`` of the part lies
        mirrored at ``M o + (M R D) (D p)``: ``M R D`` is a rotation again and ``D p`` a point of
        the mirrored curve, so that a right-hand part is a part and not a reflection.
        """
        return Pose(REFLECTION @ self.rotation @ _HANDED, REFLECTION @ self.origin)


def turn_about(axis: ArrayLike, angle: float) -> Floats:
    """Rotation matrix about a direction by an angle, by the right-hand rule.

    Parameters
    ----------
    axis : direction, shape (3,), any length above zero.
    angle : [rad].

    Returns
    -------
    ndarray, shape (3, 3)

    References
    ----------
    Rodrigues' formula, ``I + sin a K + (1 - cos a) K^2``.

    Examples
    --------
    >>> (turn_about([0, 0, 2], math.pi / 2) @ [1.0, 0.0, 0.0]).round(12).tolist()
    [0.0, 1.0, 0.0]
    """
    x, y, z = np.asarray(axis, float) / np.linalg.norm(axis)
    cross = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    turned = np.eye(3) + math.sin(angle) * cross + (1.0 - math.cos(angle)) * (cross @ cross)
    return np.asarray(turned)


def plane_pose(
    plane: Plane,
    origin: Sequence[float] | Floats = (0.0, 0.0, 0.0),
    *,
    turn: float = 0.0,
    tilt: float = 0.0,
    about: Literal["x", "y"] | None = None,
    swing: float = 0.0,
) -> Pose:
    """Pose of a curve drawn in a plane of the piece.

    Parameters
    ----------
    plane : "side" (u front, v up), "front" (u left, v up) or "plan" (u front, v left).
    origin : where the curve's own origin goes [mm].
    turn : of the curve within its plane, to the left [rad].
    tilt : of the plane about a horizontal line through the origin, right-hand rule [rad]:
        about y what points up leans to the front, about x to the right.
    about : that line; None: x for the side plane, y for the others.
    swing : of the tilted plane about the upright through the origin, to the left [rad].

    Examples
    --------
    >>> leaning = plane_pose("front", tilt=math.radians(-90.0))
    >>> leaning.way([0.0, 1.0, 0.0]).round(12).tolist()
    [-1.0, 0.0, 0.0]
    """
    base = np.array([AXES[name] for name in _PLANES[plane]]).T
    line = about or ("x" if plane == "side" else "y")
    rotation = (
        turn_about(AXES["z"], swing)
        @ turn_about(AXES[line], tilt)
        @ base
        @ turn_about(AXES["z"], turn)
    )
    return Pose(rotation, np.asarray(origin, float))


def face_word(normal: ArrayLike) -> str:
    """Which way a face looks: front, back, left, right, top or bottom.

    Examples
    --------
    >>> face_word([0.2, -0.9, 0.1])
    'right'
    """
    way = np.asarray(normal, float)
    k = int(np.abs(way).argmax())
    _, plus, minus = _LOOKS[k]
    return plus if way[k] > 0.0 else minus


# -- rows ---------------------------------------------------------------------------------


@dataclass(frozen=True)
class Row:
    """Evenly spaced parts.

    Parameters
    ----------
    offsets : of each part's middle from the row's origin [mm].
    pitch : from middle to middle [mm].
    gap : clear between neighbours, which is the size of the spacer [mm].
    end_gap : clear at either end of the span [mm]; 0 unless the gaps reach to its ends.
    """

    offsets: tuple[float, ...]
    pitch: float
    gap: float
    end_gap: float = 0.0


def even_row(
    count: int, span: float, size: float, fit: Fit = "middles", *, centred: bool = False
) -> Row:
    """Space parts evenly over a span.

    Parameters
    ----------
    count : how many, 2 or more.
    span : length they are spread over [mm].
    size : of one part along the row [mm].
    fit : what the ends of the span are. "middles": of the first and last part; "faces":
        their outer faces; "gaps": there is a gap, as wide as the others, at each end.
    centred : whether the origin is the span's middle; else it is its beginning.

    Raises
    ------
    FrameError
        When the parts do not fit into the span.

    Examples
    --------
    >>> even_row(3, 100.0, 20.0, "gaps")
    Row(offsets=(20.0, 50.0, 80.0), pitch=30.0, gap=10.0, end_gap=10.0)
    >>> even_row(3, 100.0, 20.0, "faces", centred=True).offsets
    (-40.0, 0.0, 40.0)
    """
    if count < 2:
        raise FrameError(f"a row of {count}", allowed="2 parts or more")
    if fit == "middles":
        pitch, first, end = span / (count - 1), 0.0, 0.0
    elif fit == "faces":
        pitch, first, end = (span - size) / (count - 1), size / 2, 0.0
    else:
        end = (span - count * size) / (count + 1)
        pitch, first = size + end, end + size / 2
    gap = pitch - size
    if fit != "middles" and gap < 0.0:
        raise FrameError(
            f"{count} parts of {size:.4g} mm over a span of {span:.4g} mm overlap by {-gap:.4g} mm",
            allowed=f"a span of {count * size:.4g} mm or more",
            todo="lengthen the span, or use fewer or narrower parts",
        )
    shift = first - (span / 2 if centred else 0.0)
    return Row(tuple(shift + pitch * i for i in range(count)), pitch, gap, end)


def instance_ids(name: str, mirror: bool, count: int) -> tuple[str, ...]:
    """Stable ids of the single pieces of a part: of the left ones first.

    Parameters
    ----------
    name : of the part.
    mirror : whether there are left and right ones.
    count : how many of each.

    Examples
    --------
    >>> instance_ids("leg", True, 1), instance_ids("slat", False, 2)
    (('leg/left', 'leg/right'), ('slat/1', 'slat/2'))
    """
    sides = [f"{name}/left", f"{name}/right"] if mirror else [name]
    if count == 1:
        return tuple(sides)
    return tuple(f"{side}/{i}" for side in sides for i in range(1, count + 1))
