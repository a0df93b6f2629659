"""How far a bent face lies off a flat one, place by place."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from overbend.curve import Floats
from overbend.errors import FrameError
from overbend.frame.contact import Contact, face_point
from overbend.frame.probe import outside
from overbend.frame.solid import Body

__all__ = ["Profile", "distances_to", "face_profile"]

_STEPS, _EXACT = 12, 1e-7


def distances_to(body: Body, points: Floats, way: Floats) -> Floats:
    """Distance from points along a direction to a part's surface.

    Parameters
    ----------
    body : the part.
    points : outside it or not deep inside, shape (n, 3) [mm].
    way : unit direction towards it, no more than 75 degrees off its face, shape (3,).

    Returns
    -------
    ndarray, shape (n,) [mm]
        Below zero where a point lies inside.
    """
    t0 = np.zeros(len(points))
    f0 = outside(body, points)
    t1 = f0.copy()
    for _ in range(_STEPS):
        f1 = outside(body, points + t1[:, None] * way)
        if np.abs(f1).max() < _EXACT:
            break
        drop = f1 - f0
        step = np.where(np.abs(drop) > 1e-12, -f1 * (t1 - t0) / np.where(drop == 0, 1, drop), f1)
        t0, f0, t1 = t1, f1, t1 + np.clip(step, -60.0, 60.0)
    return t1


@dataclass(frozen=True, eq=False)
class Profile:
    """The space between a flat face and what lies before it.

    Parameters
    ----------
    x : places across the flat face from its middle, shape (n,) [mm].
    gap : distance square to it there, below zero where the parts overlap, shape (n,) [mm].
    way : direction of x, shape (3,).
    normal : outward normal of the flat face, shape (3,).
    flat : id of the part whose face it is.
    """

    x: Floats
    gap: Floats
    way: Floats
    normal: Floats
    flat: str


def face_profile(a: Body, b: Body, contact: Contact, count: int = 17) -> Profile:
    """Measure the space between two faces that meet, from the flat one.

    Parameters
    ----------
    a, b : the parts of the contact.
    contact : of two faces.
    count : places measured.

    Raises
    ------
    FrameError
        When both parts are bent where they meet.
    """
    if b.line.straight or contact.face_b in ("near", "far"):
        base, face, s, other, s_o = b, contact.face_b, contact.s_b, a, contact.s_a
    elif a.line.straight or contact.face_a in ("near", "far"):
        base, face, s, other, s_o = a, contact.face_a, contact.s_a, b, contact.s_b
    else:
        raise FrameError(
            f"{a.id} and {b.id} meet with two bent faces", allowed="a flat face on one of them"
        )
    axes = base.axes(s)
    side, size = (axes[:, 2], base.width) if face in ("left", "right") else (axes[:, 1], base.depth)
    run = other.tangent(s_o)
    if abs(float(run @ side)) < abs(float(run @ axes[:, 0])):
        side, size = axes[:, 0], 2.0 * max(other.width, other.depth)
    normal = base.face_normal(face, s)
    x = np.linspace(-0.5, 0.5, count) * size
    points = face_point(base, face, s) + x[:, None] * side
    return Profile(x, distances_to(other, points, normal), side, normal, base.id)
