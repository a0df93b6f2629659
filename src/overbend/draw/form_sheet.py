"""Drawings of a form: the sheet with sizes, and the true-size template."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import groupby
from typing import TYPE_CHECKING

import numpy as np

from overbend.curve import ArcPath, Floats, arc_path
from overbend.draw.dimensions import linear
from overbend.draw.drawing import (
    Anchor,
    Disc,
    Drawing,
    Item,
    Label,
    Layer,
    Level,
    Mark,
    Pen,
    Stroke,
)
from overbend.draw.part_sheet import level_turn, part_outline
from overbend.draw.words import MARK_WORDS
from overbend.form import FormPart
from overbend.plan import BentPlan
from overbend.units import Display, format_length

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

__all__ = ["form_drawing", "form_template", "mark_words", "part_template"]


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
    """Draw the whole form with the wood on it, its holes, stop and overall sizes.

    Parameters
    ----------
    plan : the part.
    scale : the drawing will be written at; dimensions depend on it.
    display : how lengths are shown.
    """
    form = plan.form
    wood = form.glued.extended(form.spec.trim, form.spec.trim)
    items: list[Item] = [Stroke(part_outline(wood, plan.depth), Layer.PART, Pen.THIN, "wood")]
    for part in form.parts:
        items += _body(part)
        items += [_mark_line(m.line) for m in part.marks]
    items += [Stroke(form.stop.outline, Layer.BODY, Pen.OUTLINE, "reference stop")]
    items += [item for clamp in form.clamps for item in _clamp_line(clamp.seat, clamp.point, scale)]
    turn = level_turn(form.glued)
    flat = Drawing(tuple(items), f"Form for {plan.name}").moved(turn=turn)
    return flat.with_items(_overall(flat, scale, display))


def _body(part: FormPart) -> list[Item]:
    holes = [
        Disc(*hole.centre, hole.diameter / 2, Layer.HOLE, centre_lines=True) for hole in part.holes
    ]
    pins = [Disc(*pin.centre, pin.diameter / 2, Layer.HOLE, Pen.THIN) for pin in part.pins]
    return [Stroke(part.outline, Layer.BODY, Pen.OUTLINE, "form"), *holes, *pins]


def _mark_line(line: tuple[tuple[float, float], tuple[float, float]]) -> Item:
    return Stroke(ArcPath.polyline(np.array(line)), Layer.MARK, Pen.THIN)


def _clamp_line(seat: tuple[float, float], point: tuple[float, float], scale: float) -> list[Item]:
    """Line of a clamp from its seat through the face to 5 mm on paper beyond."""
    a, b = np.asarray(seat), np.asarray(point)
    span = math.hypot(*(b - a))
    if span < 1e-9:
        return []
    beyond = b + (b - a) * (5.0 / scale / span)
    return [Stroke(ArcPath.polyline(np.stack([a, beyond])), Layer.CENTRE, Pen.CENTRE, "clamp")]


def _overall(flat: Drawing, scale: float, display: Display) -> list[Item]:
    """Overall length and height of the bodies."""
    x0, y0, x1, y1 = flat.only(Layer.BODY).bounds
    _, low, right, _ = flat.bounds
    below, beside = (y0 - low) * scale + 10.0, (right - x1) * scale + 10.0
    wide = linear((x0, y0), (x1, y0), format_length(x1 - x0, display), scale=scale, offset=-below)
    high = linear(
        (x1, y0), (x1, y1), format_length(y1 - y0, display), scale=scale, offset=-beside,
        direction="vertical",
    )  # fmt: skip
    return [*wide, *high]


# -- templates at full size ---------------------------------------------------------------


def form_template(plan: BentPlan, index: int, trial: bool) -> Drawing:
    """Draw one body of the form at full size: outline, holes, witness marks with names.

    Parameters
    ----------
    plan : the part.
    index : 0 for the first body, 1 for the second.
    trial : whether the set is unproven, which is written across the sheet.
    """
    form = plan.form
    part = form.parts[index]
    items = _body(part)
    for _, same in groupby(part.marks, key=lambda mark: round(mark.s, 1)):
        marks = list(same)
        items.append(_mark_line(marks[0].line))
        items.append(_mark_names(marks[0].line, [mark_words(m.key) for m in marks]))
    items += _pin_centres(part)
    if index == 0:
        items.append(Stroke(form.stop.outline, Layer.BODY, Pen.HIDDEN, "reference stop"))
    words = [plan.name, f"form, half {index + 1}" if len(form.parts) > 1 else "form"]
    words += ["TRIAL FORM"] if trial else []
    items.append(Label(*_roomiest(part), "\n".join(words), 5.0, "centre", "middle"))
    return _level(plan, items, f"{plan.name}: form, body {index + 1}")


def _roomiest(part: FormPart) -> tuple[float, float]:
    """Place in the body farthest from its edges and holes."""
    from shapely import Point
    from shapely.ops import polylabel

    clear: BaseGeometry = part.body.shape
    holes = [(h.centre, h.diameter) for h in part.holes]
    for centre, diameter in (*holes, *((p.centre, p.diameter) for p in part.pins)):
        clear = clear.difference(Point(centre).buffer(diameter / 2))
    pieces = getattr(clear, "geoms", [clear])
    spot = polylabel(max(pieces, key=lambda piece: piece.area), 2.0)
    return float(spot.x), float(spot.y)


def _mark_names(line: tuple[tuple[float, float], tuple[float, float]], names: list[str]) -> Item:
    """Names of a mark, one under the other, behind the face and beside the mark's line."""
    (x0, y0), (x1, y1) = line
    inward = np.array([x1 - x0, y1 - y0]) / math.hypot(x1 - x0, y1 - y0)
    along = np.array([inward[1], -inward[0]])
    along = along if along[0] > 0 or (along[0] == 0 and along[1] > 0) else -along
    below = along[0] * inward[1] - along[1] * inward[0] < 0  # inward is under the text
    x, y = np.array([x0, y0]) + 7.5 * inward + 1.5 * along
    level: Level = "top" if below else "base"
    angle = math.atan2(along[1], along[0])
    return Label(float(x), float(y), "\n".join(names), 2.3, "left", level, angle)


