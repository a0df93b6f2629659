"""The trade-off among many ways to build a part: one point a way, three things it costs.

Everything comes in as plain numbers and finished texts, so that any search can be drawn.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from overbend.curve import ArcPath
from overbend.draw.drawing import Area, Disc, Drawing, Item, Label, Layer, Mark, Pen, Stroke
from overbend.draw.lettering import text_width

__all__ = ["Panel", "Point", "State", "TradeOff", "round_steps", "tradeoff_drawing"]

_TEXT = 2.3  # mm, height of a capital
_TICK = 1.2  # mm
_GAP = 9.0  # mm between panels
_DOT = 0.95  # mm, radius of a point

State = Literal["unbeaten", "beaten", "misses"]


@dataclass(frozen=True)
class Point:
    """One way to build the part.

    Parameters
    ----------
    x : where it stands.
    values : one for each panel; None where there is none.
    state : ``unbeaten`` (within the limits, filled), ``beaten`` (within them, hollow) or
        ``misses`` (a limit, a cross).
    second : drawn as a triangle instead of a circle: the second way of working.
    ringed : whether it is the one drawn now.
    letter : by which the table names it, "" for none.
    span : ends of its range in the first panel; None for none.
    """

    x: float
    values: tuple[float | None, ...]
    state: State
    second: bool = False
    ringed: bool = False
    letter: str = ""
    span: tuple[float, float] | None = None


@dataclass(frozen=True)
class Panel:
    """One thing a way costs.

    Parameters
    ----------
    title : what it is.
    low, high : range shown, low < high; above zero when `even_factors`.
    ticks : values and what is written beside them.
    height : [mm on paper].
    even_factors : equal distances stand for equal factors.
    limit : not to be passed, None for none.
    """

    title: str
    low: float
    high: float
    ticks: Sequence[tuple[float, str]]
    height: float
    even_factors: bool = False
    limit: float | None = None

    def y(self, value: float) -> float:
        """Height on paper above the panel's foot, cut to the panel [mm]."""
        a, b, v = self.low, self.high, min(max(value, self.low), self.high)
        if self.even_factors:
            a, b, v = math.log(a), math.log(b), math.log(v)
        return (v - a) / (b - a) * self.height


@dataclass(frozen=True)
class TradeOff:
    """A search, ready to be drawn.

    Parameters
    ----------
    title : for people who cannot see it.
    x_title : name of the upright axis's fellow.
    x_ticks : places and what is written under them.
    low, high : range of x, low < high.
    points : the ways.
    panels : what they cost, from the top.
    key : what the signs mean, written under the chart.
    """

    title: str
    x_title: str
    x_ticks: Sequence[tuple[float, str]]
    low: float
    high: float
    points: Sequence[Point]
    panels: Sequence[Panel]
    key: str = ""


def round_steps(low: float, high: float) -> list[float]:
    """Values of 1, 2 and 5 times a power of ten from low to high, both above zero.

    Examples
    --------
    >>> round_steps(0.3, 12.0)
    [0.5, 1.0, 2.0, 5.0, 10.0]
    """
    first, last = math.floor(math.log10(low)), math.ceil(math.log10(high))
    all_steps = [float(f"{m}e{p}") for p in range(first, last + 1) for m in (1, 2, 5)]
    return [v for v in all_steps if low * (1 - 1e-9) <= v <= high * (1 + 1e-9)]


def tradeoff_drawing(trade: TradeOff, width: float = 128.0) -> Drawing:
    """Draw the panels one under the other over the same x.

    Parameters
    ----------
    trade : what is compared.
    width : of the panels [mm on paper].

    Examples
    --------
    >>> panel = Panel("wood", 0.0, 9.0, [(0.0, "0"), (9.0, "9")], 20.0)
    >>> ways = [Point(2.0, (4.0,), "unbeaten", letter="a"), Point(3.0, (6.0,), "misses")]
    >>> drawn = tradeoff_drawing(TradeOff("stacks", "strips", [(2.0, "2")], 1.0, 4.0, ways, [panel]))
    >>> [i.text for i in drawn.items if isinstance(i, Label)][-3:]
    ['a', '2', 'strips']
    """  # noqa: E501
    items: list[Item] = []
    foot = 0.0
    for index, panel in enumerate(trade.panels):
        foot -= panel.height + (_GAP if index else 0.0)
        items += _panel(trade, index, width, foot)
    items += _letters(trade, width, foot)
    for x, text in trade.x_ticks:
        items.append(Label(_x(trade, x, width), foot - _TICK - 1.0, text, _TEXT, "centre", "top"))
    items.append(Label(width, foot - _TICK - 5.0, trade.x_title, _TEXT, "right", "top"))
    if trade.key:
        items.append(Label(-16.0, foot - _TICK - 11.0, trade.key, _TEXT, "left", "top"))
    return Drawing(tuple(items), trade.title)


