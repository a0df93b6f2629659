"""Plane curves as curvature over arc length."""

from overbend.curve.core import Curve, Floats, OffsetCurve, Piece
from overbend.curve.path import ArcPath

__all__ = ["ArcPath", "Curve", "Floats", "OffsetCurve", "Piece"]
