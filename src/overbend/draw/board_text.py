"""Sizes of boards and strips as they are written on cutting diagrams, and texts that fit."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np

from overbend.curve import ArcPath
from overbend.draw.drawing import Area, Fill, Item, Label, Layer, Pen, Stroke
from overbend.draw.lettering import block
from overbend.stock import Stock
from overbend.units import Display, format_length

__all__ = ["SMALL", "TEXT", "fitted", "line", "patch", "rectangle", "setting", "sold_size"]

TEXT = 2.2
"""Height of a capital on cutting diagrams [mm]."""

SMALL = 1.8
"""The least height of a capital [mm]."""

_ROOM = 0.2  # mm kept free round a text in its field


def setting(mm: float, display: Display) -> str:
    """A fence or a stop, without its unit: 0.1 mm, or the nearest 64th of an inch.

    Below half an inch, what is no 64th is written in thousandths.

    Examples
    --------
    >>> setting(4.4, Display()), setting(25.4 / 8, Display("in")), setting(4.4, Display("in"))
    ('4.4', '1/8', '0.173')
    """
    if display.system == "mm":
        return format_length(mm, display, unit=False)
    parts = mm / 25.4 * 64
    if parts > 32 or abs(parts - round(parts)) < 0.05:
        return format_length(mm, replace(display, inch_denominator=64), unit=False)
    return f"{mm / 25.4:.3f}"


def sold_size(stock: Stock, display: Display) -> str:
    """A board's size as a yard names it: thickness, width, length.

    Examples
    --------
    >>> sold_size(Stock("oak 52", "oak", 2400.0, 180.0, 52.0), Display())
    '52 x 180 x 2400 mm'
    >>> print(sold_size(Stock("8/4", "oak", 2438.4, 203.2, 50.8), Display("in")))
    2 in x 8 in x 8' 0"
    """
    if display.system == "mm":
        thick, wide = (
            format_length(v, display, unit=False) for v in (stock.thickness, stock.width)
        )
        return f"{thick} x {wide} x {format_length(stock.length, display)}"
    thick, wide = (format_length(v, display) for v in (stock.thickness, stock.width))
    return f"{thick} x {wide} x {format_length(stock.length, display, feet=True)}"


# -- items, on paper -----------------------------------------------------------------------
def rectangle(x0: float, y0: float, x1: float, y1: float) -> ArcPath:
    """Closed path round a rectangle."""
    return ArcPath.polyline(np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]]), closed=True)


def line(
    points: Sequence[tuple[float, float]], pen: Pen = Pen.THIN, layer: Layer = Layer.DIMENSION
) -> Stroke:
    """Line through points."""
    return Stroke(ArcPath.polyline(np.array(points)), layer, pen)


def patch(
    box: tuple[float, float, float, float], fill: Fill, *, spacing: float = 1.6, name: str = ""
) -> list[Item]:
    """Fill a rectangle; nothing where it has no size."""
    if box[2] - box[0] < 1e-6 or box[3] - box[1] < 1e-6:
        return []
    return [Area((rectangle(*box),), Layer.BAND, fill, spacing=spacing, name=name)]


def fitted(
    box: tuple[float, float, float, float],
    texts: Iterable[str],
    sizes: Sequence[float] = (TEXT, SMALL),
    turned: bool = False,
) -> Label | None:
    """The first of some texts that fits a field, level or upright, in its middle; None: none does.

    Parameters
    ----------
    box : the field: left, bottom, right, top [mm].
    texts : the best first.
    sizes : heights of a capital to try for each [mm].
    turned : whether a better text that stands upright goes before one that does not.

    Examples
    --------
    >>> fitted((0.0, 0.0, 20.0, 5.0), ["A1, a long text for so small a field", "A1"]).text
    'A1'
    >>> fitted((0.0, 0.0, 2.0, 2.0), ["A1"]) is None
    True
    """
    wide, high = box[2] - box[0], box[3] - box[1]
    rooms = {False: (wide, high), True: (high, wide)}
    every, ways = list(texts), (False, True)
    tries = (
        [(t, u) for t in every for u in ways] if turned else [(t, u) for u in ways for t in every]
    )
    for text, upright in tries:
        for size in sizes:
            shape = block(text, size, "centre", "middle")
            long, deep = shape.right - shape.left, shape.top - shape.bottom
            if long + 2 * _ROOM <= rooms[upright][0] and deep + 2 * _ROOM <= rooms[upright][1]:
                return _centred(box, text, size, upright)
    return None


def _centred(
    box: tuple[float, float, float, float], text: str, size: float, upright: bool
) -> Label:
    """Label whose capitals are in the middle of a field, or a little off it for what hangs down."""
    x, y = 0.5 * (box[0] + box[2]), 0.5 * (box[1] + box[3])
    shape = block(text, size, "centre", "middle")
    half = 0.5 * ((box[2] - box[0]) if upright else (box[3] - box[1]))
    up = max(0.0, _ROOM - half - shape.bottom)
    if upright:
        return Label(x - up, y, text, size, "centre", "middle", 0.5 * np.pi)
    return Label(x, y + up, text, size, "centre", "middle")
