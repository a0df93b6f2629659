"""Picture of what trial bends taught: the guess before them, the trials, what is known now."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from overbend.curve import ArcPath, Floats
from overbend.draw.chart import Axis, Chart, Line, chart_drawing
from overbend.draw.drawing import Drawing, Item, Label, Layer, Mark, Pen, Stroke
from overbend.errors import OutputError

__all__ = ["LearntPanel", "TrialMark", "learnt_drawing"]

_TEXT = 2.3  # mm, height of a capital
_WIDTH, _HEIGHT = 120.0, 34.0
_STEP, _LEAST_STEP, _ROOM = 3.2, 0.7, 40.0  # mm between the bars of trials, and room for them
_NAMED = 12  # so many bars still have room for their names
_Z90 = 1.645
_SAMPLE = 27.0  # mm, two long dashes
_LEGEND = (
    (Pen.LONG_DASH, "guess, before any trial"),
    (Pen.OUTLINE, "learnt: the next part"),
    (Pen.THIN, "trial bends, at ten days, nine in ten"),
)


@dataclass(frozen=True)
class TrialMark:
    """A trial bend: share of the bend one of its strips lost, 5, 50 and 95 %."""

    name: str
    low: float
    median: float
    high: float


@dataclass(frozen=True)
class LearntPanel:
    """One wood, treatment and class of thickness.

    Parameters
    ----------
    title : what it is, in words.
    guess, learnt : middle and standard deviation of logit(phi), phi the share of its bend that
        a strip keeps.
    trials : what the trials said.
    """

    title: str
    guess: tuple[float, float]
    learnt: tuple[float, float]
    trials: Sequence[TrialMark]


def learnt_drawing(panels: Sequence[LearntPanel], title: str) -> Drawing:
    """Draw panels below each other, with one legend.

    Parameters
    ----------
    panels : at least one.
    title : for people who cannot see it.

    Raises
    ------
    OutputError
        Without panels.

    Examples
    --------
    >>> mark = TrialMark("1", 0.06, 0.08, 0.11)
    >>> drawn = learnt_drawing([LearntPanel("ash", (2.4, 0.85), (2.2, 0.6), [mark])], "set")
    >>> drawn.bounds[2] > 100.0
    True
    """
    if not panels:
        raise OutputError(
            "nothing to draw: no steamed trial bend is measured yet",
            allowed="at least one",
            todo="record what came off with overbend trial add",
        )
    items: list[Item] = []
    top = 0.0
    for panel in panels:
        drawn = _panel(panel)
        _, low, _, high = drawn.extent()
        items += [item.moved(0.0, top - high) for item in drawn.items]
        top -= high - low + 8.0
    return Drawing((*items, *_legend(top)), title)


def _panel(panel: LearntPanel) -> Drawing:
    most = _end(panel)
    lost = np.linspace(0.0, most, 401)[1:]
    curves = [_density(lost, *shape) for shape in (panel.guess, panel.learnt)]
    peak = max(float(curve.max()) for curve in curves)
    chart = Chart(
        Axis(0.0, 100.0 * most, "share of its bend that a strip loses, %"),
        Axis(0.0, 1.05, "how likely, against the likeliest"),
        [
            Line(100.0 * lost, curve / peak, pen)
            for curve, pen in zip(curves, (Pen.LONG_DASH, Pen.OUTLINE), strict=True)
        ],
        title=panel.title,
        width=_WIDTH,
        height=_HEIGHT,
    )
    bars = list(_bars(panel.trials, most))
    above = _HEIGHT + 9.0 + _STEP * (1 + min(len(panel.trials), _NAMED))
    head = Label(0.0, max(above, _top(bars) + 3.0), panel.title, 1.2 * _TEXT)
    return Drawing((*chart_drawing(chart).items, *bars, head), panel.title)


def _end(panel: LearntPanel) -> float:
    """Where the axis ends: past nearly everything that is drawn."""
    ends = [1.0 / (1.0 + math.exp(m - _Z90 * sd)) for m, sd in (panel.guess, panel.learnt)]
    most = max(*ends, *(trial.high for trial in panel.trials), 0.02)
    return min(1.0, math.ceil(22.0 * most) / 20.0)


def _density(lost: Floats, middle: float, sd: float) -> Floats:
    """Density of the share lost, whose logit is Gaussian about -middle."""
    inside = np.clip(lost, 1e-9, 1.0 - 1e-9)
    logit = np.log(inside / (1.0 - inside))
    bell = np.exp(-0.5 * ((logit + middle) / sd) ** 2) / sd
    return np.asarray(bell / (inside * (1.0 - inside)))


def _bars(trials: Sequence[TrialMark], most: float) -> Iterator[Item]:
    """One bar for each trial above the field, a dot at its middle."""
    step = min(_STEP, max(_LEAST_STEP, _ROOM / max(len(trials), 1)))
    for i, trial in enumerate(trials):
        y = _HEIGHT + 9.0 + step * (len(trials) - 1 - i)
        low, middle, high = (
            _WIDTH * min(v, most) / most for v in (trial.low, trial.median, trial.high)
        )
        bar = ArcPath.polyline(np.array([(low, y), (high, y)]))
        yield Stroke(bar, Layer.TARGET, Pen.THIN, trial.name)
        yield Mark(middle, y, "dot", 1.2, layer=Layer.TARGET)
        if len(trials) <= _NAMED:
            yield Label(high + 1.5, y, trial.name, _TEXT, "left", "middle")


def _top(items: Sequence[Item]) -> float:
    return max((item.y for item in items if isinstance(item, Mark)), default=_HEIGHT)


def _legend(y: float) -> Iterator[Item]:
    """Samples of the lines and what they mean."""
    for pen, words in _LEGEND:
        yield Stroke(ArcPath.polyline(np.array([(0.0, y), (_SAMPLE, y)])), Layer.TARGET, pen)
        if pen is Pen.THIN:
            yield Mark(0.5 * _SAMPLE, y, "dot", 1.2, layer=Layer.TARGET)
        yield Label(_SAMPLE + 2.0, y, words, _TEXT, "left", "middle")
        y -= 2.0 * _TEXT
