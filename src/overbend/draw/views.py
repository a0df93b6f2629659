"""The piece from the side, from the front, from above and round about, hidden lines dashed."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal, TypeAlias
from weakref import WeakKeyDictionary

import numpy as np

from overbend.curve import ArcPath
from overbend.draw.chains import running
from overbend.draw.dimensions import linear
from overbend.draw.drawing import Drawing, Item, Layer, Pen, Stroke
from overbend.draw.hidden import SeenLines, seen_lines
from overbend.draw.legible import cleared
from overbend.draw.piece_lines import piece_strokes
from overbend.draw.shapes import Camera, Shape, block_shape, body_shape, camera
from overbend.plan.piece import Piece
from overbend.units import Display, format_length

__all__ = [
    "FINE",
    "VIEWS",
    "ViewName",
    "piece_shapes",
    "round_about",
    "view_camera",
    "view_drawing",
    "view_outline",
]

ViewName: TypeAlias = Literal["side", "front", "plan"]

VIEWS: dict[ViewName, str] = {
    "side": "seen from its right side, front to the right",
    "front": "seen from the front",
    "plan": "seen from above, front to the right",
}
"""The three views and what each shows."""

FINE = 0.1
"""How far the plane faces drawn for a bent one may be off it [mm]."""

_APART = 3.0  # mm: heights nearer than this are written once
_PUT_IN = ("tenon", "dowel", "screw")


def view_camera(view: ViewName) -> Camera:
    """Direction of view: its axes are those of the project's planes.

    Examples
    --------
    >>> view_camera("plan").seen(np.array([3.0, 4.0, 5.0])).tolist()
    [3.0, 4.0, 5.0]
    """
    if view == "plan":
        return Camera(*np.eye(3))
    return camera(-0.5 * math.pi if view == "side" else 0.0, 0.0)


def piece_shapes(piece: Piece, joinery: bool = True) -> list[Shape]:
    """Solids of every part, and of the tenons, dowels and screws that join them.

    Parameters
    ----------
    piece : the piece in space.
    joinery : whether tenons, dowels and screws are wanted.
    """
    shapes = [body_shape(body, FINE) for body in piece.bodies]
    if joinery:
        shapes += [
            block_shape(block, joint.id)
            for joint in piece.joints
            for block in joint.blocks
            if block.what in _PUT_IN
        ]
    return shapes


_SEEN: WeakKeyDictionary[Piece, dict[tuple[str, bool], tuple[SeenLines, ...]]] = WeakKeyDictionary()


def _seen(piece: Piece, view: ViewName, joinery: bool) -> tuple[SeenLines, ...]:
    """Seen and hidden lines of a view; kept while the piece lives, for they have no scale."""
    known = _SEEN.setdefault(piece, {})
    key = (view, joinery)
    if key not in known:
        known[key] = seen_lines(piece_shapes(piece, joinery), view_camera(view))
    return known[key]


def view_drawing(
    piece: Piece, view: ViewName, scale: float, display: Display, *, hidden: bool = True
) -> Drawing:
    """Draw one view with its main dimensions.

    Overall sizes stand below and on the left; in the side view the heights of the joints above
    the floor stand on the right.

    Parameters
    ----------
    piece : the piece in space.
    view : "side", "front" or "plan".
    scale : the drawing will be written at; dimensions depend on it.
    display : how lengths are shown.
    hidden : whether hidden edges are drawn, dashed (ISO 128-2 line kind 02.1).
    """
    items = piece_strokes(_seen(piece, view, hidden), scale, hidden)
    bare = Drawing(tuple(items), f"The piece {VIEWS[view]}")
    items += _overall(bare, scale, display)
    if view != "plan":
        items += _floor(bare, scale)
    if view == "side":
        items += _heights(piece, bare, scale, display)
    return cleared(Drawing(tuple(items), bare.title), scale)


def view_outline(piece: Piece, view: ViewName, scale: float) -> Drawing:
    """Seen lines of one view and the floor: as wide and as high as the view, and quickly made.

    Parameters
    ----------
    piece : the piece in space.
    view : "side", "front" or "plan".
    scale : paper millimetres per model millimetre.
    """
    bare = Drawing(tuple(piece_strokes(_seen(piece, view, True), scale, hidden=False)))
    return bare if view == "plan" else bare.with_items(_floor(bare, scale))


def _overall(drawing: Drawing, scale: float, display: Display) -> list[Item]:
    """Width below, height on the left."""
    x0, y0, x1, y1 = drawing.bounds
    across = linear((x0, y0), (x1, y0), format_length(x1 - x0, display), scale=scale, offset=-9.0)
    up = linear((x0, y0), (x0, y1), format_length(y1 - y0, display), scale=scale, offset=9.0)
    return [*across, *up]


def _floor(drawing: Drawing, scale: float) -> list[Item]:
    """Line of the floor, a little past the piece on either side."""
    x0, _, x1, _ = drawing.bounds
    ends = np.array([[x0 - 4.0 / scale, 0.0], [x1 + 4.0 / scale, 0.0]])
    return [Stroke(ArcPath.polyline(ends), Layer.GROUND, Pen.THIN, "floor")]


def _heights(piece: Piece, drawing: Drawing, scale: float, display: Display) -> list[Item]:
    """Heights of joints above the floor, from the floor up."""
    heights = _clustered([contact.height for contact in piece.contacts])
    if not heights:
        return []
    x1 = drawing.bounds[2]
    points = [(x1, 0.0), *((x1, h) for h in heights)]
    texts = ["0", *(format_length(h, display, unit=False) for h in heights)]
    return running(points, texts, scale=scale, offset=-10.0, direction="vertical")


def _clustered(values: Sequence[float]) -> list[float]:
    """Values in order, those nearer than a few millimetres taken as one."""
    groups: list[list[float]] = []
    for value in sorted(v for v in values if v > _APART):
        if groups and value - groups[-1][0] < _APART:
            groups[-1].append(value)
        else:
            groups.append([value])
    return [sum(group) / len(group) for group in groups]


def round_about(
    piece: Piece, scale: float, azimuth: float = -0.66, elevation: float = 0.42
) -> Drawing:
    """Draw the piece in parallel perspective, without dimensions.

    Parameters
    ----------
    piece : the piece in space.
    scale : the drawing will be written at.
    azimuth : of the viewer, from the front towards the left [rad].
    elevation : of the viewer [rad].
    """
    shapes = piece_shapes(piece, joinery=False)
    seen = seen_lines(shapes, camera(azimuth, elevation))
    return Drawing(tuple(piece_strokes(seen, scale, hidden=False)), "The piece round about")
