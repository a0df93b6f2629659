"""Small bodies for the frame's tests."""

from __future__ import annotations

import math

from overbend.curve import Curve, arc, chain
from overbend.frame import Body, MidLine, plane_pose, straight_line


def bar(name, length, width, depth, plane="side", origin=(0.0, 0.0, 0.0), **pose):
    return Body(name, name.split("/")[0], straight_line(length), width, depth,
                plane_pose(plane, origin, **pose))  # fmt: skip


def bent(name, curve: Curve, width, depth, plane="side", origin=(0.0, 0.0, 0.0), **pose):
    return Body(name, name.split("/")[0], MidLine(curve), width, depth,
                plane_pose(plane, origin, **pose))  # fmt: skip


def quarter(radius=400.0, turn=math.pi / 2):
    """An arc from the origin along x, bending up."""
    return chain(arc(radius, turn))
