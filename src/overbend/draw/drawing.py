"""Drawings as data: lines, areas, circles, marks and texts on named layers.

Positions are model millimetres, y up. Line widths, dashes, hatches, marks and texts are
millimetres on paper and do not change with the scale, which a writer is given when it
writes. Line kinds follow ISO 128-2, lettering sizes ISO 3098-1.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import Enum, StrEnum
from functools import cached_property
from typing import Literal, TypeAlias

import numpy as np

from overbend.curve import ArcPath, Floats
from overbend.draw.arcs import Box, circle, path_box
from overbend.draw.lettering import block, turned_box
from overbend.errors import OutputError

__all__ = [
    "Anchor",
    "Area",
    "Disc",
    "Drawing",
    "Fill",
    "Item",
    "Label",
    "Layer",
    "Level",
    "LineKind",
    "Mark",
    "MarkKind",
    "Pen",
    "Simple",
    "Stroke",
    "drawn_box",
    "fit_scale",
    "simple_items",
]

Anchor: TypeAlias = Literal["left", "centre", "right"]
Level: TypeAlias = Literal["base", "middle", "top"]
Fill: TypeAlias = Literal["none", "tint", "hatch", "cross", "solid"]
MarkKind: TypeAlias = Literal["cross", "tick", "register", "dot"]

SCALES = (1.0, 0.5, 0.2, 0.1, 0.05, 0.02, 0.01)
"""Full size and the reductions of ISO 5455."""


@dataclass(frozen=True)
class LineKind:
    """How a line is drawn.

    Parameters
    ----------
    number : of the line kind in ISO 128-2, such as "01.2".
    wide : wide or narrow, two to one.
    dashes : drawn and blank lengths in turn, as multiples of the line's width; () is
        continuous. Dots are one width long so that they print.
    """

    number: str
    wide: bool
    dashes: tuple[float, ...] = ()


class Pen(Enum):
    """Line kinds in two widths.

    ``LONG_DASH`` is the wide dashed line drawn twice as long, so that a form tells from a
    hidden edge at a glance.
    """

    OUTLINE = LineKind("01.2", True)
    THIN = LineKind("01.1", False)
    HIDDEN = LineKind("02.1", False, (12.0, 3.0))
    LONG_DASH = LineKind("02.2", True, (24.0, 6.0))
    CENTRE = LineKind("04.1", False, (24.0, 3.0, 1.0, 3.0))
    PHANTOM = LineKind("05.1", False, (24.0, 3.0, 1.0, 3.0, 1.0, 3.0))
    DOTTED = LineKind("07.1", False, (1.0, 3.0))

    @property
    def word(self) -> str:
        """Name in lower case with hyphens, for style classes and files."""
        return self.name.lower().replace("_", "-")

    def width(self, wide: float = 0.5) -> float:
        """Width [mm on paper] when wide lines are `wide` across.

        Examples
        --------
        >>> Pen.OUTLINE.width(), Pen.THIN.width()
        (0.5, 0.25)
        """
        return wide if self.value.wide else 0.5 * wide

    def dashes(self, wide: float = 0.5) -> tuple[float, ...]:
        """Drawn and blank lengths in turn [mm on paper]; () for a continuous line."""
        return tuple(d * self.width(wide) for d in self.value.dashes)


class Layer(StrEnum):
    """What a thing in a drawing is; painted in this order, the first lowest.

    ``body`` and ``target`` are lines to saw or scribe to, ``stop`` a block set on a form,
    ``hole`` clamp holes, ``pin`` holes for dowels and screws, ``centre`` every centre line.
    """

    BAND = "band"
    FIGURE = "figure"
    GROUND = "ground"
    SHEET = "sheet"
    BODY = "body"
    STOP = "stop"
    PART = "part"
    GLUE = "glue"
    CENTRE = "centre"
    RELEASED = "released"
    FORM = "form"
    TARGET = "target"
    HOLE = "hole"
    PIN = "pin"
    MARK = "mark"
    DIMENSION = "dimension"
    TEXT = "text"


@dataclass(frozen=True)
class Stroke:
    """A line along a path.

    Parameters
    ----------
    path : lines and arcs [mm].
    layer : what it is.
    pen : how it is drawn.
    name : what a page calls it, "" when nothing.
    """

    path: ArcPath
    layer: Layer
    pen: Pen = Pen.OUTLINE
    name: str = ""

    def moved(self, dx: float = 0.0, dy: float = 0.0, turn: float = 0.0) -> Stroke:
        """Turn about the origin by `turn` [rad], then shift by (dx, dy) [mm]."""
        return replace(self, path=self.path.moved(dx, dy, turn))


@dataclass(frozen=True)
class Area:
    """A filled region; a region inside another is a hole in it.

    Parameters
    ----------
    paths : closed outlines [mm]; an open one is closed by a straight line.
    layer : what it is.
    fill : "hatch" one way, "cross" two ways, "tint" pale, "solid" full ink, "none".
    angle : of the hatch lines [rad].
    spacing : of the hatch lines [mm on paper].
    name : what a page calls it.
    """

    paths: tuple[ArcPath, ...]
    layer: Layer
    fill: Fill = "hatch"
    angle: float = 0.25 * math.pi
    spacing: float = 2.0
    name: str = ""

    def moved(self, dx: float = 0.0, dy: float = 0.0, turn: float = 0.0) -> Area:
        """Turn about the origin by `turn` [rad], then shift by (dx, dy) [mm]."""
        paths = tuple(p.moved(dx, dy, turn) for p in self.paths)
        return replace(self, paths=paths, angle=self.angle + turn)


@dataclass(frozen=True)
class Disc:
    """A circle, such as a hole.

    Parameters
    ----------
    x, y : centre [mm].
    radius : [mm], > 0.
    layer : what it is.
    pen : how it is drawn.
    centre_lines : whether to draw two centre lines, 2.5 mm on paper past the edge.
    name : what a page calls it.
    """

    x: float
    y: float
    radius: float
    layer: Layer = Layer.HOLE
    pen: Pen = Pen.OUTLINE
    centre_lines: bool = False
    name: str = ""

    def moved(self, dx: float = 0.0, dy: float = 0.0, turn: float = 0.0) -> Disc:
        """Turn about the origin by `turn` [rad], then shift by (dx, dy) [mm]."""
        x, y = _moved_point(self.x, self.y, dx, dy, turn)
        return replace(self, x=x, y=y)


@dataclass(frozen=True)
class Mark:
    """A mark of fixed size on paper.

    Parameters
    ----------
    x, y : centre [mm].
    kind : "cross", "tick" (one line along `angle`), "register" (cross in a ring), "dot".
    size : length of its lines, or across the dot [mm on paper].
    angle : of its first line [rad].
    layer : what it is.
    pen : how it is drawn.
    name : what a page calls it.
    """

    x: float
    y: float
    kind: MarkKind = "cross"
    size: float = 6.0
    angle: float = 0.0
    layer: Layer = Layer.MARK
    pen: Pen = Pen.THIN
    name: str = ""

    def moved(self, dx: float = 0.0, dy: float = 0.0, turn: float = 0.0) -> Mark:
        """Turn about the origin by `turn` [rad], then shift by (dx, dy) [mm]."""
        x, y = _moved_point(self.x, self.y, dx, dy, turn)
        return replace(self, x=x, y=y, angle=self.angle + turn)


@dataclass(frozen=True)
class Label:
    """A text.

    Parameters
    ----------
    x, y : anchor point [mm].
    text : one or more lines, already formatted.
    size : height of a capital letter [mm on paper].
    anchor : which part of the text is at the anchor point.
    level : its base line, middle or top at the anchor point.
    angle : of the line of text [rad].
    layer : what it is.
    clear : whether to wipe the paper behind it, so that no line runs through it.
    name : what a page calls it.
    """

    x: float
    y: float
    text: str
    size: float = 2.5
    anchor: Anchor = "left"
    level: Level = "base"
    angle: float = 0.0
    layer: Layer = Layer.TEXT
    clear: bool = False
    name: str = ""

    def moved(self, dx: float = 0.0, dy: float = 0.0, turn: float = 0.0) -> Label:
        """Turn about the origin by `turn` [rad], then shift by (dx, dy) [mm]."""
        x, y = _moved_point(self.x, self.y, dx, dy, turn)
        return replace(self, x=x, y=y, angle=self.angle + turn)

    def box(self, scale: float, grow: float = 0.0) -> Floats:
        """Corners of the room the text takes, `grow` [mm on paper] wider all round, (4, 2) [mm].

        Examples
        --------
        >>> Label(10, 0, "A", size=5).box(0.5)[0].tolist()
        [10.0, -3.5]
        """
        shape = block(self.text, self.size, self.anchor, self.level)
        return np.array([self.x, self.y]) + turned_box(shape, self.angle, grow) / scale


Item: TypeAlias = Stroke | Area | Disc | Mark | Label
Simple: TypeAlias = Stroke | Area | Disc | Label


@dataclass(frozen=True)
class Drawing:
    """Items in model millimetres.

    Parameters
    ----------
    items : what is drawn.
    title : what it shows, for people and screen readers.
    about : a sentence more, "" when the title says all.

    Examples
    --------
    >>> one = Drawing((Disc(0, 0, 5),), "a hole")
    >>> one.moved(10, 0).bounds
    (5.0, -5.0, 15.0, 5.0)
    """

    items: tuple[Item, ...]
    title: str = ""
    about: str = ""

    @cached_property
    def bounds(self) -> Box:
        """Smallest box round lines, areas and circles, and the points of marks and texts [mm].

        Raises
        ------
        OutputError
            When there is nothing in the drawing.
        """
        return _union([_item_box(item) for item in self.items], self.title)

    def extent(self, scale: float = 1.0) -> Box:
        """Smallest box round everything drawn at a scale, texts and marks included [mm].

        Parameters
        ----------
        scale : paper millimetres per model millimetre.
        """
        return _union(self.drawn_boxes(scale), self.title)

    def drawn_boxes(self, scale: float = 1.0) -> list[Box]:
        """Box round each item as drawn at a scale [mm]."""
        known: dict[float, list[Box]] = self._drawn_boxes
        if scale not in known:
            known[scale] = [drawn_box(item, scale) for item in self.items]
        return known[scale]

    @cached_property
    def _drawn_boxes(self) -> dict[float, list[Box]]:
        """Boxes found so far, by scale."""
        return {}

    @property
    def layers(self) -> tuple[Layer, ...]:
        """Layers in use, in painting order; centre lines of circles count."""
        used = {simple.layer for item in self.items for simple in simple_items(item, 1.0)}
        return tuple(layer for layer in Layer if layer in used)

    def only(self, *layers: Layer) -> Drawing:
        """Return the same drawing with these layers and no others."""
        return replace(self, items=tuple(i for i in self.items if i.layer in layers))

    def without(self, *layers: Layer) -> Drawing:
        """Return the same drawing with these layers left out."""
        return replace(self, items=tuple(i for i in self.items if i.layer not in layers))

    def moved(self, dx: float = 0.0, dy: float = 0.0, turn: float = 0.0) -> Drawing:
        """Turn about the origin by `turn` [rad], then shift by (dx, dy) [mm]."""
        return replace(self, items=tuple(item.moved(dx, dy, turn) for item in self.items))

    def merged(self, *others: Drawing) -> Drawing:
        """Put other drawings on top of this one; the title stays."""
        return self.with_items(item for other in others for item in other.items)

    def with_items(self, items: Iterable[Item]) -> Drawing:
        """Add items on top."""
        return replace(self, items=(*self.items, *items))


def fit_scale(drawing: Drawing, width: float, height: float, room: float = 0.0) -> float:
    """Largest usual scale at which a drawing's geometry fits a field on paper.

    Parameters
    ----------
    drawing : what has to fit.
    width, height : the field [mm on paper].
    room : to be left free on every side for dimensions and texts [mm on paper].

    Returns
    -------
    float
        1, 1/2, 1/5, 1/10, 1/20, 1/50 or 1/100 (ISO 5455), or smaller if none fits.

    Examples
    --------
    >>> fit_scale(Drawing((Disc(0, 0, 600),)), 170, 240, room=15)
    0.1
    """
    x0, y0, x1, y1 = drawing.bounds
    free = (max(width - 2.0 * room, 1.0), max(height - 2.0 * room, 1.0))
    most = min(free[0] / max(x1 - x0, 1e-9), free[1] / max(y1 - y0, 1e-9))
    return next((s for s in SCALES if s <= most * (1.0 + 1e-9)), most)


def simple_items(item: Item, scale: float) -> tuple[Simple, ...]:
    """Return an item as strokes, areas, bare circles and texts; marks take their size here.

    Parameters
    ----------
    item : anything in a drawing.
    scale : paper millimetres per model millimetre.

    Examples
    --------
    >>> [type(i).__name__ for i in simple_items(Mark(0, 0, "register"), 1.0)]
    ['Stroke', 'Stroke', 'Disc']
    """
    if isinstance(item, Mark):
        return _mark_items(item, scale)
    if isinstance(item, Disc) and item.centre_lines:
        return (replace(item, centre_lines=False), *_centre_lines(item, scale))
    return (item,)


def _centre_lines(disc: Disc, scale: float) -> list[Stroke]:
    """Four lines outwards from the centre, so that long dashes cross there."""
    reach = disc.radius + 2.5 / scale
    ends = [(reach, 0.0), (0.0, reach), (-reach, 0.0), (0.0, -reach)]
    paths = [
        ArcPath.polyline(np.array([[disc.x, disc.y], [disc.x + dx, disc.y + dy]]))
        for dx, dy in ends
    ]
    return [Stroke(path, Layer.CENTRE, Pen.CENTRE, disc.name) for path in paths]


def _mark_items(mark: Mark, scale: float) -> tuple[Stroke | Area | Disc, ...]:
    """Lines and circles of a mark."""
    half = 0.5 * mark.size / scale
    if mark.kind == "dot":
        return (Area((circle(mark.x, mark.y, half),), mark.layer, "solid", name=mark.name),)
    turns = (0.0,) if mark.kind == "tick" else (0.0, 0.5 * math.pi)
    lines = [_bar(mark, half, mark.angle + t) for t in turns]
    if mark.kind == "register":
        return (*lines, Disc(mark.x, mark.y, 0.6 * half, mark.layer, mark.pen, name=mark.name))
    return tuple(lines)


def _bar(mark: Mark, half: float, angle: float) -> Stroke:
    """Straight line through the mark's point, `half` to either side."""
    dx, dy = half * math.cos(angle), half * math.sin(angle)
    ends = np.array([[mark.x - dx, mark.y - dy], [mark.x + dx, mark.y + dy]])
    return Stroke(ArcPath.polyline(ends), mark.layer, mark.pen, mark.name)


