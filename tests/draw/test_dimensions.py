from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from overbend.curve import ArcPath, arc, arc_path, chain, line
from overbend.draw import dimensions as dim
from overbend.draw.chains import chain as row
from overbend.draw.chains import running, spread
from overbend.draw.drawing import Area, Drawing, Label, Layer, Pen, Stroke
from overbend.draw.legible import WHOLE, cleared, crossed_labels
from overbend.draw.lettering import text_width
from overbend.errors import OutputError

point = st.tuples(st.floats(-800, 800), st.floats(-800, 800))
scales = st.sampled_from([1.0, 0.5, 0.2, 0.1, 0.05])
texts = st.sampled_from(["8", "31.5", "1 082", "7' 2-1/2\"", "about 1-15/16 in"])
offsets = st.sampled_from([-22.0, -7.0, 7.0, 12.0])
ways = st.sampled_from(["aligned", "horizontal", "vertical"])


def labels(items):
    return [i for i in items if isinstance(i, Label)]


def arrows(items):
    return [i for i in items if isinstance(i, Area)]


def lines(items):
    return [i.path.vertices[:, :2] for i in items if isinstance(i, Stroke)]


@given(point, point, texts, scales, offsets, ways)
def test_no_line_of_a_dimension_crosses_its_text(p, q, text, scale, offset, way):
    apart = {
        "aligned": math.dist(p, q),
        "horizontal": abs(p[0] - q[0]),
        "vertical": abs(p[1] - q[1]),
    }
    assume(apart[way] > 0.1)
    items = dim.linear(p, q, text, scale=scale, offset=offset, direction=way)
    assert crossed_labels(Drawing(tuple(items)), scale) == ()
    angle = labels(items)[0].angle
    assert -math.pi / 2 < angle <= math.pi / 2 + 1e-9


def test_aligned_dimension_stands_off_by_its_offset_and_names_the_length():
    items = dim.linear((0, 0), (300, 400), "500", scale=0.2, offset=9.0)
    tips = [a.paths[0].vertices[0, :2] for a in arrows(items)]
    assert math.dist(*tips) == pytest.approx(500.0)
    normal = np.array([-0.8, 0.6])
    assert [float(t @ normal) * 0.2 for t in tips] == pytest.approx([9.0, 9.0])
    starts = [v[0] for v in lines(items) if len(v) == 2][:2]
    assert float(starts[0] @ normal) * 0.2 == pytest.approx(dim.STYLE.clear)


def test_horizontal_dimension_measures_across_from_the_outer_point():
    items = dim.linear((500, 80), (20, 0), "480", scale=0.1, offset=10.0, direction="horizontal")
    tips = [a.paths[0].vertices[0, :2] for a in arrows(items)]
    assert {round(float(t[1]), 6) for t in tips} == {80 + 10 / 0.1}
    assert sorted(float(t[0]) for t in tips) == pytest.approx([20.0, 500.0])
    below = dim.linear((500, 80), (20, 0), "480", scale=0.1, offset=-10.0, direction="horizontal")
    assert arrows(below)[0].paths[0].vertices[0, 1] == pytest.approx(-100.0)


def test_vertical_dimension_reads_from_the_right_and_stands_to_the_left():
    items = dim.linear((0, 0), (30, 200), "200", scale=0.5, offset=8.0, direction="vertical")
    label = labels(items)[0]
    assert label.angle == pytest.approx(math.pi / 2)
    assert label.x < -8.0 / 0.5 < 0


def test_short_dimension_turns_its_arrows_inwards_and_puts_its_text_outside():
    long = dim.linear((0, 0), (400, 0), "400", scale=0.1)
    short = dim.linear((0, 0), (30, 0), "30.25", scale=0.1)
    inner = arrows(long)[0].paths[0].vertices
    outer = arrows(short)[0].paths[0].vertices
    assert inner[1, 0] > inner[0, 0]
    assert outer[1, 0] < outer[0, 0]
    label = labels(short)[0]
    assert label.x - 0.5 * text_width("30.25", 2.5) / 0.1 > 30.0


def test_points_with_no_distance_are_refused():
    with pytest.raises(OutputError, match="no distance"):
        dim.linear((5, 0), (5, 90), "0", scale=1.0, direction="horizontal")


