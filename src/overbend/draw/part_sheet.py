"""Drawings of a bent part: target, form, released band; the piece's parts together."""

from __future__ import annotations

import math

import numpy as np

from overbend.curve import ArcPath, Curve, Floats, arc_path
from overbend.draw.chart import Axis, Chart, Line, Shade, chart_drawing
from overbend.draw.dimensions import linear, note
from overbend.draw.drawing import (
    Anchor,
    Area,
    Drawing,
    Item,
    Label,
    Layer,
    Level,
    Mark,
    Pen,
    Stroke,
)
from overbend.plan import BentPlan, named_stations
from overbend.units import Display, format_length

__all__ = ["departure_drawing", "level_turn", "part_drawing", "part_outline", "relaxing_drawing"]


_APART = 0.7  # mm on paper between two lines that can still be told apart


def level_turn(curve: Curve) -> float:
    """Turn about the origin that lays a curve with its chord level and its bulge up [rad]."""
    a, b = curve.point([0.0, curve.length])
    turn = -math.atan2(b[1] - a[1], b[0] - a[0])
    points = curve.point(curve.even_grid(101)) - a
    up = math.sin(turn) * points[:, 0] + math.cos(turn) * points[:, 1]
    return turn if up[np.abs(up).argmax()] >= 0 else turn + math.pi


def part_outline(curve: Curve, depth: float, tolerance: float = 0.002) -> ArcPath:
    """Closed outline of a part seen from the side: both faces and both ends."""
    right = arc_path(curve.offset(-depth / 2), tolerance)
    left = arc_path(curve.offset(depth / 2), tolerance).reversed()
    return right.joined(left, closed=True)


def glue_lines(plan: BentPlan, scale: float) -> list[Item]:
    """Lines between the strips of a part at rest, where they stand apart on paper."""
    plies = plan.layup.plies
    if min(p.thickness for p in plies) * scale < _APART:
        return []
    z = np.cumsum([p.thickness for p in plies])[:-1] - plan.depth / 2
    curve = plan.target.curve
    return [Stroke(arc_path(curve.offset(float(d))), Layer.GLUE, Pen.THIN) for d in z]


def part_drawing(plan: BentPlan, scale: float, display: Display) -> Drawing:
    """Draw a part at rest with its glue lines, marks and sizes, chord level.

    Parameters
    ----------
    plan : the part.
    scale : the drawing will be written at; dimensions depend on it.
    display : how lengths are shown.
    """
    curve = plan.target.curve
    items: list[Item] = [
        Stroke(part_outline(curve, plan.depth), Layer.TARGET, name=f"{plan.name} at rest")
    ]
    items += glue_lines(plan, scale)
    items += _station_marks(plan, curve, scale)
    turn = level_turn(plan.target.curve)
    flat = Drawing(tuple(items), f"{plan.name}, at rest").moved(turn=turn)
    return flat.with_items(_sizes(plan, flat, turn, scale, display))


def _station_marks(plan: BentPlan, curve: Curve, scale: float) -> list[Item]:
    """Ticks across the part at named stations, with their names outside the bend."""
    items: list[Item] = []
    for name, s in named_stations(curve).items():
        point, normal = curve.point(s), curve.normal(s)
        reach = plan.depth / 2 + 2.5 / scale
        ends = np.stack([point - reach * normal, point + reach * normal])
        items.append(Stroke(ArcPath.polyline(ends), Layer.MARK, Pen.CENTRE, name))
    return items


def _sizes(
    plan: BentPlan, drawing: Drawing, turn: float, scale: float, display: Display
) -> list[Item]:
    """Chord and rise of the middle line, the tightest radius, the reference end."""
    curve = plan.target.curve.moved(turn=turn)
    shape = plan.shapes["target"]
    a, b = curve.point([0.0, curve.length])
    left, right = (a, b) if a[0] <= b[0] else (b, a)
    y0 = drawing.bounds[1]
    below = (min(left[1], right[1]) - y0) * scale + 9.0
    items = linear(
        (float(left[0]), float(left[1])), (float(right[0]), float(right[1])),
        format_length(shape.chord, display), scale=scale, offset=-below,
    )  # fmt: skip
    items += _rise(drawing, curve, shape.rise, scale, display)
    items += _tightest(plan, curve, scale, display)
    items += _named(plan, curve, scale, display)
    items += _reference_end(curve, scale)
    return items


def _reference_end(curve: Curve, scale: float) -> list[Item]:
    """A solid dot and a name at the end that everything is measured from."""
    point = curve.point(0.0)
    right = point[0] > curve.point(curve.length)[0]
    place = point + np.array([5.0 if right else -5.0, 0.0]) / scale
    anchor: Anchor = "left" if right else "right"
    return [
        Mark(float(point[0]), float(point[1]), "dot", 1.6),
        Label(float(place[0]), float(place[1]), "reference\nend", 2.2, anchor, "base"),
    ]


def _rise(
    drawing: Drawing, curve: Curve, rise: float, scale: float, display: Display
) -> list[Item]:
    """Rise of the middle line off its chord, to the left of everything."""
    if rise * scale < 1.0:
        return []
    ends = curve.point([0.0, curve.length])
    left = ends[int(ends[:, 0].argmin())]
    points = curve.point(curve.even_grid(401))
    top = points[int(points[:, 1].argmax())]
    beside = (left[0] - drawing.bounds[0]) * scale + 9.0
    return linear(
        (float(left[0]), float(left[1])), (float(top[0]), float(top[1])),
        format_length(rise, display), scale=scale, offset=beside, direction="vertical",
    )  # fmt: skip


