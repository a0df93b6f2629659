"""Drawings of a bent part: target, form, released band; the piece's parts together."""

from __future__ import annotations

import math
from itertools import chain

import numpy as np

from overbend.curve import ArcPath, Curve, Floats, arc_path
from overbend.draw.chart import Axis, Chart, Line, Shade, chart_drawing
from overbend.draw.dimensions import linear
from overbend.draw.drawing import Area, Drawing, Item, Layer, Mark, Pen, Stroke
from overbend.draw.placing import Wish, beside, notes, placed
from overbend.plan import BentPlan, named_stations
from overbend.units import Display, format_length

__all__ = ["departure_drawing", "level_turn", "part_drawing", "part_outline", "relaxing_drawing"]


_APART = 0.7  # mm on paper between two lines that can still be told apart
_OFFSETS = (
    9.0,
    13.0,
    17.0,
    22.0,
    28.0,
    35.0,
    43.0,
    52.0,
)  # mm on paper from the part to a dimension


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
    turn = level_turn(plan.target.curve)
    curve = plan.target.curve.moved(turn=turn)
    outline = Stroke(part_outline(curve, plan.depth), Layer.TARGET, name=f"{plan.name} at rest")
    start = curve.point(0.0)
    items: list[Item] = [outline, *(i.moved(turn=turn) for i in glue_lines(plan, scale))]
    items += _station_marks(plan, curve, scale)
    items.append(Mark(float(start[0]), float(start[1]), "dot", 1.6))
    drawing = Drawing(tuple(items), f"{plan.name}, at rest")
    wishes = [*_names(plan, curve, scale, display), _reference_end(curve, scale)]
    wishes.append(_tightest(plan, curve, scale, display))
    named = placed(drawing, wishes, scale, _kept_clear(curve, scale))
    return placed(named, [_rise(plan, curve, scale, display), _chord(plan, curve, scale, display)],
                  scale)  # fmt: skip


def _station_marks(plan: BentPlan, curve: Curve, scale: float) -> list[Item]:
    """Ticks across the part at named stations."""
    items: list[Item] = []
    for name, s in named_stations(curve).items():
        ends = _across(plan, curve, s, 2.5 / scale)
        items.append(Stroke(ArcPath.polyline(ends), Layer.MARK, Pen.CENTRE, name))
    return items


def _across(plan: BentPlan, curve: Curve, s: float, past: float) -> Floats:
    """Two points square to the part, past its convex and its concave face, shape (2, 2)."""
    point, reach = curve.point(s), (plan.depth / 2 + past) * curve.normal(s)
    return np.stack([point - reach, point + reach])


def _names(plan: BentPlan, curve: Curve, scale: float, display: Display) -> list[Wish]:
    """Names of stations with their distance from the reference end, outside the bend if it can."""
    wishes: list[Wish] = []
    for name, s in named_stations(curve).items():
        text = f"{name} {format_length(s, display, unit=False)}"
        outer, inner = _across(plan, curve, s, 2.5 / scale)
        out = -np.asarray(curve.normal(s))
        wishes.append(chain(beside(outer, text, out, scale), beside(inner, text, -out, scale)))
    return wishes


def _reference_end(curve: Curve, scale: float) -> Wish:
    """Name of the end that everything is measured from, beyond it."""
    point, way = curve.point(0.0), -curve.tangent(0.0)
    aside = np.array([1.0 if point[0] > curve.point(curve.length)[0] else -1.0, 0.0])
    names = ("reference\nend", "reference end")
    return (
        group
        for name in names
        for w in (aside, way)
        for group in beside(point, name, w, scale, gap=3.0)
    )


def _tightest(plan: BentPlan, curve: Curve, scale: float, display: Display) -> Wish:
    """The tightest radius, pointing at the middle of its arc from outside or inside."""
    at, kappa = curve.tightest
    if kappa == 0.0:
        return []
    s = _middle_of_tightest(curve, at, kappa)
    outer, inner = _across(plan, curve, s, 0.0)
    out = -np.asarray(curve.normal(s))
    text = f"R {format_length(1.0 / abs(kappa), display)}"
    return notes([(outer, out), (inner, -out)], text, scale)


def _middle_of_tightest(curve: Curve, at: float, kappa: float) -> float:
    """Middle of the arc that the tightest place is on; the place itself where it is on none."""
    for s, piece in zip(curve.knots, curve.pieces, strict=False):
        even = math.isclose(piece.kappa0, kappa) and math.isclose(piece.kappa1, kappa)
        if even and s - 1e-6 <= at <= s + piece.length + 1e-6:
            return float(s) + 0.5 * piece.length
    return at


def _ends_and_top(curve: Curve) -> tuple[Floats, Floats, Floats]:
    """Left end, right end and highest point of a level curve."""
    ends = curve.point([0.0, curve.length])
    points = curve.point(curve.even_grid(401))
    left, right = ends[np.argsort(ends[:, 0])]
    return left, right, points[int(points[:, 1].argmax())]


def _kept_clear(curve: Curve, scale: float) -> list[Item]:
    """Where the extension lines of chord and rise will run."""
    left, right, top = _ends_and_top(curve)
    down, aside = np.array([0.0, -40.0 / scale]), np.array([-60.0 / scale, 0.0])
    beyond = aside + np.array([left[0] - top[0], 0.0])
    runs = [(left, down), (right, down), (left, aside), (top, beyond)]
    return [
        Stroke(ArcPath.polyline(np.stack([at, at + run])), Layer.DIMENSION, Pen.THIN)
        for at, run in runs
    ]


