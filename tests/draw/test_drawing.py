from __future__ import annotations

import math

import numpy as np
import pytest

from overbend.curve import ArcPath
from overbend.draw.arcs import path_box
from overbend.draw.drawing import (
    Area,
    Disc,
    Drawing,
    Label,
    Layer,
    Mark,
    Pen,
    Stroke,
    fit_scale,
    simple_items,
)
from overbend.errors import OutputError

ARC = ArcPath(np.array([[10.0, -5.0, 0.7], [90.0, 20.0, -0.2], [130.0, 70.0, 0.0]]))


def some() -> Drawing:
    return Drawing(
        (
            Stroke(ARC, Layer.TARGET),
            Area((ARC,), Layer.BAND),
            Disc(200.0, 30.0, 12.0, centre_lines=True),
            Mark(-40.0, 10.0, "tick", 6.0, 0.3),
            Label(60.0, 150.0, "here", 3.5),
        ),
        "some",
    )


def test_bounds_hold_arcs_circles_and_the_points_of_marks_and_texts():
    x0, y0, x1, y1 = path_box(ARC)
    assert some().bounds == pytest.approx((-40.0, min(y0, 18.0), 212.0, 150.0))
    assert x0 >= -40.0
    assert x1 <= 212.0
    assert y1 <= 150.0


def test_extent_grows_as_paper_sizes_weigh_more():
    full, tenth = some().extent(1.0), some().extent(0.1)
    assert tenth[3] == pytest.approx(150.0 + 3.5 / 0.1)
    assert full[3] == pytest.approx(150.0 + 3.5)
    assert tenth[0] == pytest.approx(-40.0 - 0.5 * 6.0 / 0.1 * math.cos(0.3))
    assert tenth[2] == pytest.approx(212.0 + 2.5 / 0.1)


def test_moving_everything_moves_the_geometry_rigidly():
    moved = some().moved(300.0, -20.0, 0.4)
    stroke = moved.items[0]
    assert isinstance(stroke, Stroke)
    assert stroke.path.length == pytest.approx(ARC.length)
    c, s = math.cos(0.4), math.sin(0.4)
    disc, label, area, mark = (moved.items[k] for k in (2, 4, 1, 3))
    assert (disc.x, disc.y) == pytest.approx((c * 200 - s * 30 + 300, s * 200 + c * 30 - 20))
    assert label.angle == pytest.approx(0.4)
    assert area.angle == pytest.approx(math.pi / 4 + 0.4)
    assert mark.angle == pytest.approx(0.7)


def test_layers_come_in_painting_order_and_can_be_picked():
    drawing = some()
    assert drawing.layers == (
        Layer.BAND, Layer.CENTRE, Layer.TARGET, Layer.HOLE, Layer.MARK, Layer.TEXT,
    )  # fmt: skip
    assert drawing.only(Layer.HOLE).layers == (Layer.CENTRE, Layer.HOLE)  # the hole's own lines
    assert Layer.HOLE not in drawing.without(Layer.HOLE, Layer.TEXT).layers
    assert len(drawing.merged(drawing, drawing).items) == 3 * len(drawing.items)
    assert drawing.merged(Drawing((), "other")).title == "some"


def test_an_empty_drawing_has_no_size_and_says_so():
    with pytest.raises(OutputError, match="nothing to draw"):
        _ = Drawing((), "nothing").bounds


def test_two_widths_two_to_one_whatever_the_group():
    for wide in (0.35, 0.5, 0.7):
        widths = {pen.width(wide) for pen in Pen}
        assert widths == {wide, wide / 2}
    assert Pen.CENTRE.dashes(0.5) == pytest.approx((6.0, 0.75, 0.25, 0.75))
    assert len({pen.value for pen in Pen}) == len(Pen)


@pytest.mark.parametrize(
    ("radius", "room", "scale"), [(40, 0, 1.0), (100, 0, 0.5), (600, 15, 0.1), (2000, 0, 0.02)]
)
def test_usual_scales(radius, room, scale):
    assert fit_scale(Drawing((Disc(3, 4, radius),)), 170, 240, room) == scale


def test_below_the_usual_scales_the_drawing_still_fits():
    scale = fit_scale(Drawing((Disc(0, 0, 20_000),)), 170, 240)
    assert 2 * 20_000 * scale == pytest.approx(170)


@pytest.mark.parametrize(
    ("kind", "count"), [("cross", 2), ("tick", 1), ("register", 3), ("dot", 1)]
)
@pytest.mark.parametrize("scale", [1.0, 0.1])
def test_marks_keep_their_size_on_paper(kind, count, scale):
    items = simple_items(Mark(7.0, 3.0, kind, 8.0), scale)
    assert len(items) == count
    x0, y0, x1, y1 = Drawing(items).bounds
    assert (x1 - x0) * scale == pytest.approx(8.0)
    assert (0.5 * (x0 + x1), 0.5 * (y0 + y1)) == pytest.approx((7.0, 3.0))


def test_centre_lines_pass_the_edge_by_the_same_paper_length():
    for scale in (1.0, 0.2):
        x0, _, x1, _ = Drawing(simple_items(Disc(5.0, 0.0, 20.0, centre_lines=True), scale)).bounds
        assert (x1 - x0 - 40.0) * scale == pytest.approx(5.0)
