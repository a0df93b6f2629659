"""The name of a template, written where there is most room, and off the seams of its pages."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from overbend.curve import Floats
from overbend.draw.arcs import Box
from overbend.draw.drawing import Drawing, Label, Layer, Stroke
from overbend.draw.legible import ink_of
from overbend.draw.lettering import block
from overbend.draw.placing import CROSSED, Board, Group
from overbend.draw.words import ENGLISH, say

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

__all__ = ["TITLE", "Titles", "on_one_page", "titled", "titles", "untitled"]

Judged: TypeAlias = tuple[float, float, Group]

TITLE = "title"
"""What the labels of a template's name are called."""

_SIZES = (5.0, 4.0, 3.2, 2.6)  # mm, height of a capital
_LEGIBLE = 4.0  # mm: rather than smaller letters, a name may stand on centre lines
_STAMP = 2.3  # mm
_GRID = 120  # places looked at
_ASIDE = 30.0  # mm round a part in which its name may stand
_OFF = 8.0  # mm from a part to its name, best
_STEP = 8.0  # mm between places tried on a page
_NOTHING: Judged = (math.inf, 0.0, ())
_CLEAR = 15.0  # mm from a page's edge to a name: more than the strip that two pages share


@dataclass(frozen=True)
class Titles:
    """Texts of a template's name.

    Parameters
    ----------
    names : what it is, line by line.
    stamp : of which piece, file and day it is, line by line.
    """

    names: tuple[str, ...]
    stamp: tuple[str, ...]


def titles(name: str, what: str, trial: bool, stamp: str) -> Titles:
    """Lines of a template's name.

    Examples
    --------
    >>> titles("slat", "form", True, "Chair, chair.toml 81f0, 2026-03-01")
    Titles(names=('slat', 'form', 'TRIAL FORM'), stamp=('Chair', 'chair.toml 81f0', '2026-03-01'))
    """
    names = (name, what, say(ENGLISH, "trial")) if trial else (name, what)
    return Titles(names, tuple(stamp.split(", ")) if stamp else ())


def titled(drawing: Drawing, texts: Titles) -> Drawing:
    """Write a template's name: in the body of a form, beside a part.

    It takes the largest letters and the roomiest place that cross nothing.

    Parameters
    ----------
    drawing : the template, everything else in it.
    texts : what to write.
    """
    spots = _Spots(drawing)
    places, found = spots.grid(), _NOTHING
    for size in _SIZES:
        for names, stamp in _settings(texts):
            groups = (_written(names, stamp, at, size) for at in places)
            found = min([*spots.judged(groups), found], key=_rank)
            if found[0] < (1.0 if size > _LEGIBLE else CROSSED):
                return drawing.with_items(spots.board.wiped(found[2]))
    group = found[2] or _below(drawing, texts)
    return drawing.with_items(spots.board.wiped(group))


def _rank(found: Judged) -> tuple[float, float]:
    return found[:2]


class _Spots:
    """Where on a template its name may stand, and how good a place is."""

    def __init__(self, drawing: Drawing) -> None:
        import shapely

        closed = [i for i in drawing.items if isinstance(i, Stroke) and i.path.closed]
        bodies = [_polygon(i) for i in closed if i.layer == Layer.BODY]
        parts = [_polygon(i) for i in closed if i.layer == Layer.TARGET]
        outline = shapely.union_all(bodies or parts)
        self.inside = bool(bodies)
        around = outline.convex_hull.buffer(_ASIDE).difference(outline)
        self.region = outline if bodies else around
        self.board = Board(drawing.items, 1.0)
        self.lines = [shape for item in drawing.items for _, shape in ink_of(item, 1.0)]

    def grid(self) -> list[Floats]:
        """Places all over the region, about evenly."""
        if self.region.is_empty:
            return []
        x0, y0, x1, y1 = self.region.bounds
        step = max(4.0, math.sqrt((x1 - x0) * (y1 - y0) / _GRID))
        xs, ys = np.arange(x0 + 0.5 * step, x1, step), np.arange(y0 + 0.5 * step, y1, step)
        return [np.array([x, y]) for x in xs for y in ys]

    def judged(self, groups: Iterable[tuple[Label, ...]]) -> list[Judged]:
        """Those in the region, each with what it crosses and how near lines are, best least."""
        import shapely

        out: list[Judged] = []
        for group in groups:
            box = _box_of(group)
            if not self.region.contains(box):
                continue
            gap = float(shapely.distance(box, self.lines).min())
            out.append((self.board.cost(group), -gap if self.inside else abs(gap - _OFF), group))
        return out


