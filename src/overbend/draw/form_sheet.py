"""Drawings of a form: the sheet with sizes, and the true-size templates."""

from __future__ import annotations

import math
from itertools import chain, groupby

import numpy as np
from numpy.typing import ArrayLike

from overbend.curve import ArcPath, Floats, arc_path
from overbend.draw.dimensions import linear
from overbend.draw.drawing import Disc, Drawing, Item, Layer, Mark, Pen, Stroke
from overbend.draw.form_labels import (
    clamp_number,
    hole_size,
    mark_name,
    pin_name,
    stop_name,
)
from overbend.draw.part_sheet import level_turn, part_outline
from overbend.draw.placing import Wish, beside, placed
from overbend.draw.title import titled, titles
from overbend.draw.words import MARK_WORDS
from overbend.form import Clamp, FormPart
from overbend.plan import BentPlan, named_stations
from overbend.units import Display, format_length

__all__ = ["form_drawing", "form_template", "mark_words", "part_template"]

_BEYOND = 1.5  # mm on paper that a clamp's line runs on beyond its far jaw


def mark_words(key: str) -> str:
    """What a witness mark is called.

    Examples
    --------
    >>> mark_words("trim.start"), mark_words("station.rear post")
    ('trim, reference end', 'rear post')
    """
    if key.startswith("station."):
        return key.removeprefix("station.")
    return MARK_WORDS[key]


def form_drawing(plan: BentPlan, scale: float, display: Display) -> Drawing:
    """Draw the whole form with the wood on it, its holes, clamps, stop and overall sizes.

    Parameters
    ----------
    plan : the part.
    scale : the drawing will be written at; dimensions depend on it.
    display : how lengths are shown.
    """
    form, turn = plan.form, level_turn(plan.form.glued)
    wood = form.glued.extended(form.spec.trim, form.spec.trim)
    items: list[Item] = [Stroke(part_outline(wood, plan.depth), Layer.PART, Pen.THIN, "wood")]
    for part in form.parts:
        items += _body(part)
        items += [_mark_line(m.line) for m in part.marks]
    items.append(Stroke(form.stop.outline, Layer.STOP, Pen.OUTLINE, "reference stop"))
    lines = {c.number: _clamp_line(c, scale) for c in form.clamps}
    items += [_centre(line, "clamp") for line in lines.values()]
    flat = Drawing(tuple(items), f"Form for {plan.name}").moved(turn=turn)
    wishes = [_at_end(str(number), _turned(line, turn), scale) for number, line in lines.items()]
    wishes.append(stop_name(_turned(form.stop.outline.vertices[:, :2], turn), scale))
    named = placed(flat, wishes, scale, _kept_clear(flat, scale))
    return named.with_items(_overall(named, scale, display))


def _turned(points: ArrayLike, turn: float) -> Floats:
    """Points turned about the origin, shape (..., 2)."""
    c, s = math.cos(turn), math.sin(turn)
    return np.asarray(np.asarray(points, float) @ np.array([[c, s], [-s, c]]))


def _body(part: FormPart) -> list[Item]:
    """Outline, clamp holes and pin holes of a body, each on its layer."""
    holes = [Disc(*h.centre, h.diameter / 2, Layer.HOLE, centre_lines=True) for h in part.holes]
    pins = [Disc(*p.centre, p.diameter / 2, Layer.PIN, Pen.THIN) for p in part.pins]
    return [Stroke(part.outline, Layer.BODY, Pen.OUTLINE, "form"), *holes, *pins]


def _mark_line(line: tuple[tuple[float, float], tuple[float, float]]) -> Item:
    return Stroke(ArcPath.polyline(np.array(line)), Layer.MARK, Pen.THIN)


def _centre(line: Floats, name: str) -> Item:
    return Stroke(ArcPath.polyline(line), Layer.CENTRE, Pen.CENTRE, name)


def _clamp_line(clamp: Clamp, scale: float) -> Floats:
    """Line of a clamp from its fixed jaw to a little beyond the other one, (2, 2)."""
    seat, point, push = map(np.asarray, (clamp.seat, clamp.point, clamp.direction))
    outside = clamp.opening - float((seat - point) @ push)
    return np.stack([seat, point - (outside + _BEYOND / scale) * push])


def _at_end(text: str, line: Floats, scale: float) -> Wish:
    """A number at the outer end of a clamp's line."""
    way = (line[1] - line[0]) / math.hypot(*(line[1] - line[0]))
    return beside(line[1], text, way, scale, size=2.5, gap=1.2)


def _kept_clear(drawing: Drawing, scale: float) -> list[Item]:
    """Where the extension lines of the overall sizes will run."""
    x0, y0, x1, y1 = drawing.only(Layer.BODY).bounds
    away = 60.0 / scale
    runs = [(x1, y0, away, 0.0), (x1, y1, away, 0.0), (x0, y0, 0.0, -away), (x1, y0, 0.0, -away)]
    return [
        Stroke(ArcPath.polyline(np.array([[x, y], [x + dx, y + dy]])), Layer.DIMENSION, Pen.THIN)
        for x, y, dx, dy in runs
    ]


