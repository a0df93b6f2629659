"""Rows of dimensions on one line: end to end, or all from one datum.

As in :mod:`overbend.draw.dimensions`, "paper" lengths are millimetres on paper and texts
never cross a line: a text too long for its span is raised over its neighbours on a thin
stem, and texts too close to each other are moved apart.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from overbend.curve import Floats
from overbend.draw.dimensions import (
    STYLE,
    DimensionStyle,
    Direction,
    Frame,
    Point,
    away,
    extensions,
    measured_frame,
)
from overbend.draw.drawing import Anchor, Disc, Item, Label, Layer, Pen
from overbend.draw.lettering import text_width, upright
from overbend.errors import OutputError

__all__ = ["chain", "running", "spread"]


def chain(
    points: Sequence[Point],
    texts: Sequence[str],
    *,
    scale: float,
    offset: float = 8.0,
    direction: Direction = "horizontal",
    style: DimensionStyle = STYLE,
) -> list[Item]:
    """Distances end to end on one line.

    Parameters
    ----------
    points : in order along the direction, two or more [mm].
    texts : one for each span between neighbours.
    scale : paper millimetres per model millimetre.
    offset : of the line from the outermost point, as for a single dimension [mm on paper].
    direction : "horizontal", "vertical", or "aligned" with the first and last point.
    style : sizes.

    Returns
    -------
    list of Item

    Raises
    ------
    OutputError
        When texts and spans do not match or the points are not in order.

    Examples
    --------
    >>> items = chain([(0, 0), (200, 0), (500, 30)], ["200", "300"], scale=0.2)
    >>> [i.text for i in items if isinstance(i, Label)]
    ['200', '300']
    """
    frame, feet = measured_frame(points, direction, offset, scale, style)
    stops = [u for u, _ in feet]
    _check(stops, len(texts), len(points) - 1)
    items = [*extensions(frame, feet), frame.line((stops[0], 0.0), (stops[-1], 0.0))]
    return [*items, *_ends(frame, stops), *_chain_texts(frame, stops, texts, away(feet))]


def _check(stops: Sequence[float], given: int, wanted: int) -> None:
    """Refuse rows that cannot be drawn."""
    if given != wanted or bool(np.any(np.diff(stops) <= 0.0)):
        raise OutputError(
            f"a row of dimensions with {len(stops)} points and {given} texts",
            allowed=f"{wanted} texts and points in order along the row",
        )


def _ends(frame: Frame, stops: Sequence[float]) -> list[Item]:
    """Arrows both ways at each stop, or a dot where a neighbouring span is too short."""
    short = np.diff(stops) < 3.0 * frame.style.arrow
    items: list[Item] = []
    for k, u in enumerate(stops):
        before, after = k > 0, k < len(stops) - 1
        if (before and short[k - 1]) or (after and short[k]):
            items.append(frame.dot(u))
            continue
        items += [frame.arrow(u, 1.0)] if before else []
        items += [frame.arrow(u, -1.0)] if after else []
    return items


def _chain_texts(
    frame: Frame, stops: Sequence[float], texts: Sequence[str], side: float
) -> list[Item]:
    """Texts over their spans; those that do not fit on stems on the side away from the part."""
    style = frame.style
    middles = 0.5 * (np.asarray(stops[1:]) + np.asarray(stops[:-1]))
    widths = np.array([text_width(t, style.text) + 2.0 * style.gap for t in texts])
    fits = widths <= np.diff(stops)
    items: list[Item] = [
        frame.text(t, float(u)) for t, u, ok in zip(texts, middles, fits, strict=True) if ok
    ]
    level = style.past + 2.0 + (style.text + style.gap if side == frame.above else 0.0)
    high = np.flatnonzero(~fits)
    for k, place in zip(high.tolist(), spread(middles[high], widths[high]), strict=True):
        u = float(middles[k])
        stem = [(u, 0.0), (u, side * (level - 1.5)), (float(place), side * level)]
        items += [frame.line(*stem), frame.text(texts[k], float(place), level, side)]
    return items


def running(
    points: Sequence[Point],
    texts: Sequence[str],
    *,
    scale: float,
    offset: float = 8.0,
    direction: Direction = "horizontal",
    style: DimensionStyle = STYLE,
) -> list[Item]:
    """Distances from one datum, each written at the end of its extension line.

    Parameters
    ----------
    points : the datum first, then in order along the direction [mm].
    texts : one for each point, the datum's first (often "0").
    scale : paper millimetres per model millimetre.
    offset : of the line from the outermost point, as for a single dimension [mm on paper].
    direction : "horizontal", "vertical", or "aligned" with the first and last point.
    style : sizes.

    Returns
    -------
    list of Item

    Raises
    ------
    OutputError
        When texts and points do not match or the points are not in order.

    Examples
    --------
    >>> items = running([(0, 0), (90, 0), (400, 0)], ["0", "90", "400"], scale=0.2)
    >>> [i.text for i in items if isinstance(i, Label)]
    ['0', '90', '400']
    """
    frame, feet = measured_frame(points, direction, offset, scale, style)
    stops = np.array([u for u, _ in feet])
    _check(stops.tolist(), len(texts), len(points))
    side = away(feet)
    x, y = frame.at(0.0)
    ring = Disc(float(x), float(y), 0.3 * style.arrow / scale, Layer.DIMENSION, Pen.THIN)
    items: list[Item] = [*extensions(frame, feet), ring]
    items.append(frame.line((0.3 * style.arrow, 0.0), (frame.length, 0.0)))
    items += [frame.arrow(float(u), 1.0) for u in stops[1:]]
    places = spread(stops, np.full(len(stops), 1.6 * style.text))
    for u, place, text in zip(stops, places, texts, strict=True):
        items += _running_text(frame, float(u), float(place), side, text)
    return items


def _running_text(frame: Frame, u: float, place: float, side: float, text: str) -> list[Item]:
    """Text on the run of its extension line, which steps aside if the text was moved."""
    style = frame.style
    far = side * (style.past + 3.0)
    bend = [(u, side * style.past), (place, far)]
    x, y = frame.at(place, far + side * style.gap)
    outward = frame.heading + side * 0.5 * np.pi
    line = upright(outward)
    anchor: Anchor = "left" if np.cos(outward - line) > 0 else "right"
    label = Label(
        float(x), float(y), text, style.text, anchor, "middle", line, Layer.DIMENSION
    )  # fmt: skip
    return [frame.line(*bend), label]


def spread(middles: Sequence[float] | Floats, widths: Sequence[float] | Floats) -> Floats:
    """Nearest places, in the least-squares sense, at which intervals do not overlap.

    Parameters
    ----------
    middles : wanted places, in order, shape (n,).
    widths : of the intervals, shape (n,).

    Returns
    -------
    ndarray
        Places, shape (n,); unchanged where nothing overlaps.

    Notes
    -----
    With the widths before each taken off, the places must not fall: an isotonic
    regression, solved by pooling neighbours that fall.

    Examples
    --------
    >>> spread([0.0, 1.0, 20.0], [4.0, 4.0, 4.0]).tolist()
    [-1.5, 2.5, 20.0]
    """
    wide = np.asarray(widths, float)
    before = np.concatenate([[0.0], np.cumsum(0.5 * (wide[1:] + wide[:-1]))])[: wide.size]
    pools: list[tuple[float, int]] = []
    for value in np.asarray(middles, float) - before:
        mean, count = float(value), 1
        while pools and pools[-1][0] > mean:
            other, n = pools.pop()
            mean, count = (mean * count + other * n) / (count + n), count + n
        pools.append((mean, count))
    means = [mean for mean, count in pools for _ in range(count)]
    return np.asarray(means + before)
