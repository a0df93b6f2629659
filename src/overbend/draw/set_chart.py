"""Picture of the bend that strips lose: by wood, treatment and class of thickness, in rows."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from overbend.curve import ArcPath
from overbend.draw.chart import nice_ticks
from overbend.draw.drawing import Drawing, Item, Label, Layer, Mark, Pen, Stroke
from overbend.errors import OutputError

__all__ = ["SetRow", "set_drawing"]

_TEXT = 2.5  # mm, height of a capital
_WIDTH = 96.0  # mm, of the field
_ROW = 13.0  # mm from row to row
_TICK = 1.2
_SAMPLE = 20.0  # mm, of a line in the legend


@dataclass(frozen=True)
class SetRow:
    """One wood, treatment and class of thickness; shares of the bend lost at ten days.

    Parameters
    ----------
    title : what it is, in words.
    guess, learnt : 5, 50 and 95 % for the next part, before any trial and after them.
    trials : middle value of each trial.
    """

    title: str
    guess: tuple[float, float, float]
    learnt: tuple[float, float, float]
    trials: Sequence[float]


def set_drawing(rows: Sequence[SetRow], title: str, legend: Sequence[str], axis: str) -> Drawing:
    """Draw rows below each other over one axis.

    Parameters
    ----------
    rows : at least one.
    title : for people who cannot see it.
    legend : words for the guess, for what was learnt and for the trials.
    axis : name and unit of the axis.

    Raises
    ------
    OutputError
        Without rows.

    Examples
    --------
    >>> row = SetRow("ash, thick", (0.02, 0.08, 0.26), (0.05, 0.09, 0.16), [0.08, 0.1])
    >>> drawn = set_drawing([row], "set", ("guess", "learnt", "trials"), "lost, %")
    >>> drawn.bounds[2] > 90.0
    True
    """
    if not rows:
        raise OutputError("nothing to draw: no steamed trial bend is measured yet", allowed="one")
    most = max(max(r.guess[2], r.learnt[2], *r.trials, 0.02) for r in rows)
    end = min(1.0, math.ceil(20.0 * most) / 20.0)
    items: list[Item] = []
    for i, row in enumerate(rows):
        items += _row(row, -_ROW * i, end)
    bottom = -_ROW * (len(rows) - 1) - 6.0
    items += _axis(bottom, end, axis)
    items += _legend(bottom - 15.0, legend)
    return Drawing(tuple(items), title)


def _x(share: float, end: float) -> float:
    return _WIDTH * min(max(share, 0.0), end) / end


def _line(x0: float, y0: float, x1: float, y1: float, pen: Pen, layer: Layer) -> Stroke:
    return Stroke(ArcPath.polyline(np.array([(x0, y0), (x1, y1)])), layer, pen)


def _row(row: SetRow, y: float, end: float) -> Iterator[Item]:
    """Title over two bars: guess above, learnt below, the trials on it."""
    yield Label(0.0, y + 2.6, row.title, _TEXT, "left", "base")
    bars = ((row.guess, 0.0, Pen.HIDDEN), (row.learnt, -3.4, Pen.OUTLINE))
    for (low, middle, high), drop, pen in bars:
        at = y + drop
        yield _line(_x(low, end), at, _x(high, end), at, pen, Layer.TARGET)
        x = _x(middle, end)
        yield _line(x, at - 1.1, x, at + 1.1, Pen.OUTLINE, Layer.TARGET)
    for lost in row.trials:
        yield Mark(_x(lost, end), y - 3.4, "dot", 1.6, layer=Layer.TARGET)


def _axis(y: float, end: float, title: str) -> Iterator[Item]:
    yield _line(0.0, y, _WIDTH, y, Pen.THIN, Layer.DIMENSION)
    for value in nice_ticks(0.0, 100.0 * end, 6):
        x = _x(value / 100.0, end)
        yield _line(x, y, x, y - _TICK, Pen.THIN, Layer.DIMENSION)
        yield Label(x, y - _TICK - 1.0, f"{value:g}", _TEXT, "centre", "top")
    yield Label(_WIDTH, y - _TICK - 5.0, title, _TEXT, "right", "top")


def _legend(y: float, said: Sequence[str]) -> Iterator[Item]:
    """Samples of the bars and the dots, and what they mean."""
    for i, (text, pen) in enumerate(zip(said, (Pen.HIDDEN, Pen.OUTLINE, None), strict=True)):
        at = y - 5.0 * i
        if pen is not None:
            yield _line(0.0, at, _SAMPLE, at, pen, Layer.TARGET)
        else:
            yield Mark(0.5 * _SAMPLE, at, "dot", 1.6, layer=Layer.TARGET)
        yield Label(_SAMPLE + 2.5, at, text, _TEXT, "left", "middle")