def _x(trade: TradeOff, x: float, width: float) -> float:
    return (x - trade.low) / (trade.high - trade.low) * width


def _line(x0: float, y0: float, x1: float, y1: float, pen: Pen, layer: Layer) -> Stroke:
    return Stroke(ArcPath.polyline(np.array([[x0, y0], [x1, y1]])), layer, pen)


def _panel(trade: TradeOff, index: int, width: float, foot: float) -> list[Item]:
    """Frame, ticks, limit and points of a panel whose foot is at a height."""
    panel = trade.panels[index]
    top = foot + panel.height
    items: list[Item] = [
        _line(0.0, foot, width, foot, Pen.THIN, Layer.DIMENSION),
        _line(0.0, foot, 0.0, top, Pen.THIN, Layer.DIMENSION),
        Label(-16.0, top + 3.2, panel.title, _TEXT, "left", "base"),
    ]
    for value, text in panel.ticks:
        y = foot + panel.y(value)
        items.append(_line(0.0, y, -_TICK, y, Pen.THIN, Layer.DIMENSION))
        items.append(_line(0.0, y, width, y, Pen.DOTTED, Layer.SHEET))
        items.append(Label(-_TICK - 1.0, y, text, _TEXT, "right", "middle"))
    for x, _ in trade.x_ticks:
        px = _x(trade, x, width)
        items.append(_line(px, foot, px, foot - _TICK, Pen.THIN, Layer.DIMENSION))
    if panel.limit is not None:
        items += _limit(panel, width, foot)
    for point in trade.points:
        items += _point(trade, point, index, width, foot)
    return items


def _limit(panel: Panel, width: float, foot: float) -> list[Item]:
    """A line not to be passed, hatched beyond it."""
    y, top = foot + panel.y(panel.limit or 0.0), foot + panel.height
    items: list[Item] = [_line(0.0, y, width, y, Pen.LONG_DASH, Layer.TARGET)]
    if top - y > 0.5:
        corners = np.array([[0.0, y], [width, y], [width, top], [0.0, top]])
        ring = ArcPath.polyline(corners, closed=True)
        items.append(Area((ring,), Layer.SHEET, "hatch", spacing=3.0, name="beyond the limit"))
    items.append(Label(width + 1.5, y, "asked", _TEXT, "left", "middle"))
    return items


def _point(trade: TradeOff, point: Point, index: int, width: float, foot: float) -> list[Item]:
    """One way in one panel."""
    value = point.values[index]
    if value is None:
        return []
    panel = trade.panels[index]
    x, y = _x(trade, point.x, width), foot + panel.y(value)
    items: list[Item] = []
    if index == 0 and point.span is not None and point.letter:
        low, high = (foot + panel.y(v) for v in point.span)
        items.append(_line(x, low, x, high, Pen.OUTLINE, Layer.RELEASED))
    items += _sign(point, x, y)
    if point.ringed:
        items.append(Disc(x, y, 2.1 * _DOT, Layer.MARK, Pen.THIN, name="as drawn now"))
    return items


def _sign(point: Point, x: float, y: float) -> list[Item]:
    """Cross, hollow or filled; a circle, or a triangle for the second way of working."""
    if point.state == "misses":
        turn = 0.0 if point.second else 0.25 * math.pi
        return [Mark(x, y, "cross", 1.8, turn, Layer.RELEASED, Pen.THIN)]
    filled = point.state == "unbeaten"
    if point.second:
        angles = np.array([0.5, 7 / 6, 11 / 6]) * math.pi
        corners = np.array([x, y]) + 1.45 * _DOT * np.stack([np.cos(angles), np.sin(angles)], -1)
        ring = ArcPath.polyline(corners, closed=True)
        inside: list[Item] = [Area((ring,), Layer.TARGET, "solid")] if filled else []
        return [*inside, Stroke(ring, Layer.TARGET, Pen.THIN)]
    if filled:
        return [Mark(x, y, "dot", 2.0 * _DOT, layer=Layer.TARGET)]
    return [Disc(x, y, _DOT, Layer.TARGET, Pen.THIN)]


def _letters(trade: TradeOff, width: float, foot: float) -> list[Item]:
    """Letters over the ways that the table names, and a line down through the panels."""
    items: list[Item] = []
    free = -math.inf
    for point in sorted((p for p in trade.points if p.letter), key=lambda p: p.x):
        x = _x(trade, point.x, width)
        half = 0.5 * text_width(point.letter, _TEXT)
        items.append(_line(x, foot, x, 0.6, Pen.DOTTED, Layer.CENTRE))
        place = max(x, free + half)
        free = place + half + 0.6
        items.append(Label(place, 1.4, point.letter, _TEXT, "centre", "base"))
    return items