@given(point, st.floats(-3.1, 3.1), st.booleans(), scales)
def test_radius_touches_its_arc_and_points_at_the_centre(at, way, outside, scale):
    centre = (at[0] + 900 * math.cos(way), at[1] + 900 * math.sin(way))
    items = dim.radius(at, centre, "R 900", scale=scale, outside=outside)
    assert arrows(items)[0].paths[0].vertices[0, :2] == pytest.approx(at)
    (start, end) = lines(items)[0]
    run = (end - start) / math.dist(start, end)
    sign = -1 if outside else 1
    assert run * sign == pytest.approx([math.cos(way), math.sin(way)], abs=1e-9)
    assert crossed_labels(Drawing(tuple(items)), scale) == ()


@given(point, st.floats(-7, 7), st.floats(0.02, 6.2), st.booleans(), scales)
def test_angle_keeps_its_radius_and_its_text_clear(vertex, first, turn, clockwise, scale):
    turn = -turn if clockwise else turn
    items = dim.angle(vertex, first, turn, "41.9°", scale=scale, reach=18.0)
    tips = [a.paths[0].vertices[0, :2] for a in arrows(items)]
    for tip, at in zip(tips, (first, first + turn), strict=True):
        wanted = np.asarray(vertex) + 18.0 / scale * np.array([math.cos(at), math.sin(at)])
        assert tip == pytest.approx(wanted)
    assert crossed_labels(Drawing(tuple(items)), scale) == ()


@given(point, st.sampled_from([-14.0, 9.0]), st.sampled_from([-11.0, 16.0]), scales)
def test_note_stands_on_its_shelf(at, dx, dy, scale):
    items = dim.note(at, "7 strips of 3.2\nwhite oak", scale=scale, dx=dx, dy=dy)
    assert crossed_labels(Drawing(tuple(items)), scale) == ()
    shelf = lines(items)[0][1:]
    box = labels(items)[0].box(scale)
    assert shelf[:, 0].min() - 1e-6 <= box[:, 0].min()
    assert box[:, 0].max() <= shelf[:, 0].max() + 1e-6
    assert shelf[0, 1] < box[:, 1].min()


steps = st.lists(st.floats(2.0, 400.0), min_size=1, max_size=7)


@settings(max_examples=60, deadline=None)
@given(steps, st.data(), scales, offsets, st.sampled_from(["horizontal", "vertical"]))
def test_no_line_of_a_row_crosses_a_text(spans, data, scale, offset, way):
    at = np.concatenate([[0.0], np.cumsum(spans)])
    heights = data.draw(st.lists(st.floats(-90, 90), min_size=len(at), max_size=len(at)))
    points = np.column_stack([at, heights] if way == "horizontal" else [heights, at])
    if data.draw(st.booleans()):
        points = points[::-1]
    written = [f"{s:.1f}" for s in np.abs(np.diff(at))]
    for items in (
        row(points, written, scale=scale, offset=offset, direction=way),
        running(points, ["0", *written], scale=scale, offset=offset, direction=way),
    ):
        assert crossed_labels(Drawing(tuple(items)), scale) == ()


def test_a_row_keeps_its_texts_in_order_and_dots_short_spans():
    items = row([(0, 0), (200, 5), (212, 0), (500, 30)], ["200", "12.25", "288"], scale=0.2)
    by_place = sorted(labels(items), key=lambda label: label.x)
    assert [label.text for label in by_place] == ["200", "12.25", "288"]
    assert by_place[1].y > by_place[0].y
    assert sum(1 for i in items if getattr(i, "kind", "") == "dot") == 2


def test_a_row_in_disorder_or_with_a_text_missing_is_refused():
    with pytest.raises(OutputError, match="row of dimensions"):
        row([(0, 0), (300, 0), (200, 0), (400, 0)], ["1", "2", "3"], scale=1.0)
    with pytest.raises(OutputError, match="2 texts"):
        row([(0, 0), (300, 0), (400, 0)], ["1"], scale=1.0)
    with pytest.raises(OutputError, match="3 texts"):
        running([(0, 0), (300, 0), (400, 0)], ["0", "1"], scale=1.0)