def _moved_point(x: float, y: float, dx: float, dy: float, turn: float) -> tuple[float, float]:
    c, s = math.cos(turn), math.sin(turn)
    return c * x - s * y + dx, s * x + c * y + dy


def _item_box(item: Item) -> Box:
    """Box of an item's model geometry."""
    match item:
        case Stroke():
            return path_box(item.path)
        case Area():
            return _union([path_box(p) for p in item.paths], item.name)
        case Disc():
            r = item.radius
            return item.x - r, item.y - r, item.x + r, item.y + r
        case _:
            return item.x, item.y, item.x, item.y


def drawn_box(item: Item, scale: float) -> Box:
    """Box of an item as drawn."""
    boxes = []
    for simple in simple_items(item, scale):
        if isinstance(simple, Label):
            corners = simple.box(scale)
            (x0, y0), (x1, y1) = corners.min(axis=0).tolist(), corners.max(axis=0).tolist()
            boxes.append((x0, y0, x1, y1))
        else:
            boxes.append(_item_box(simple))
    return _union(boxes, "")


def _union(boxes: list[Box], title: str) -> Box:
    """Smallest box round all of them."""
    if not boxes:
        raise OutputError(
            "nothing to draw",
            where=title,
            allowed="at least one line, circle or text",
            todo="describe a part with a curve first",
        )
    x0, y0, x1, y1 = zip(*boxes, strict=True)
    return min(x0), min(y0), max(x1), max(y1)
