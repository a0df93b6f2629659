"""The piece drawn apart: each part pulled back along the direction it goes in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from overbend.curve import ArcPath, Floats
from overbend.draw.chains import spread
from overbend.draw.drawing import Anchor, Drawing, Item, Label, Layer, Mark, Pen, Stroke
from overbend.draw.hidden import seen_lines
from overbend.draw.piece_lines import piece_strokes
from overbend.draw.shapes import Camera, block_shape, body_shape, camera
from overbend.frame import Body, Joint
from overbend.plan.piece import Piece

__all__ = ["apart", "exploded_drawing"]

_GAP = 0.16  # of the piece's greatest size between parts that are joined
_PULL = 1e-3  # weight that keeps parts no joint moves where they are
_TEXT = 2.5  # mm on paper


def apart(bodies: Sequence[Body], joints: Sequence[Joint], gap: float) -> dict[str, Floats]:
    """How far each part is moved so that joined parts stand a gap apart.

    Parameters
    ----------
    bodies : the parts.
    joints : between them.
    gap : wanted along each joint's closing direction [mm].

    Returns
    -------
    dict of str to ndarray
        Move of each part, shape (3,) [mm]; the least-squares answer where joints disagree.
    """
    index = {body.id: k for k, body in enumerate(bodies)}
    rows = np.zeros((len(joints) + len(bodies), len(bodies)))
    wanted = np.zeros((len(rows), 3))
    for row, joint in enumerate(joints):
        rows[row, index[joint.contact.a]] += 1.0
        rows[row, index[joint.contact.b]] -= 1.0
        wanted[row] = -gap * _squared(joint.closing)
    rows[len(joints) :] = _PULL * np.eye(len(bodies))
    moves = np.linalg.lstsq(rows, wanted, rcond=None)[0]
    return {body.id: moves[k] for k, body in enumerate(bodies)}


def _squared(way: Floats) -> Floats:
    """Return the axis of the piece nearest to a direction, so that like parts move alike."""
    k = int(np.abs(way).argmax())
    axis = np.zeros(3)
    axis[k] = np.sign(way[k])
    return axis


def exploded_drawing(
    piece: Piece, scale: float, azimuth: float = -0.66, elevation: float = 0.42
) -> Drawing:
    """Draw the parts drawn apart, each kind named once.

    Parameters
    ----------
    piece : the piece in space.
    scale : the drawing will be written at.
    azimuth, elevation : of the viewer, as for :func:`overbend.draw.shapes.camera` [rad].
    """
    low, high = (np.array(corner) for corner in piece.box)
    moves = apart(piece.bodies, piece.joints, _GAP * float((high - low).max()))
    view = camera(azimuth, elevation)
    fine = min(max(0.03 / scale, 0.02), 0.5)
    shapes = [body_shape(b, fine).moved(moves[b.id]) for b in piece.bodies]
    for joint in piece.joints:
        for block in joint.blocks:
            if block.what == "tenon":
                shapes.append(block_shape(block, block.part).moved(moves[block.part]))
    strokes = piece_strokes(seen_lines(shapes, view), scale, hidden=False)
    bare = Drawing(tuple(strokes), "The parts of the piece drawn apart")
    return bare.with_items(_names(piece, moves, view, bare, scale))


def _names(
    piece: Piece, moves: Mapping[str, Floats], view: Camera, drawing: Drawing, scale: float
) -> list[Item]:
    """Name of each kind beside the drawing, with a line to one of its pieces."""
    x0, _, x1, _ = drawing.bounds
    found = {
        name: _outermost([view.seen(b.point(0.5 * b.length) + moves[b.id])[:2]
                          for b in placed.bodies], 0.5 * (x0 + x1))
        for name, placed in piece.placed.items()
    }  # fmt: skip
    items: list[Item] = []
    for side in (-1.0, 1.0):
        here = [(n, p) for n, p in found.items() if (p[0] > 0.5 * (x0 + x1)) == (side > 0.0)]
        here.sort(key=lambda pair: pair[1][1])
        edge = (x0 if side < 0 else x1) + side * 8.0 / scale
        wanted = np.array([p[1] for _, p in here]) * scale
        places = spread(wanted, np.full(len(here), 2.4 * _TEXT)) / scale
        for (name, point), y in zip(here, places.tolist(), strict=True):
            count = len(piece.placed[name].bodies)
            items += _leader(name, count, point, (edge, y), side, scale)
    return items


def _outermost(points: Sequence[Floats], middle: float) -> Floats:
    """The point farthest from the middle, sideways."""
    return max(points, key=lambda p: abs(float(p[0]) - middle))


def _leader(
    name: str, count: int, point: Floats, place: tuple[float, float], side: float, scale: float
) -> list[Item]:
    """A dot on the part, a line, the name."""
    x, y = place
    text = name if count == 1 else f"{name}, {count} off"
    anchor: Anchor = "left" if side > 0 else "right"
    path = np.array([point, [x - side * 2.0 / scale, y]])
    return [
        Mark(float(point[0]), float(point[1]), "dot", 1.0, layer=Layer.DIMENSION),
        Stroke(ArcPath.polyline(path), Layer.DIMENSION, Pen.THIN),
        Label(x, y, text, _TEXT, anchor, "middle", layer=Layer.TEXT),
    ]