@settings(deadline=None)
@given(st.lists(st.tuples(st.floats(0, 100), st.floats(1, 20)), min_size=1, max_size=8))
def test_spreading_ends_overlaps_and_is_the_nearest_such_place(pairs):
    from scipy.optimize import minimize

    middles = np.sort([m for m, _ in pairs])
    widths = np.array([w for _, w in pairs])
    places = spread(middles, widths)
    need = 0.5 * (widths[1:] + widths[:-1])
    assert (np.diff(places) >= need - 1e-9).all()
    if len(pairs) > 1:
        best = minimize(
            lambda x: ((x - middles) ** 2).sum(),
            places,
            jac=lambda x: 2 * (x - middles),
            constraints={"type": "ineq", "fun": lambda x: np.diff(x) - need},
            method="SLSQP",
        )
        assert ((places - middles) ** 2).sum() <= best.fun + 1e-6


def bench_drawing(scale: float) -> Drawing:
    """A bent arm with a row of dimensions, running sizes, a radius, an angle and a note."""
    curve = chain(line(90), arc(240, 0.9), arc(610, 0.35), line(140), heading=-0.7)
    body = arc_path(curve.offset(-11)).joined(arc_path(curve.offset(11)).reversed(), closed=True)
    s = np.array([0.0, 90.0, 306.0, 330.0, 519.5, curve.length])
    stations = curve.point(s)
    across = np.diff(stations[:, 0])
    at, normal = curve.point(200.0), curve.normal(200.0)
    end = curve.point(curve.length)
    items = [
        Stroke(body, Layer.TARGET),
        Stroke(arc_path(curve), Layer.CENTRE, Pen.CENTRE),
        *row(stations, [f"{a:.1f}" for a in across], scale=scale, offset=-30),
        *running(stations, [f"{a:.0f}" for a in stations[:, 0]], scale=scale, offset=20),
        *dim.radius(at - 11 * normal, at + 240 * normal, "R 251", scale=scale, outside=True),
        *dim.note(curve.point(600), "two kinds\nof wood", scale=scale, dx=18, dy=-10, end="dot"),
        *dim.angle(end, 0.0, float(curve.angle(curve.length)), "31.5°", scale=scale),
    ]
    return Drawing(tuple(items), "An arm", "Its sizes, from the reference end")


def test_a_whole_sheet_of_dimensions_has_no_crossed_text():
    drawing = bench_drawing(0.2)
    assert crossed_labels(drawing, 0.2) == ()
    assert len(labels(drawing.items)) == 5 + 6 + 3


def test_clearing_wipes_behind_texts_on_lines_and_leaves_texts_on_texts():
    rail = Stroke(ArcPath.polyline(np.array([[0.0, 1.0], [300.0, 1.0]])), Layer.CENTRE)
    on_line, free = Label(10, 0, "on a line"), Label(10, 40, "free")
    heap = Label(200, 0, "one"), Label(202, 1, "two")
    drawing = cleared(Drawing((rail, on_line, free, *heap)), 1.0)
    assert [i.clear for i in labels(drawing.items)] == [True, False, False, False]
    assert [i.text for i in crossed_labels(drawing, 1.0)] == ["one", "two"]


@pytest.mark.parametrize("layer", sorted(WHOLE))
def test_no_text_is_wiped_over_a_line_that_is_sawn_or_scribed_to(layer):
    face = Stroke(ArcPath.polyline(np.array([[0.0, 1.0], [300.0, 1.0]])), layer)
    chain = Stroke(ArcPath.polyline(np.array([[20.0, -9.0], [20.0, 9.0]])), Layer.CENTRE)
    drawing = cleared(Drawing((face, chain, Label(10, 0, "on the face"))), 1.0)
    assert not labels(drawing.items)[0].clear
    wiped = Drawing((face, Label(10, 0, "on the face", clear=True)))
    assert len(crossed_labels(drawing, 1.0)) == len(crossed_labels(wiped, 1.0)) == 1


def test_a_text_on_a_hatch_or_on_another_text_counts_as_crossed():
    square = ArcPath.polyline(np.array([[0, 0], [40, 0], [40, 40], [0, 40.0]]), closed=True)
    drawing = Drawing(
        (
            Area((square,), Layer.BAND),
            Label(5, 20, "in"),
            Label(80, 0, "one"),
            Label(82, 1, "two"),
            Label(150, 0, "free"),
        )
    )
    assert [label.text for label in crossed_labels(drawing, 1.0)] == ["in", "one", "two"]
    tinted = Drawing((Area((square,), Layer.BAND, "tint"), Label(5, 20, "in")))
    assert crossed_labels(tinted, 1.0) == ()