def _chord(plan: BentPlan, curve: Curve, scale: float, display: Display) -> Wish:
    """Chord of the middle line, below everything."""
    left, right, _ = _ends_and_top(curve)
    shape = plan.shapes["target"]
    if shape.chord * scale < 1.0:
        return []
    low = float(curve.point(curve.even_grid(401))[:, 1].min()) - plan.depth / 2
    below = (min(left[1], right[1]) - low) * scale
    text = format_length(shape.chord, display)
    return [tuple(linear(left, right, text, scale=scale, offset=-below - off)) for off in _OFFSETS]


def _rise(plan: BentPlan, curve: Curve, scale: float, display: Display) -> Wish:
    """Rise of the middle line off its chord, to the left of everything, else to the right."""
    left, right, top = _ends_and_top(curve)
    rise = plan.shapes["target"].rise
    if rise * scale < 1.0:
        return []
    x = curve.point(curve.even_grid(401))[:, 0]
    text, half = format_length(rise, display), plan.depth / 2
    beside_left = (left[0] - float(x.min()) + half) * scale
    beside_right = (float(x.max()) - right[0] + half) * scale
    return [
        tuple(linear(end, top, text, scale=scale, offset=offset, direction="vertical"))
        for off in _OFFSETS
        for end, offset in ((left, beside_left + off), (right, -beside_right - off))
    ]


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
    start = target.point(0.0) + d * target.normal(0.0)
    items: tuple[Item, ...] = (
        Area((ArcPath.polyline(band, closed=True),), Layer.BAND, "hatch", spacing=1.0),
        Stroke(arc_path(target.offset(d)), Layer.TARGET, Pen.OUTLINE, "target"),
        Stroke(arc_path(form.offset(d)), Layer.FORM, Pen.LONG_DASH, "on the form"),
        Mark(float(start[0]), float(start[1]), "dot", 1.6),
    )
    turn = level_turn(plan.target.curve)
    flat = Drawing(items, f"{plan.name}: form, target and band").moved(turn=turn)
    return placed(flat, [_tip_note(plan, turn, d, scale, display)], scale)


def _band(plan: BentPlan, d: float) -> Floats:
    """Outline of the band of the face at distance d from mid-depth, shape (n, 2)."""
    band, curve = plan.band, plan.released
    s = np.clip(band.s, 0.0, curve.length)
    point, normal = curve.point(s), curve.normal(s)
    low = point + (band.low + d)[:, None] * normal
    high = point + (band.high + d)[:, None] * normal
    return np.concatenate([low, high[::-1]])


def _tip_note(plan: BentPlan, turn: float, d: float, scale: float, display: Display) -> Wish:
    """How far the far end moves from form to rest, at the end at rest."""
    form, target = plan.glued.moved(turn=turn), plan.target.curve.moved(turn=turn)
    on_form = form.point(form.length) + d * form.normal(form.length)
    at_rest = target.point(target.length) + d * target.normal(target.length)
    gap = float(np.hypot(*(on_form - at_rest)))
    inwards = np.sign(target.point(0.0)[0] - target.point(target.length)[0]) or 1.0
    text = f"{format_length(gap, display)} from form to rest"
    ways = [np.array([x, y]) for y in (-0.65, 0.65) for x in (0.75 * inwards, -0.75 * inwards)]
    return notes([(at_rest, way) for way in ways], text, scale)


def departure_drawing(
    plan: BentPlan, display: Display, width: float = 130.0, height: float = 34.0
) -> Drawing:
    """Chart of how far the part lies from its drawing, on the form and after release.

    Distances are square to the part at rest, positive towards the inside of the tightest
    bend, all laid on the drawing at the reference end.

    Parameters
    ----------
    plan : the part.
    display : how lengths are shown.
    width, height : of the chart's field [mm on paper].
    """
    target, share = plan.target.curve, np.linspace(0.0, 1.0, len(plan.band.s))
    at = share * target.length
    off, on = (_departure(target, line, share) for line in (plan.released, plan.glued))
    low, high = off + plan.band.low, off + plan.band.high
    y0, y1 = min(0.0, low.min(), on.min()), max(0.0, high.max(), on.max())
    room = 0.08 * max(y1 - y0, 0.2)
    factor = 25.4 if display.system == "in" else 1.0
    unit = "mm" if display.system == "mm" else "inches"
    chart = Chart(
        Axis(0.0, target.length, f"along the part from the reference end, {unit}", factor),
        Axis(
            float(y0 - room),
            float(y1 + room),
            f"from the drawing, {unit}; up: towards the inside of the tightest bend",
            factor,
        ),
        (Line(at, on, Pen.LONG_DASH, "on the form"), Line(at, 0.0 * at, Pen.OUTLINE)),
        (Shade(at, low, high, "released"),),
        f"{plan.name}: distance from the drawing along the part",
        width,
        height,
        marks={s: name for name, s in named_stations(target).items()},
    )
    return chart_drawing(chart)


def _departure(target: Curve, line: Curve, share: Floats) -> Floats:
    """Distance of a line from the target, same material points, to the left [mm]."""
    at = share * target.length
    gap = line.point(share * line.length) - target.point(at)
    return np.asarray((gap * target.normal(at)).sum(axis=1))
