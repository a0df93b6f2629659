"""The piece drawn apart: each part pulled back along the direction it goes in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TypeAlias
from weakref import WeakKeyDictionary

import numpy as np

from overbend.curve import ArcPath, Floats
from overbend.draw.arcs import Box
from overbend.draw.chains import spread
from overbend.draw.drawing import Anchor, Drawing, Item, Label, Layer, Mark, Pen, Stroke
from overbend.draw.hidden import SeenLines, seen_lines, seen_points
from overbend.draw.piece_lines import piece_strokes
from overbend.draw.shapes import Camera, Shape, block_shape, body_shape, camera
from overbend.draw.views import FINE
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
    view = camera(azimuth, elevation)
    moves, shapes, seen = _drawn_apart(piece, view, (azimuth, elevation))
    strokes = piece_strokes(seen, scale, hidden=False)
    bare = Drawing(tuple(strokes), "The parts of the piece drawn apart")
    spots = {name: _spot(placed.bodies, moves, shapes, view, bare.bounds)
             for name, placed in piece.placed.items()}  # fmt: skip
    counts = {name: len(placed.bodies) for name, placed in piece.placed.items()}
    return bare.with_items(_names(spots, counts, bare.bounds, scale))


_Apart: TypeAlias = tuple[dict[str, Floats], list[Shape], tuple[SeenLines, ...]]
_KNOWN: WeakKeyDictionary[Piece, dict[tuple[float, float], _Apart]] = WeakKeyDictionary()


def _drawn_apart(piece: Piece, view: Camera, key: tuple[float, float]) -> _Apart:
    """Moves, solids and lines of the parts drawn apart; kept while the piece lives."""
    known = _KNOWN.setdefault(piece, {})
    if key not in known:
        low, high = (np.array(corner) for corner in piece.box)
        moves = apart(piece.bodies, piece.joints, _GAP * float((high - low).max()))
        shapes = [body_shape(b, FINE).moved(moves[b.id]) for b in piece.bodies]
        shapes += [
            block_shape(block, block.part).moved(moves[block.part])
            for joint in piece.joints
            for block in joint.blocks
            if block.what == "tenon"
        ]
        known[key] = moves, shapes, seen_lines(shapes, view)
    return known[key]


def _spot(
    bodies: Sequence[Body], moves: Mapping[str, Floats], shapes: Sequence[Shape], view: Camera,
    bounds: Box,
) -> Floats:  # fmt: skip
    """A place of a part that is seen, on the piece farthest out to one side."""
    points = np.concatenate([_on_faces(body, view) + moves[body.id] for body in bodies])
    seen = seen_points(points, shapes, view)
    flat = view.seen(points)[:, :2]
    chosen = flat[seen] if seen.any() else flat
    middle = 0.5 * (bounds[0] + bounds[2])
    return np.asarray(chosen[np.abs(chosen[:, 0] - middle).argmax()])


def _on_faces(body: Body, view: Camera) -> Floats:
    """Middles of the side faces that look towards the viewer, along the part, shape (n, 3)."""
    s = body.length * np.array([0.5, 0.4, 0.6, 0.3, 0.7])
    axes = body.axes(s)
    out = []
    for column, size in ((1, body.depth), (2, body.width)):
        way = axes[:, :, column]
        sign = np.sign(way @ view.towards)
        out.append(body.point(s) + (0.5 * size * sign)[:, None] * way)
    return np.concatenate(out)


def _names(
    spots: Mapping[str, Floats], counts: Mapping[str, int], bounds: Box, scale: float
) -> list[Item]:
    """Name of each kind beside the drawing, with a line to one of its pieces."""
    x0, _, x1, _ = bounds
    middle = 0.5 * (x0 + x1)
    items: list[Item] = []
    for side in (-1.0, 1.0):
        here = [(n, p) for n, p in spots.items() if (p[0] > middle) == (side > 0.0)]
        here.sort(key=lambda pair: float(pair[1][1]))
        edge = (x0 if side < 0 else x1) + side * 8.0 / scale
        wanted = np.array([p[1] for _, p in here]) * scale
        places = spread(wanted, np.full(len(here), 2.4 * _TEXT)) / scale
        for (name, point), y in zip(here, places.tolist(), strict=True):
            items += _leader(name, counts[name], point, (edge, y), side, scale)
    return items


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