def _pin_centres(part: FormPart) -> list[Item]:
    marks: list[Item] = [Mark(*hole.centre, "cross", 8.0, layer=Layer.HOLE) for hole in part.holes]
    return marks + [Mark(*pin.centre, "cross", 5.0, layer=Layer.HOLE) for pin in part.pins]


def part_template(plan: BentPlan) -> Drawing:
    """Draw the part at rest at full size, to lay a released part on."""
    curve = plan.target.curve
    items: list[Item] = [Stroke(part_outline(curve, plan.depth), Layer.TARGET, name="at rest")]
    items.append(Stroke(arc_path(curve), Layer.CENTRE, Pen.CENTRE, "middle line"))
    for name, s in {**curve.stations, "middle": curve.length / 2}.items():
        items += _across(curve.point(s), curve.normal(s), plan.depth, name)
    start, normal = curve.point(0.0), curve.normal(0.0)
    place = start + (plan.depth / 2 + 6.0) * normal + 12.0 * curve.tangent(0.0)
    items.append(Mark(float(start[0]), float(start[1]), "dot", 2.0))
    items.append(Label(float(place[0]), float(place[1]), f"{plan.name}: reference end", 3.0))
    return _level(plan, items, f"{plan.name}: the part at rest")


def _across(point: Floats, normal: Floats, depth: float, name: str) -> list[Item]:
    ends = np.stack([point - (depth / 2 + 4.0) * normal, point + (depth / 2 + 4.0) * normal])
    place = point + (depth / 2 + 9.0) * normal
    label = Label(float(place[0]), float(place[1]), name, 3.0, "centre", "middle")
    return [Stroke(ArcPath.polyline(ends), Layer.MARK, Pen.THIN, name), label]


def _level(plan: BentPlan, items: list[Item], title: str) -> Drawing:
    """Chord level; labels that came out upside down turned over."""
    turn = level_turn(plan.glued)
    flat = Drawing(tuple(items), title).moved(turn=turn)
    return Drawing(tuple(_upright(item, turn) for item in flat.items), title)


def _upright(item: Item, turn: float) -> Item:
    """Texts that had no direction of their own stay level."""
    if not isinstance(item, Label):
        return item
    if abs(item.angle - turn) < 1e-12:
        return replace(item, angle=0.0)
    if math.cos(item.angle) < -1e-9:
        swapped: dict[Anchor, Anchor] = {"left": "right", "right": "left", "centre": "centre"}
        other = swapped[item.anchor]
        return replace(item, angle=item.angle + math.pi, anchor=other)
    return item
