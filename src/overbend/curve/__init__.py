"""Plane curves as curvature over arc length."""

from overbend.curve.arcs import arc_path, path_deviation, path_distance
from overbend.curve.build import (
    Jump,
    arc,
    biggest_deviation,
    chain,
    curvature_jumps,
    easement,
    line,
)
from overbend.curve.core import Curve, Floats, OffsetCurve, Piece
from overbend.curve.fair import through
from overbend.curve.path import ArcPath
from overbend.curve.read import CurveRead, read_curve, read_drawing

__all__ = [
    "ArcPath",
    "Curve",
    "CurveRead",
    "Floats",
    "Jump",
    "OffsetCurve",
    "Piece",
    "arc",
    "arc_path",
    "biggest_deviation",
    "chain",
    "curvature_jumps",
    "easement",
    "line",
    "path_deviation",
    "path_distance",
    "read_curve",
    "read_drawing",
    "through",
]
