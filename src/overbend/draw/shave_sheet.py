"""What to shave off a form: its face as it is, the face asked for, and the sliver between."""

from __future__ import annotations

import math
from itertools import groupby

import numpy as np

from overbend.curve import ArcPath, Floats
from overbend.draw.chart import Axis, Chart, Line, Shade, chart_drawing
from overbend.draw.drawing import Area, Drawing, Item, Label, Layer, Level, Pen, Stroke
from overbend.draw.lettering import text_width
from overbend.draw.part_sheet import level_turn
from overbend.form.shave import Shave
from overbend.units import Display

__all__ = ["FACTORS", "depth_text", "shave_chart", "shave_drawing", "sliver_factor"]

FACTORS = (1, 2, 5, 10, 20, 50, 100, 200)
"""How many times a sliver may be drawn too thick."""

_SEEN = 4.0  # mm on paper: the sliver is drawn at least this thick where it is thickest
_TEXT = 2.2  # mm, height of a capital
_APART = 9.0  # mm on paper between depths written
_EVEN = ("", "reference end", "trim", "end of face")  # places that are not stations
_THIN = 1e-3  # mm: less is no difference


def sliver_factor(found: Shave, scale: float) -> int:
    """How many times too thick the sliver is drawn so that it can be seen.

    Parameters
    ----------
    found : the two faces.
    scale : paper millimetres per model millimetre.

    Examples
    --------
    >>> from overbend.curve import arc, chain
    >>> from overbend.form.face import Face
    >>> from overbend.form.shave import shave
    >>> old, new = (Face(chain(arc(r, 300.0 / r)), 8.0, 60.0, 1.0) for r in (400.0, 380.0))
    >>> sliver_factor(shave(old, new), 0.25)
    5
    """
    widest = float(np.abs(found.depth).max()) * scale
    if widest < _THIN:
        return 1
    return next((f for f in FACTORS if f * widest >= _SEEN), FACTORS[-1])


def shave_drawing(found: Shave, scale: float, display: Display, title: str = "") -> Drawing:
    """Draw both faces and the sliver between, thicker than it is when it is too thin to see.

    What comes off is hatched one way, what is missing two ways. The numbers are depths.

    Parameters
    ----------
    found : the two faces.
    scale : the drawing will be written at.
    display : how lengths are shown.
    title : for people who cannot see it.
    """
    factor = sliver_factor(found, scale)
    edge = found.old.point(found.s)
    drawn = edge + (factor * found.depth)[:, None] * found.old.inward(found.s)
    turn = level_turn(found.old.glued)
    items: list[Item] = [
        *_slivers(edge, drawn, found.depth, turn),
        Stroke(found.old.path(), Layer.FORM, Pen.THIN, "face as it is"),
        Stroke(ArcPath.polyline(drawn), Layer.TARGET, Pen.OUTLINE, "face asked for"),
    ]
    flat = Drawing(tuple(items), title).moved(turn=turn)
    c, s = math.cos(turn), math.sin(turn)
    spin = np.array([[c, s], [-s, c]])
    noted = flat.with_items(_depths(found, spin, factor, scale, display))
    noted = noted.with_items([*_trims(found, spin, scale), _body(found, spin, factor, scale)])
    return noted if factor == 1 else noted.with_items([_said(noted, factor, scale)])


def _slivers(edge: Floats, drawn: Floats, depth: Floats, turn: float) -> list[Item]:
    """One area for each stretch on which wood comes off, or is missing."""
    sign = np.where(np.abs(depth) < _THIN, 0, np.sign(depth)).astype(int)
    items: list[Item] = []
    for way, group in groupby(range(len(sign)), key=lambda i: int(sign[i])):
        run = list(group)
        if way == 0:
            continue
        first, last = max(run[0] - 1, 0), min(run[-1] + 1, len(sign) - 1)
        ring = np.concatenate([edge[first : last + 1], drawn[first : last + 1][::-1]])
        items.append(
            Area(
                (ArcPath.polyline(ring, closed=True),),
                Layer.BAND,
                "hatch" if way > 0 else "cross",
                angle=0.25 * math.pi - turn,
                spacing=1.2,
                name="take off" if way > 0 else "missing",
            )
        )
    return items


