"""Line charts as drawings, in millimetres on paper."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike

from overbend.curve import ArcPath, Floats
from overbend.draw.drawing import Area, Drawing, Item, Label, Layer, Pen, Stroke
from overbend.draw.lettering import text_width

__all__ = ["Axis", "Chart", "Line", "Shade", "chart_drawing", "nice_ticks"]

_TEXT = 2.3  # mm, height of a capital
_TICK = 1.2  # mm


@dataclass(frozen=True)
class Axis:
    """An axis: its range, name and unit.

    Parameters
    ----------
    low, high : range, low < high.
    title : name and unit, such as "along the part, mm".
    factor : what the numbers are divided by before they are written.
    """

    low: float
    high: float
    title: str
    factor: float = 1.0


@dataclass(frozen=True, eq=False)
class Line:
    """A line through points.

    Parameters
    ----------
    x, y : coordinates in the axes' units.
    pen : how it is drawn.
    name : written at its end, "" for none.
    """

    x: ArrayLike
    y: ArrayLike
    pen: Pen = Pen.OUTLINE
    name: str = ""


@dataclass(frozen=True, eq=False)
class Shade:
    """A hatched band between two lines over the same x."""

    x: ArrayLike
    low: ArrayLike
    high: ArrayLike
    name: str = ""


@dataclass(frozen=True, eq=False)
class Chart:
    """A chart.

    Parameters
    ----------
    x, y : axes.
    lines, shades : what is drawn; shades lie below.
    title : for people who cannot see it.
    width, height : of the field [mm on paper].
    marks : names written at the top for upright lines, by x.
    """

    x: Axis
    y: Axis
    lines: Sequence[Line] = ()
    shades: Sequence[Shade] = ()
    title: str = ""
    width: float = 130.0
    height: float = 34.0
    marks: dict[float, str] = field(default_factory=dict)


def nice_ticks(low: float, high: float, about: int = 6) -> Floats:
    """Round numbers between low and high, `about` of them.

    Examples
    --------
    >>> nice_ticks(0.0, 847.0).tolist()
    [0.0, 200.0, 400.0, 600.0, 800.0]
    """
    rough = (high - low) / max(about, 1)
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(m * power for m in (1.0, 2.0, 5.0, 10.0) if m * power >= rough * (1 - 1e-9))
    first = math.ceil(low / step - 1e-9)
    last = math.floor(high / step + 1e-9)
    return np.arange(first, last + 1, dtype=np.float64) * step


def chart_drawing(chart: Chart) -> Drawing:
    """Draw a chart; lines are cut at the field's edge.

    Examples
    --------
    >>> line = Line([0, 10], [0, 5], name="rise")
    >>> drawn = chart_drawing(Chart(Axis(0, 10, "s"), Axis(0, 6, "mm"), [line]))
    >>> drawn.bounds[2] > 100
    True
    """
    items: list[Item] = [*_frame(chart)]
    items += [_shade(chart, shade) for shade in chart.shades]
    items += [_line(chart, line) for line in chart.lines]
    items += _ends(chart)
    free = -math.inf
    for x, name in sorted(chart.marks.items()):
        half = 0.5 * text_width(name, _TEXT)
        middle = _over(chart, x, half)
        shown = name if middle - half > free else ""
        free = middle + half + 1.5 if shown else free
        items += _upright(chart, x, middle, shown)
    return Drawing(tuple(items), chart.title)


def _over(chart: Chart, x: float, half: float) -> float:
    """Middle of a name over an upright line, moved in where it would stand out of the field."""
    px = float(_place(chart, x, chart.y.low)[0])
    return min(max(px, half), max(chart.width - half, half))


def _ends(chart: Chart) -> list[Item]:
    """Names of lines and bands where they end, moved apart where they would meet."""
    ends = [(_place(chart, line.x, line.y)[-1], line.name) for line in chart.lines]
    for shade in chart.shades:
        low, high = (_place(chart, shade.x, y)[-1] for y in (shade.low, shade.high))
        ends.append((0.5 * (low + high), shade.name))
    named = sorted(((float(at[1]), float(at[0]), name) for at, name in ends if name))
    heights = _spread([y for y, _, _ in named], 1.6 * _TEXT)
    return [
        Label(x + 1.5, y, name, _TEXT, "left", "middle")
        for y, (_, x, name) in zip(heights, named, strict=True)
    ]


def _spread(heights: list[float], apart: float) -> list[float]:
    """Heights in order, moved up and down as little as keeps them apart.

    >>> _spread([1.0, 2.0, 30.0], 4.0)
    [-0.5, 3.5, 30.0]
    """
    out = list(heights)
    for _ in range(20):
        for k in range(1, len(out)):
            short = apart - (out[k] - out[k - 1])
            if short > 1e-9:
                out[k - 1], out[k] = out[k - 1] - short / 2, out[k] + short / 2
    return out


def _place(chart: Chart, x: ArrayLike, y: ArrayLike) -> Floats:
    """Points on paper, cut to the field in y."""
    px = (np.asarray(x, float) - chart.x.low) / (chart.x.high - chart.x.low) * chart.width
    py = (np.asarray(y, float) - chart.y.low) / (chart.y.high - chart.y.low) * chart.height
    return np.stack(np.broadcast_arrays(px, np.clip(py, 0.0, chart.height)), axis=-1)


def _straight(points: Sequence[tuple[float, float]], pen: Pen, layer: Layer) -> Stroke:
    return Stroke(ArcPath.polyline(np.array(points)), layer, pen)


def _frame(chart: Chart) -> list[Item]:
    w, h = chart.width, chart.height
    items: list[Item] = [_straight([(0, h), (0, 0), (w, 0)], Pen.THIN, Layer.DIMENSION)]
    for value in nice_ticks(chart.x.low / chart.x.factor, chart.x.high / chart.x.factor, 8):
        x = float(_place(chart, value * chart.x.factor, chart.y.low)[0])
        items.append(_straight([(x, 0), (x, -_TICK)], Pen.THIN, Layer.DIMENSION))
        items.append(Label(x, -_TICK - 1.0, _number(value), _TEXT, "centre", "top"))
    for value in nice_ticks(chart.y.low / chart.y.factor, chart.y.high / chart.y.factor, 5):
        y = float(_place(chart, chart.x.low, value * chart.y.factor)[1])
        items.append(_straight([(0, y), (-_TICK, y)], Pen.THIN, Layer.DIMENSION))
        items.append(_straight([(0, y), (w, y)], Pen.DOTTED, Layer.SHEET))
        items.append(Label(-_TICK - 1.0, y, _number(value), _TEXT, "right", "middle"))
    items.append(Label(w, -_TICK - 5.0, chart.x.title, _TEXT, "right", "top"))
    above = 6.5 if any(chart.marks.values()) else 3.0
    items.append(Label(-6.0, h + above, chart.y.title, _TEXT, "left", "base"))
    return items


def _number(value: float) -> str:
    text = f"{value:.6g}"
    return "0" if text == "-0" else text


def _line(chart: Chart, line: Line) -> Item:
    points = _place(chart, line.x, line.y)
    return Stroke(ArcPath.polyline(points), Layer.TARGET, line.pen, line.name)


def _shade(chart: Chart, shade: Shade) -> Item:
    low, high = _place(chart, shade.x, shade.low), _place(chart, shade.x, shade.high)
    ring = ArcPath.polyline(np.concatenate([low, high[::-1]]), closed=True)
    return Area((ring,), Layer.BAND, "hatch", spacing=1.2, name=shade.name)


def _upright(chart: Chart, x: float, middle: float, name: str) -> list[Item]:
    """Line up through the field at x, its name over it."""
    px = float(_place(chart, x, chart.y.low)[0])
    h = chart.height
    items: list[Item] = [_straight([(px, 0), (px, h)], Pen.CENTRE, Layer.CENTRE)]
    if name:
        items.append(Label(middle, h + 1.0, name, _TEXT, "centre", "base", clear=True))
    return items