def _polygon(stroke: Stroke) -> BaseGeometry:
    import shapely

    return shapely.Polygon(stroke.path.flatten(0.1))


def _settings(texts: Titles) -> Iterator[tuple[str, str]]:
    """Ways to break the lines: tall, flat and between."""
    for names in ("\n", ", "):
        for stamp in ("\n", ", ") if texts.stamp else ("",):
            yield names.join(texts.names), stamp.join(texts.stamp)


def _written(names: str, stamp: str, at: Floats, size: float) -> tuple[Label, ...]:
    """Name over stamp, their middle at a point."""
    label = Label(0.0, 0.0, names, size, "centre", "top", name=TITLE)
    shape = block(names, size, "centre", "top")
    labels = [label]
    low = shape.bottom
    if stamp:
        small = min(_STAMP, size)
        labels.append(replace(label, text=stamp, size=small, y=low - 0.8 * small))
        low += block(stamp, small, "centre", "top").bottom - 0.8 * small
    return tuple(one.moved(float(at[0]), float(at[1]) - 0.5 * low) for one in labels)


def _below(drawing: Drawing, texts: Titles) -> tuple[Label, ...]:
    """Under everything, where nothing else has room."""
    x0, y0, x1, _ = drawing.extent()
    group = _written("\n".join(texts.names), "\n".join(texts.stamp), np.zeros(2), _SIZES[-1])
    high = float(_box_of(group).bounds[3])
    return tuple(label.moved(0.5 * (x0 + x1), y0 - 6.0 - high) for label in group)


def untitled(drawing: Drawing) -> Drawing:
    """Return the same template without its name."""
    return replace(drawing, items=tuple(i for i in drawing.items if i.name != TITLE))


def on_one_page(drawing: Drawing, windows: Sequence[Box]) -> Drawing:
    """Move a template's name to the nearest place that one page shows whole.

    Parameters
    ----------
    drawing : the template.
    windows : what each page shows [mm].

    Returns
    -------
    Drawing
        The same one where no page has room, or the name is on one page already.
    """
    group = tuple(i for i in drawing.items if isinstance(i, Label) and i.name == TITLE)
    if not group:
        return drawing
    moves = sorted(_moves(_box_of(group).bounds, windows), key=lambda move: math.hypot(*move))
    if moves and moves[0] == (0.0, 0.0):
        return drawing
    spots, best, least = _Spots(untitled(drawing)), group, math.inf
    for move in moves:
        if math.hypot(*move) >= least:
            break
        moved = tuple(replace(i.moved(*move), clear=False) for i in group)
        for cost, _, _ in spots.judged([moved]):
            if cost < CROSSED and cost + math.hypot(*move) < least:
                best, least = moved, cost + math.hypot(*move)
    return untitled(drawing).with_items(spots.board.wiped(best))


def _moves(box: Box, windows: Sequence[Box]) -> Iterator[tuple[float, float]]:
    """Shifts that bring a box wholly into a window, clear of its edges; none first."""
    for x0, y0, x1, y1 in windows:
        low = np.array([x0 + _CLEAR - box[0], y0 + _CLEAR - box[1]])
        high = np.array([x1 - _CLEAR - box[2], y1 - _CLEAR - box[3]])
        if (high < low).any():
            continue
        if (low <= 0).all() and (high >= 0).all():
            yield 0.0, 0.0
        xs, ys = (
            np.linspace(a, b, max(2, math.ceil((b - a) / _STEP)))
            for a, b in zip(low, high, strict=True)
        )
        yield from ((float(x), float(y)) for x in xs for y in ys)


def _box_of(group: Sequence[Label]) -> BaseGeometry:
    """Smallest box round labels."""
    import shapely

    corners = np.concatenate([label.box(1.0) for label in group])
    box: BaseGeometry = shapely.box(*corners.min(axis=0), *corners.max(axis=0))
    return box
