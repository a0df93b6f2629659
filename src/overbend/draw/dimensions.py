"""Dimensions as items of a drawing, in the style of ISO 129-1.

The dimension line stands clear of the part, extension lines start a little off it and end
a little past the line, texts stand above their line and read from below or from the
right. A text that does not fit between its extension lines goes outside, over the drawn-on
line; arrows that do not fit point inwards from outside. Lengths named "paper" are
millimetres on paper, so every function needs the scale [paper mm per model mm].
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np

from overbend.curve import ArcPath, Floats
from overbend.draw.drawing import Area, Item, Label, Layer, Level, Mark, Pen, Stroke
from overbend.draw.lettering import text_width, upright
from overbend.errors import OutputError

__all__ = ["STYLE", "DimensionStyle", "Direction", "Point", "angle", "linear", "note", "radius"]

Point: TypeAlias = Sequence[float] | Floats
Direction: TypeAlias = Literal["aligned", "horizontal", "vertical"]


@dataclass(frozen=True)
class DimensionStyle:
    """Sizes of the parts of a dimension [mm on paper].

    Parameters
    ----------
    text : height of a capital letter.
    arrow : length of an arrow; it is a third as wide.
    gap : between a line and the text above it.
    clear : between a measured point and its extension line.
    past : how far extension lines run past the dimension line.
    """

    text: float = 2.5
    arrow: float = 2.5
    gap: float = 1.2
    clear: float = 1.0
    past: float = 1.5


STYLE = DimensionStyle()


@dataclass(frozen=True, eq=False)
class Frame:
    """A dimension line on paper: where it starts, its direction, its length.

    Parameters
    ----------
    start : first point of the line, shape (2,) [mm].
    along : unit vector towards its second point.
    length : [mm on paper].
    scale : paper millimetres per model millimetre.
    style : sizes.
    """

    start: Floats
    along: Floats
    length: float
    scale: float
    style: DimensionStyle

    def at(self, u: float, v: float = 0.0) -> Floats:
        """Point u along and v to the left of the line [mm on paper], as a model point."""
        left = np.array([-self.along[1], self.along[0]])
        return self.start + (u * self.along + v * left) / self.scale

    @property
    def heading(self) -> float:
        """Direction of the line [rad]."""
        return math.atan2(self.along[1], self.along[0])

    @property
    def above(self) -> float:
        """Side of the line that is above it for the reader: 1 left, -1 right."""
        return 1.0 if math.cos(upright(self.heading) - self.heading) > 0 else -1.0

    def line(self, *uv: tuple[float, float]) -> Stroke:
        """Narrow line through points on paper."""
        points = np.array([self.at(u, v) for u, v in uv])
        return Stroke(ArcPath.polyline(points), Layer.DIMENSION, Pen.THIN)

    def arrow(self, u: float, sense: float) -> Area:
        """Arrow with its point at u, pointing along (1) or against (-1) the line."""
        back, half = u - sense * self.style.arrow, self.style.arrow / 6.0
        corners = np.array([self.at(u), self.at(back, half), self.at(back, -half)])
        return Area((ArcPath.polyline(corners, closed=True),), Layer.DIMENSION, "solid")

    def dot(self, u: float) -> Mark:
        """Dot where arrows have no room."""
        x, y = self.at(u)
        return Mark(float(x), float(y), "dot", 0.4 * self.style.arrow, layer=Layer.DIMENSION)

    def text(self, text: str, u: float, v: float = 0.0, side: float = 0.0) -> Label:
        """Text along the line, its middle at u, v clear of the line [mm on paper].

        It stands above the line for the reader unless a side is given (1 left, -1 right).
        """
        side = side or self.above
        x, y = self.at(u, side * (v + self.style.gap))
        level: Level = "base" if side == self.above else "top"
        line = upright(self.heading)
        size = self.style.text
        return Label(float(x), float(y), text, size, "centre", level, line, Layer.DIMENSION)


def linear(
    p: Point,
    q: Point,
    text: str,
    *,
    scale: float,
    offset: float = 8.0,
    direction: Direction = "aligned",
    style: DimensionStyle = STYLE,
) -> list[Item]:
    """Distance between two points.

    Parameters
    ----------
    p, q : the points [mm].
    text : the distance, already formatted.
    scale : paper millimetres per model millimetre.
    offset : of the dimension line from the outer of the two points [mm on paper]: for
        "aligned" to the left of p to q, for "horizontal" upwards, for "vertical" to the
        left; negative to the other side.
    direction : "aligned" with p to q, "horizontal" or "vertical".
    style : sizes.

    Returns
    -------
    list of Item

    Raises
    ------
    OutputError
        When the two points have no distance in this direction.

    Examples
    --------
    >>> labels = [i for i in linear((0, 0), (300, 0), "300", scale=0.1) if isinstance(i, Label)]
    >>> labels[0].x, labels[0].text
    (150.0, '300')
    """
    frame, feet = measured_frame([p, q], direction, offset, scale, style)
    return [*extensions(frame, feet), *span(frame, 0.0, frame.length, text)]


def measured_frame(
    points: Sequence[Point],
    direction: Direction,
    offset: float,
    scale: float,
    style: DimensionStyle,
) -> tuple[Frame, list[tuple[float, float]]]:
    """Dimension line clear of points, run from the first towards the last.

    Returns
    -------
    frame : the line.
    feet : each point as (along, to the left) from the line's start [mm on paper].
    """
    xy = np.asarray(points, float)
    run = xy[-1] - xy[0]
    way = {"horizontal": np.array([1.0, 0.0]), "vertical": np.array([0.0, 1.0])}.get(direction, run)
    along = way / max(math.hypot(*way), 1e-12)
    if along @ run < 0.0:
        along, offset = -along, -offset
    left = np.array([-along[1], along[0]])
    u, v = xy @ along, xy @ left
    if not u[-1] - u[0] > 1e-9:
        raise OutputError(
            f"a dimension ({direction}) between points with no distance that way",
            allowed="two points apart in the direction measured",
        )
    base = float(v.max() if offset > 0 else v.min()) + offset / scale
    frame = Frame(u[0] * along + base * left, along, float(u[-1] - u[0]) * scale, scale, style)
    return frame, [((a - u[0]) * scale, (b - base) * scale) for a, b in zip(u, v, strict=True)]


def extensions(frame: Frame, feet: Sequence[tuple[float, float]]) -> list[Item]:
    """Lines from near each point to a little past the dimension line."""
    side = away(feet)
    style = frame.style
    lines = []
    for u, v in feet:
        from_point = v + side * style.clear
        if side * from_point < 0.0:
            lines.append(frame.line((u, from_point), (u, side * style.past)))
    return list(lines)


def away(feet: Sequence[tuple[float, float]]) -> float:
    """Side of the dimension line away from the points: 1 left, -1 right."""
    return -1.0 if feet[0][1] > 0.0 else 1.0


def span(frame: Frame, u0: float, u1: float, text: str) -> list[Item]:
    """Dimension line from u0 to u1 [mm on paper] with arrows and text, inside if they fit."""
    style = frame.style
    room, need = u1 - u0, text_width(text, style.text) + 2.0 * style.gap
    inside = room >= 3.0 * style.arrow
    senses = (-1.0, 1.0) if inside else (1.0, -1.0)
    tail = 0.0 if inside else 2.0 * style.arrow
    items: list[Item] = [frame.arrow(u0, senses[0]), frame.arrow(u1, senses[1])]
    if need <= room:
        items += [frame.line((u0 - tail, 0.0), (u1 + tail, 0.0)), frame.text(text, 0.5 * (u0 + u1))]
        return items
    start = u1 + max(style.past, 0.0 if inside else style.arrow)
    items += [frame.line((u0 - tail, 0.0), (start + need, 0.0))]
    return [*items, frame.text(text, start + 0.5 * need)]


def radius(
    at: Point,
    centre: Point,
    text: str,
    *,
    scale: float,
    reach: float = 0.0,
    outside: bool = False,
    style: DimensionStyle = STYLE,
) -> list[Item]:
    """Radius of an arc, on a line towards its centre that need not reach it.

    Parameters
    ----------
    at : point on the arc the arrow touches [mm].
    centre : of the arc [mm]; may be far off the sheet.
    text : such as "R 1040".
    scale : paper millimetres per model millimetre.
    reach : length of the line, lengthened until the text fits over it [mm on paper].
    outside : whether the line stands on the far side from the centre.
    style : sizes.

    Returns
    -------
    list of Item

    Examples
    --------
    >>> len(radius((0, 0), (0, 900), "R 900", scale=0.1))
    3
    """
    tip, way = np.asarray(at, float), np.asarray(centre, float) - np.asarray(at, float)
    along = way / math.hypot(*way) * (-1.0 if outside else 1.0)
    need = text_width(text, style.text) + 2.0 * style.gap + 1.5 * style.arrow
    length = max(reach, need)
    frame = Frame(tip, along, length, scale, style)
    middle = 0.5 * (1.5 * style.arrow + length)
    return [frame.line((0.0, 0.0), (length, 0.0)), frame.arrow(0.0, -1.0), frame.text(text, middle)]


def angle(
    vertex: Point,
    first: float,
    turn: float,
    text: str,
    *,
    scale: float,
    reach: float = 15.0,
    sides: bool = True,
    style: DimensionStyle = STYLE,
) -> list[Item]:
    """Angle between two directions, on an arc round their crossing.

    Parameters
    ----------
    vertex : where the two directions cross [mm].
    first : direction the angle starts from [rad].
    turn : angle from there, positive counter-clockwise, at most a full turn [rad].
    text : the angle, already formatted.
    scale : paper millimetres per model millimetre.
    reach : radius of the dimension arc [mm on paper].
    sides : whether to draw both sides of the angle, from its vertex past the arc.
    style : sizes.

    Returns
    -------
    list of Item

    Examples
    --------
    >>> items = angle((0, 0), 0.0, math.pi / 2, "90°", scale=1.0)
    >>> round(items[0].path.length, 6) == round(math.pi / 2 * 15, 6)
    True
    """
    inside = abs(turn) * reach >= 3.0 * style.arrow
    spill = 0.0 if inside else math.copysign(2.0 * style.arrow / reach, turn)
    sense = math.copysign(1.0 if inside else -1.0, turn)
    items: list[Item] = [_dimension_arc(vertex, first - spill, first + turn + spill, reach / scale)]
    items.append(_arc_arrow(vertex, first, -sense, reach, scale, style))
    items.append(_arc_arrow(vertex, first + turn, sense, reach, scale, style))
    if sides:
        items += [_side(vertex, a, reach, scale, style) for a in (first, first + turn)]
    room = 2.0 * reach * math.sin(min(0.5 * abs(turn), 0.5 * math.pi))
    fits = not sides or text_width(text, style.text) + 2.0 * style.gap <= room
    raised = reach if fits else reach + style.past
    return [*items, _arc_text(vertex, first + 0.5 * turn, text, raised, scale, style)]


def _side(vertex: Point, way: float, reach: float, scale: float, style: DimensionStyle) -> Stroke:
    """Extension line along one side of an angle."""
    frame = Frame(
        np.asarray(vertex, float), np.array([math.cos(way), math.sin(way)]), reach, scale, style
    )
    return frame.line((style.clear, 0.0), (reach + style.past, 0.0))


def _dimension_arc(vertex: Point, a0: float, a1: float, r: float) -> Stroke:
    """Arc of two halves, so that it may turn all the way."""
    angles = np.linspace(a0, a1, 3)
    xy = np.asarray(vertex, float) + r * np.column_stack([np.cos(angles), np.sin(angles)])
    path = ArcPath(np.column_stack([xy, np.full(3, math.tan((a1 - a0) / 8.0))]))
    return Stroke(path, Layer.DIMENSION, Pen.THIN)


def _arc_arrow(
    vertex: Point, at: float, sense: float, reach: float, scale: float, style: DimensionStyle
) -> Area:
    """Arrow on the arc: its back lies on the arc too."""
    back = at - sense * style.arrow / reach
    half = style.arrow / 6.0
    polar = [(reach, at), (reach + half, back), (reach - half, back)]
    points = [[r * math.cos(a), r * math.sin(a)] for r, a in polar]
    path = ArcPath.polyline(np.asarray(vertex, float) + np.array(points) / scale, closed=True)
    return Area((path,), Layer.DIMENSION, "solid")


def _arc_text(
    vertex: Point, middle: float, text: str, reach: float, scale: float, style: DimensionStyle
) -> Label:
    """Text outside the arc, along its tangent, clear of it."""
    line = upright(middle - 0.5 * math.pi)
    level: Level = "base" if math.sin(middle - line) > 0 else "top"
    r = (reach + style.gap) / scale
    x, y = np.asarray(vertex, float) + r * np.array([math.cos(middle), math.sin(middle)])
    return Label(float(x), float(y), text, style.text, "centre", level, line, Layer.DIMENSION)


def note(
    point: Point,
    text: str,
    *,
    scale: float,
    dx: float = 10.0,
    dy: float = 10.0,
    end: Literal["arrow", "dot"] = "arrow",
    style: DimensionStyle = STYLE,
) -> list[Item]:
    """Words on a shelf, with a leader to the thing they are about.

    Parameters
    ----------
    point : what the note is about [mm].
    text : one or more lines; they stand on the shelf.
    scale : paper millimetres per model millimetre.
    dx, dy : from the point to the near end of the shelf [mm on paper]; the shelf runs on
        the way dx goes.
    end : "arrow" for an edge, "dot" for something inside it.
    style : sizes.

    Returns
    -------
    list of Item

    Examples
    --------
    >>> [type(i).__name__ for i in note((0, 0), "Ø 12", scale=1.0)]
    ['Stroke', 'Area', 'Label']
    """
    tip = np.asarray(point, float)
    along = np.array([dx, dy]) / math.hypot(dx, dy)
    frame = Frame(tip, along, math.hypot(dx, dy), scale, style)
    shelf = text_width(text, style.text) + style.gap
    side = math.copysign(1.0, dx)
    elbow = tip + np.array([dx, dy]) / scale
    bend = np.array([tip, elbow, elbow + np.array([side * shelf, 0.0]) / scale])
    line = Stroke(ArcPath.polyline(bend), Layer.DIMENSION, Pen.THIN)
    x = elbow[0] + (0.5 * style.gap - (shelf if side < 0 else 0.0)) / scale
    y = elbow[1] + 1.6 * style.gap / scale
    words = Label(float(x), float(y), text, style.text, layer=Layer.DIMENSION)
    return [line, frame.arrow(0.0, -1.0) if end == "arrow" else frame.dot(0.0), words]