def _overall(drawing: Drawing, scale: float, display: Display) -> list[Item]:
    """Overall length and height of the bodies, outside everything drawn."""
    x0, y0, x1, y1 = drawing.only(Layer.BODY).bounds
    _, low, right, _ = drawing.extent(scale)
    below, beyond = (y0 - low) * scale + 8.0, (right - x1) * scale + 8.0
    wide = linear((x0, y0), (x1, y0), format_length(x1 - x0, display), scale=scale, offset=-below)
    high = linear(
        (x1, y0), (x1, y1), format_length(y1 - y0, display), scale=scale, offset=-beyond,
        direction="vertical",
    )  # fmt: skip
    return [*wide, *high]


# -- templates at full size ---------------------------------------------------------------


def form_template(plan: BentPlan, index: int, trial: bool, stamp: str = "") -> Drawing:
    """Draw one body of the form at full size, everything in it named.

    Outline, clamp holes with their clamps' numbers, pin holes, witness marks, the place of
    the stop: each on its own layer, no text on a line that is sawn.

    Parameters
    ----------
    plan : the part.
    index : 0 for the first body, 1 for the second.
    trial : whether the set is unproven, which is written across the sheet.
    stamp : of which piece, file and day it is, such as "Stool, stool.toml 8a5a, 2026-03-01".
    """
    form, part, turn = plan.form, plan.form.parts[index], level_turn(plan.glued)
    clamps = dict(_clamp_lines(plan, index))
    marks = [list(same) for _, same in groupby(part.marks, key=lambda mark: round(mark.s, 1))]
    items = [*_body(part), *(_mark_line(same[0].line) for same in marks)]
    items += [_centre(line, f"clamp {number}") for number, line in clamps.items()]
    items += [
        Mark(*pin.centre, "cross", pin.diameter + 4.0, layer=Layer.CENTRE) for pin in part.pins
    ]
    wishes: list[Wish] = [
        mark_name(_turned(same[0].line, turn), [mark_words(m.key) for m in same]) for same in marks
    ]
    wishes += [clamp_number(_turned(line, turn), number) for number, line in clamps.items()]
    wishes += [hole_size(_turned(h.centre, turn), h.diameter, plan.display) for h in part.holes]
    wishes += [pin_name(_turned(p.centre, turn), p, plan.display) for p in part.pins]
    if index == 0:
        items.append(Stroke(form.stop.outline, Layer.STOP, Pen.HIDDEN, "reference stop"))
        wishes.append(stop_name(_turned(form.stop.outline.vertices[:, :2], turn), 1.0))
    flat = Drawing(tuple(items), f"{plan.name}: form, body {index + 1}").moved(turn=turn)
    what = f"form, half {index + 1}" if len(form.parts) > 1 else "form"
    return titled(placed(flat, wishes, 1.0), titles(plan.name, what, trial, stamp))


def _clamp_lines(plan: BentPlan, index: int) -> list[tuple[int, Floats]]:
    """Number of each clamp and its line through a body: from its seat to the face, (2, 2)."""
    form, part = plan.form, plan.form.parts[index]
    if index == 0:
        return [(c.number, np.array([c.seat, c.point])) for c in form.clamps]
    if part.holes:
        centres = {n: np.asarray(h.centre) for h in part.holes for n in h.numbers}
        ends = [(c.number, centres[c.number], np.asarray(c.point)) for c in form.clamps]
    else:
        points, push = (
            np.array([getattr(c, k) for c in form.clamps]) for k in ("point", "direction")
        )
        far = points - part.body.beyond(points, -push)[:, None] * push
        ends = [(c.number, far[k], points[k]) for k, c in enumerate(form.clamps)]
    return [(number, _within(part, a, b)) for number, a, b in ends]


def _within(part: FormPart, a: Floats, b: Floats) -> Floats:
    """Longest stretch of a straight line that lies in a body, (2, 2)."""
    import shapely

    inside = shapely.get_parts(part.body.shape.intersection(shapely.LineString([a, b])))
    longest = max(inside, key=lambda piece: piece.length, default=shapely.LineString([a, b]))
    ends = shapely.get_coordinates(longest)
    return np.asarray(ends[[0, -1]])


def part_template(plan: BentPlan, stamp: str = "") -> Drawing:
    """Draw the part at rest at full size, to lay a released part on.

    Parameters
    ----------
    plan : the part.
    stamp : of which piece, file and day it is.
    """
    curve = plan.target.curve.moved(turn=level_turn(plan.glued))
    start = curve.point(0.0)
    items: list[Item] = [
        Stroke(part_outline(curve, plan.depth), Layer.TARGET, name="at rest"),
        Stroke(arc_path(curve), Layer.CENTRE, Pen.CENTRE, "middle line"),
        Mark(float(start[0]), float(start[1]), "dot", 2.0),
    ]
    wishes: list[Wish] = [
        beside(start, "reference end", -curve.tangent(0.0), 1.0, size=3.0, gap=4.0)
    ]
    for name, s in {**named_stations(curve), "middle": curve.length / 2}.items():
        point, reach = curve.point(s), (plan.depth / 2 + 4.0) * curve.normal(s)
        ends = np.stack([point - reach, point + reach])
        items.append(Stroke(ArcPath.polyline(ends), Layer.MARK, Pen.THIN, name))
        out = -np.asarray(curve.normal(s))
        both = (
            beside(ends[0], name, out, 1.0, size=3.0),
            beside(ends[1], name, -out, 1.0, size=3.0),
        )
        wishes.append(chain(*both))
    flat = Drawing(tuple(items), f"{plan.name}: the part at rest")
    return titled(placed(flat, wishes, 1.0), titles(plan.name, "at rest", False, stamp))