def _depths(found: Shave, spin: Floats, factor: int, scale: float, display: Display) -> list[Item]:
    """Depths beside the face, where they do not crowd."""
    items: list[Item] = []
    last: Floats | None = None
    for place in found.places:
        at, out = found.old.point(place.s) @ spin, -found.old.inward(place.s) @ spin
        near = last is not None and math.dist(at, last) * scale < _APART
        if place.name not in _EVEN or near:
            continue
        last = at
        clear = max(-factor * place.depth, 0.0)
        items += _depth(at, out, clear, scale, depth_text(place.depth, display))
    return items


def _body(found: Shave, spin: Floats, factor: int, scale: float) -> Item:
    """Say on which side the form is."""
    s = 0.5 * found.old.glued.length
    deep = float(np.interp(s, found.s, found.depth))
    behind = max(factor * deep, 0.0) + 7.0 / scale
    x, y = (found.old.point(s) + behind * found.old.inward(s)) @ spin
    return Label(float(x), float(y), "form", _TEXT, "centre", "middle")


def _said(drawing: Drawing, factor: int, scale: float) -> Item:
    """How many times too thick the sliver is, under everything else."""
    x0, y0, x1, _ = drawing.extent(scale)
    text = f"sliver drawn {factor} times too thick"
    return Label(0.5 * (x0 + x1), y0 - 2.5 / scale, text, _TEXT, "centre", "top")


def _depth(at: Floats, out: Floats, clear: float, scale: float, text: str) -> list[Item]:
    """A tick out of the face, past a sliver of some thickness, and the depth at its end."""
    x, y = at + (clear + 3.2 / scale) * out
    ends = np.stack([at, at + (clear + 2.0 / scale) * out])
    half = 0.5 * text_width(text, _TEXT) / scale
    level: Level = "base" if out[1] > 0.5 else "top" if out[1] < -0.5 else "middle"
    return [
        Stroke(ArcPath.polyline(ends), Layer.MARK, Pen.THIN),
        Label(float(x + half * out[0]), float(y), text, _TEXT, "centre", level),
    ]


def depth_text(mm: float, display: Display) -> str:
    """A depth without its unit, to a tenth of a millimetre or a hundredth of an inch.

    Examples
    --------
    >>> depth_text(2.04, Display()), depth_text(-0.01, Display()), depth_text(2.04, Display("in"))
    ('2.0', '0.0', '0.08')
    """
    text = f"{mm / 25.4:.2f}" if display.system == "in" else f"{mm:.1f}"
    return text.removeprefix("-") if float(text) == 0.0 else text


def _trims(found: Shave, spin: Floats, scale: float) -> list[Item]:
    """Lines across the face at both trim marks, with their names behind it."""
    ends = {0.0: "trim", found.old.glued.length: "trim"}
    ends[found.old.glued.length if found.reference == "end" else 0.0] = "reference end"
    items: list[Item] = []
    for s, name in ends.items():
        at, into = found.old.point(s) @ spin, found.old.inward(s) @ spin
        line = np.stack([at, at + (11.0 / scale) * into])
        x, y = at + (13.0 / scale) * into
        level: Level = "top" if into[1] < -0.5 else "base" if into[1] > 0.5 else "middle"
        items.append(Stroke(ArcPath.polyline(line), Layer.MARK, Pen.CENTRE, name))
        items.append(Label(float(x), float(y), name, _TEXT, "centre", level))
    return items


def shave_chart(found: Shave, display: Display, width: float = 122.0, title: str = "") -> Drawing:
    """Chart the depth to take off along the face.

    Parameters
    ----------
    found : the two faces.
    display : how lengths are shown.
    width : of the chart's field [mm on paper].
    title : for people who cannot see it.
    """
    order = np.argsort(found.along)
    along, depth = found.along[order], found.depth[order]
    low, high = min(0.0, float(depth.min())), max(0.0, float(depth.max()))
    room = 0.1 * max(high - low, 0.2)
    factor = 25.4 if display.system == "in" else 1.0
    zero = np.zeros_like(depth)
    trim = float(found.old.along(found.old.glued.length))
    chart = Chart(
        Axis(
            float(along[0]),
            float(along[-1]),
            f"along the face from the reference end's trim mark, {display.system}",
            factor,
        ),
        Axis(low - room, high + room, f"take off, {display.system}; below 0: missing", factor),
        (Line(along, zero, Pen.THIN), Line(along, depth, Pen.OUTLINE)),
        (Shade(along, np.minimum(depth, zero), np.maximum(depth, zero)),),
        title,
        width,
        marks={0.0: "reference end", trim: "trim"},
    )
    return chart_drawing(chart)