def _tightest(plan: BentPlan, curve: Curve, scale: float, display: Display) -> list[Item]:
    at, kappa = curve.tightest
    if kappa == 0.0:
        return []
    middle = _middle_of_tightest(curve, at)
    point = curve.point(middle) - 0.5 * plan.depth * curve.normal(middle)
    text = f"R {format_length(1.0 / abs(kappa), display)}"
    right = 1.0 if point[0] >= 0.5 * (curve.point(0.0)[0] + curve.point(curve.length)[0]) else -1.0
    return note((float(point[0]), float(point[1])), text, scale=scale, dx=10.0 * right, dy=9.0)


def _middle_of_tightest(curve: Curve, at: float) -> float:
    """Middle of the arc that the tightest place is on, so that the note points at it."""
    for s, piece in zip(curve.knots, curve.pieces, strict=False):
        if piece.kappa0 == piece.kappa1 and s - 1e-6 <= at <= s + piece.length + 1e-6:
            return float(s) + 0.62 * piece.length
    return at


def _named(plan: BentPlan, curve: Curve, scale: float, display: Display) -> list[Item]:
    """Names of stations outside the bend, with their distance from the reference end."""
    items: list[Item] = []
    for name, s in named_stations(curve).items():
        point, out = curve.point(s), -curve.normal(s)
        x, y = point + (plan.depth / 2 + 4.0 / scale) * out
        text = f"{name} {format_length(s, display, unit=False)}"
        anchor: Anchor = "centre" if abs(out[0]) < 0.3 else "left" if out[0] > 0 else "right"
        level: Level = "base" if out[1] > 0.3 else "top" if out[1] < -0.3 else "middle"
        items.append(Label(float(x), float(y), text, 2.2, anchor, level, clear=True))
    return items


def relaxing_drawing(plan: BentPlan, scale: float, display: Display) -> Drawing:
    """Draw how the part relaxes: face on the form, target, band of released faces.

    All are the face that lies on the form, laid together at the reference end, true to
    scale.

    Parameters
    ----------
    plan : the part.
    scale : the drawing will be written at.
    display : how lengths are shown.
    """
    side = 1.0 if plan.part.form.side == "concave" else -1.0
    d = side * plan.depth / 2
    form, target = plan.glued, plan.target.curve
    band = _band(plan, d)
    start = target.point(0.0)
    items: tuple[Item, ...] = (
        Area((ArcPath.polyline(band, closed=True),), Layer.BAND, "hatch", spacing=1.0),
        Stroke(arc_path(target.offset(d)), Layer.TARGET, Pen.OUTLINE, "target"),
        Stroke(arc_path(form.offset(d)), Layer.FORM, Pen.LONG_DASH, "on the form"),
        Mark(float(start[0]), float(start[1]), "dot", 1.6),
    )
    turn = level_turn(plan.target.curve)
    flat = Drawing(items, f"{plan.name}: form, target and band").moved(turn=turn)
    return flat.with_items(_tip_notes(plan, turn, d, scale, display))


def _band(plan: BentPlan, d: float) -> Floats:
    """Outline of the band of the face at distance d from mid-depth, shape (n, 2)."""
    band, curve = plan.band, plan.released
    s = np.clip(band.s, 0.0, curve.length)
    point, normal = curve.point(s), curve.normal(s)
    low = point + (band.low + d)[:, None] * normal
    high = point + (band.high + d)[:, None] * normal
    return np.concatenate([low, high[::-1]])


def _tip_notes(plan: BentPlan, turn: float, d: float, scale: float, display: Display) -> list[Item]:
    form, target = plan.glued.moved(turn=turn), plan.target.curve.moved(turn=turn)
    tips = {
        "form": form.point(form.length) + d * form.normal(form.length),
        "at rest": target.point(target.length) + d * target.normal(target.length),
    }
    inwards = np.sign(target.point(0.0)[0] - target.point(target.length)[0]) or 1.0
    gap = float(np.hypot(*(tips["form"] - tips["at rest"])))
    text = f"{format_length(gap, display)} from form to rest"
    tip = tips["at rest"]
    return note((float(tip[0]), float(tip[1])), text, scale=scale, dx=float(14 * inwards), dy=-12.0)


def departure_drawing(plan: BentPlan, display: Display, width: float = 130.0) -> Drawing:
    """Chart of how far the part lies from its drawing, on the form and after release.

    Distances are square to the part at rest, positive towards the inside of the bend, all
    laid on the drawing at the reference end.

    Parameters
    ----------
    plan : the part.
    display : how lengths are shown.
    width : of the chart's field [mm on paper].
    """
    target, share = plan.target.curve, np.linspace(0.0, 1.0, len(plan.band.s))
    at = share * target.length
    off, on = (_departure(target, line, share) for line in (plan.released, plan.glued))
    low, high = off + plan.band.low, off + plan.band.high
    y0, y1 = min(0.0, low.min(), on.min()), max(0.0, high.max(), on.max())
    room = 0.08 * max(y1 - y0, 0.2)
    factor = 25.4 if display.system == "in" else 1.0
    unit = display.system
    chart = Chart(
        Axis(0.0, target.length, f"along the part from the reference end, {unit}", factor),
        Axis(
            float(y0 - room), float(y1 + room), f"from the drawing, {unit}; up is tighter", factor
        ),
        (Line(at, on, Pen.LONG_DASH, "on the form"), Line(at, 0.0 * at, Pen.OUTLINE)),
        (Shade(at, low, high, "released"),),
        f"{plan.name}: distance from the drawing along the part",
        width,
        marks={s: name for name, s in named_stations(target).items()},
    )
    return chart_drawing(chart)


def _departure(target: Curve, line: Curve, share: Floats) -> Floats:
    """Distance of a line from the target, same material points, to the left [mm]."""
    at = share * target.length
    gap = line.point(share * line.length) - target.point(at)
    return np.asarray((gap * target.normal(at)).sum(axis=1))
