"""Seen and hidden lines of a piece as strokes: joined, each drawn once, seen before hidden."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, cast

import numpy as np

from overbend.curve import ArcPath, Floats
from overbend.draw.drawing import Item, Layer, Pen, Stroke
from overbend.draw.hidden import SeenLines

if TYPE_CHECKING:
    from shapely import LineString
    from shapely.geometry.base import BaseGeometry

__all__ = ["piece_strokes"]

_GRID = 1e-4  # mm to which ends are brought together
_CLEAR = 0.3  # mm on paper: a hidden line nearer than this to a seen one is left out
_LEAST = 1.2  # mm on paper: shorter hidden stretches are left out


def piece_strokes(lines: Sequence[SeenLines], scale: float, hidden: bool = True) -> list[Item]:
    """Strokes for the lines of a piece.

    Parameters
    ----------
    lines : of each shape.
    scale : the drawing will be written at.
    hidden : whether hidden lines are drawn, dashed.
    """
    near_first = sorted(lines, key=lambda one: -one.nearness)
    drawn: set[tuple[int, ...]] = set()
    items: list[Item] = []
    seen: list[BaseGeometry] = []
    for one in near_first:
        segments = _fresh(one.visible, drawn)
        if len(segments):
            paths = _joined(segments)
            seen += paths
            items += [
                Stroke(ArcPath.polyline(np.asarray(p.coords)), Layer.PART, Pen.OUTLINE, one.name)
                for p in paths
            ]
    if hidden:
        items += _hidden_strokes(near_first, seen, drawn, scale)
    return items


def _hidden_strokes(
    lines: Sequence[SeenLines],
    seen: Sequence[BaseGeometry],
    drawn: set[tuple[int, ...]],
    scale: float,
) -> list[Item]:
    """Dashed lines, where nothing that is seen runs beside them."""
    room = _CLEAR / scale
    covered = [_strip(seen, room)]
    items: list[Item] = []
    for one in lines:
        segments = _fresh(one.hidden, drawn)
        if not len(segments):
            continue
        left = _multi(segments)
        for cover in covered:
            if _near(left, cover):
                left = left.difference(cover)
        parts = [part for part in _lines_of(left) if part.length * scale >= _LEAST]
        items += [
            Stroke(ArcPath.polyline(np.asarray(p.coords)), Layer.CENTRE, Pen.HIDDEN, one.name)
            for p in parts
        ]
        if parts:
            covered.append(_strip(parts, room))
    return items


def _strip(lines: Sequence[BaseGeometry], room: float) -> BaseGeometry:
    """Everything nearer than a distance to some lines."""
    from shapely import GeometryCollection

    return GeometryCollection(list(lines)).buffer(room, quad_segs=2)


def _near(one: BaseGeometry, other: BaseGeometry) -> bool:
    """Whether the boxes round two shapes meet."""
    if one.is_empty or other.is_empty:
        return False
    (a0, b0, a1, b1), (c0, d0, c1, d1) = one.bounds, other.bounds
    return a0 <= c1 and c0 <= a1 and b0 <= d1 and d0 <= b1


def _multi(segments: Floats) -> BaseGeometry:
    """Segments as one shape."""
    from shapely import linestrings, multilinestrings

    return cast("BaseGeometry", multilinestrings(np.asarray(linestrings(segments))))


def _lines_of(shape: BaseGeometry) -> list[LineString]:
    """Lines of a shape, those that meet end to end as one."""
    from shapely import LineString, get_parts, line_merge, multilinestrings

    parts = [part for part in get_parts(shape).tolist() if isinstance(part, LineString)]
    if len(parts) < 2:
        return parts
    merged = get_parts(line_merge(multilinestrings(parts))).tolist()
    return [part for part in merged if isinstance(part, LineString)]


def _fresh(segments: Floats, drawn: set[tuple[int, ...]]) -> Floats:
    """Segments not drawn yet, either way round; those kept are noted."""
    keep = []
    for k, row in enumerate(np.round(segments / _GRID).astype(np.int64).reshape(-1, 4).tolist()):
        key = tuple(row) if row[:2] <= row[2:] else (*row[2:], *row[:2])
        if key[:2] != key[2:] and key not in drawn:
            drawn.add(key)
            keep.append(k)
    return segments[keep]


def _joined(segments: Floats) -> list[LineString]:
    """Segments that meet at their ends as longer lines."""
    return _lines_of(_multi(np.round(segments / _GRID) * _GRID))
