"""The whole piece for the page: side, front, from above in lines, and round about.

The lines are the book's own (:func:`overbend.draw.views.view_drawing`). Beside them the page
gets the outline of each part on the sheet, so that a part can be pointed at, and the places
of the joints, so that a joint named in the notes can be shown. All of it is kept while the
piece stays the same.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any, cast
from weakref import WeakKeyDictionary

import numpy as np

from overbend.curve import Floats
from overbend.draw.arcs import Box
from overbend.draw.drawing import Drawing, Layer
from overbend.draw.shapes import Camera
from overbend.draw.views import ViewName, view_camera, view_drawing
from overbend.errors import OverbendError
from overbend.frame import Body
from overbend.plan.piece import Piece
from overbend.project import BentPart
from overbend.units import Display, format_length
from overbend.web.pictures import fitted, page_svg
from overbend.web.solid import solid_of
from overbend.web.words import words

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

__all__ = ["WHOLE", "whole_scene"]

Data = dict[str, Any]
WHOLE = ("side", "front", "plan", "round")
"""Views of the whole piece."""

_LINES = ("side", "front", "plan")
_ROOM = 22.0  # mm on the sheet kept for dimensions on each side
_SMALL = 80.0  # mm: a smaller sheet shows the piece without dimensions
_COARSE = 0.5  # mm, of the outlines a pointer is held against
_SAME = 0.05  # mm on the sheet: outlines that differ less are one
_KNOWN: WeakKeyDictionary[Piece, dict[tuple[object, ...], Data]] = WeakKeyDictionary()


def whole_scene(piece: Piece, mode: str, size: tuple[float, float], display: Display) -> Data:
    """Draw the whole piece for the page.

    Parameters
    ----------
    piece : the piece in space.
    mode : one of `WHOLE`.
    size : width and height of the sheet [mm].
    display : the reader's units.

    Returns
    -------
    dict
        ``mode`` and ``about``; in lines ``svg``, ``shapes`` (outline of each part, the farthest
        first) and ``joints`` (places by the joint's name) on the sheet [mm]; round about
        ``solid``; ``kinds``, what each part is in words; or ``none``, why there is nothing.
    """
    known = _KNOWN.setdefault(piece, {})
    key = (mode, *(size if mode in _LINES else ()), display)
    if key not in known:
        try:
            known[key] = _drawn(piece, mode, size, display)
        except OverbendError as error:
            known[key] = _nothing(mode, words("view.failed", why=str(error)))
    return known[key]


def _nothing(mode: str, why: str) -> Data:
    return {"mode": mode, "svg": "", "handles": [], "track": [], "none": why}


def _drawn(piece: Piece, mode: str, size: tuple[float, float], display: Display) -> Data:
    if not piece.bodies:
        return _nothing(mode, words("view.none"))
    drawn = (
        _in_lines(piece, cast(ViewName, mode), size, display)
        if mode in _LINES
        else {"svg": "", "solid": solid_of(piece)}
    )
    return {"mode": mode, "handles": [], "track": [], "about": _about(piece, display),
            "kinds": _kinds(piece, display), **drawn}  # fmt: skip


# -- in lines -----------------------------------------------------------------------------


def _in_lines(piece: Piece, view: ViewName, size: tuple[float, float], display: Display) -> Data:
    """A view in lines with its dimensions, as large as the sheet allows."""
    seen = view_camera(view)
    scale, drawing = _fitting(piece, view, size, display)
    x0, y0, x1, y1 = drawing.extent(scale)
    cx, cy = 0.5 * (x0 + x1), 0.5 * (y0 + y1)
    half = 0.5 * size[0] / scale, 0.5 * size[1] / scale
    window = (cx - half[0], cy - half[1], cx + half[0], cy + half[1])
    told = replace(drawing, about=_about(piece, display))
    sheet = _Sheet(seen, scale, window)
    return {
        "svg": page_svg(told, scale, window=window),
        "window": window,
        "scale": scale,
        "shapes": sheet.outlines(piece.bodies),
        "joints": sheet.joints(piece),
    }


def _fitting(
    piece: Piece, view: ViewName, size: tuple[float, float], display: Display
) -> tuple[float, Drawing]:
    """Scale at which the view fills the sheet, dimensions included, and the view at it."""
    corners = view_camera(view).seen(np.concatenate([body.box for body in piece.bodies]))
    (x0, y0, _), (x1, y1, _) = corners.min(axis=0), corners.max(axis=0)
    small = min(size) < _SMALL
    room = 3.0 if small else min(_ROOM, 0.18 * min(size))
    scale, _ = fitted((float(x0), float(y0), float(x1), float(y1)), *size, room)
    drawing = view_drawing(piece, view, scale, display)
    if small:
        return scale, drawing.without(Layer.DIMENSION, Layer.TEXT)
    left, low, right, high = drawing.extent(scale)
    over = max((right - left) * scale / size[0], (high - low) * scale / size[1])
    if over > 1.0:
        scale /= over * 1.02
        drawing = view_drawing(piece, view, scale, display)
    return scale, drawing


class _Sheet:
    """From the piece to the sheet [mm, y down]."""

    def __init__(self, view: Camera, scale: float, window: Box) -> None:
        self.view, self.scale = view, scale
        self.corner = np.array([window[0], window[3]])

    def at(self, points: Floats) -> Floats:
        """Places on the sheet, shape (..., 2)."""
        flat = self.view.seen(points)[..., :2]
        return np.asarray((flat - self.corner) * np.array([1.0, -1.0]) * self.scale)

    def outlines(self, bodies: tuple[Body, ...]) -> list[Data]:
        """Outline of every part that does not lie exactly behind a like one, farthest first."""
        near = {b.id: float((b.mesh(_COARSE).vertices @ self.view.towards).max()) for b in bodies}
        found: dict[tuple[object, ...], Data] = {}
        for body in sorted(bodies, key=lambda b: -near[b.id]):
            outline = self.outline(body)
            key = (body.kind, *(round(v / _SAME) for v in outline.bounds))
            found.setdefault(key, {"id": body.id, "kind": body.kind, "d": _path(outline)})
        return list(found.values())[::-1]

    def outline(self, body: Body) -> BaseGeometry:
        """What a part covers on the sheet."""
        from shapely import Polygon, unary_union

        flat = self.at(body.mesh(_COARSE).corners)
        a, b = flat[:, 2] - flat[:, 0], flat[:, 3] - flat[:, 1]
        facing = np.abs(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]) > 1e-6
        return unary_union([Polygon(face) for face in flat[facing]]).simplify(_SAME)

    def joints(self, piece: Piece) -> dict[str, list[list[float]]]:
        """Places of the joints by name."""
        found: dict[str, list[list[float]]] = {}
        for joint in piece.joints:
            place = [round(v, 1) for v in self.at(joint.contact.point).tolist()]
            places = found.setdefault(joint.spec.name, [])
            if place not in places:
                places.append(place)
        return found


def _path(shape: BaseGeometry) -> str:
    """Outer edges of a region as path commands, to a tenth of a millimetre."""
    from shapely import Polygon, get_parts

    rings = [part.exterior.coords for part in get_parts(shape) if isinstance(part, Polygon)]
    return "".join(
        "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in list(ring)[:-1]) + "Z" for ring in rings
    )


# -- in words -----------------------------------------------------------------------------


def _about(piece: Piece, display: Display) -> str:
    """The piece for people who cannot see it: sizes and how much there is of it."""
    low, high = piece.box
    return words(
        "view.about",
        deep=format_length(high[0] - low[0], display),
        wide=format_length(high[1] - low[1], display),
        high=format_length(high[2], display),
        parts=len(piece.bodies),
        joints=len(piece.joints),
    )


def _kinds(piece: Piece, display: Display) -> dict[str, str]:
    """What each part is: how many, its section and length, its wood."""
    found = {}
    for name, placed in piece.placed.items():
        part, body = piece.project.part[name], placed.bodies[0]
        woods = [p.wood for p in part.plies] if isinstance(part, BentPart) else [part.wood]
        count = len(placed.bodies)
        found[name] = words(
            "view.part" if count == 1 else "view.parts",
            part=name,
            count=count,
            size=f"{format_length(body.width, display, unit=False)} × "
            f"{format_length(body.depth, display)}",
            length=format_length(body.length, display),
            wood=", ".join(dict.fromkeys(woods)),
        )
    return found
