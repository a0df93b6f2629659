import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from overbend.curve import arc, arc_path, chain, easement, line, path_distance
from overbend.form.body import SLOT, back_for, body_of
from overbend.form.face import Face, heading_range


def wood_on(face, total):
    a, b = (face.behind(face.samples(2.0), z) for z in (0.0, -total))
    return shapely.Polygon(np.concatenate([a, b[::-1]]))


@settings(max_examples=40, deadline=None)
@given(
    data=st.data(),
    side=st.sampled_from([1.0, -1.0]),
    depth=st.floats(40, 160),
)
def test_outline_is_simple_and_clear_of_the_wood(curves, data, side, depth):
    curve = data.draw(curves)
    face = Face(curve, side * 9.0, 60.0, side)
    body = body_of(face, depth, back_for(heading_range(curve)))
    assert body.outline.closed
    assert body.shape.is_valid
    assert body.area > 0.9 * 40.0 * face.along(curve.length)
    assert body.shape.intersection(wood_on(face, 18.0)).area < 0.02 * body.shape.length
    s = np.linspace(*face.span, 40)[1:-1]
    behind = face.behind(s, 0.5 * min(depth, 60.0))
    assert shapely.contains_xy(body.shape, *behind.T).all()
    assert path_distance(body.outline, face.point(s)).max() < 0.003


def flattened(curve):
    """The same curve bent less, to headings within 57 degrees."""
    share = min(1.0, 1.0 / heading_range(curve))
    pieces = [easement(p.length, share * p.kappa0, share * p.kappa1) for p in curve.pieces]
    return chain(*pieces, start=curve.start, heading=curve.heading)


@settings(max_examples=25, deadline=None)
@given(data=st.data(), side=st.sampled_from([1.0, -1.0]))
def test_a_straight_back_lies_a_depth_behind_the_deepest_place(curves, data, side):
    curve = flattened(data.draw(curves))
    face = Face(curve, side * 9.0, 60.0, side)
    body = body_of(face, 85.0, "straight")
    a, b = face.point(np.array(face.span))
    along = (b - a) / math.hypot(*(b - a))
    square = side * np.array([-along[1], along[0]])
    heights = body.outline.flatten(0.001) @ square
    assert heights.max() - (face.path().flatten(0.001) @ square).max() == pytest.approx(
        85, abs=0.01
    )


def test_a_parallel_back_is_one_depth_behind_the_face():
    curve = chain(line(120.0), arc(180.0, 2.6), line(80.0))
    for side in (1.0, -1.0):
        face = Face(curve, side * 10.0, 60.0, side)
        body = body_of(face, 70.0, "parallel")
        assert body.back == "parallel"
        back = arc_path(face.line.base.offset(side * 80.0))
        assert path_distance(body.outline, back.flatten(0.01)).max() < 0.02
        # between two parallel lines: depth times the length half way between them
        middle = face.line.base.offset(side * 45.0).length
        assert body.area == pytest.approx(70.0 * middle, rel=1e-4)


def corner_area(depth, radius, leg_a, leg_b):
    """An L of two strips with a rounded outside corner and a fillet of half a slot inside."""
    strips = depth * (leg_a + radius) + depth * (leg_b + radius - depth)
    return strips - (1 - math.pi / 4) * (radius**2 - (SLOT / 2) ** 2)


def test_a_corner_tighter_than_the_depth_is_rounded_inside():
    face = Face(chain(line(260.0), arc(60.0, math.pi / 2), line(220.0)), 8.0, 60.0, 1.0)
    body = body_of(face, 70.0, "parallel")
    assert body.back == "parallel"
    assert not body.reach  # a clamp near the corner looks along the other leg
    assert body.area == pytest.approx(corner_area(70.0, 52.0, 320.0, 280.0), rel=2e-3)
    assert body_of(face, 45.0, "parallel").reach


def test_a_tight_hairpin_is_left_solid():
    face = Face(chain(line(200.0), arc(60.0, math.pi), line(170.0)), 8.0, 60.0, 1.0)
    body = body_of(face, 70.0, "parallel")
    assert (body.back, body.reach) == ("solid", False)
    assert len(body.shape.interiors) == 0
    # both legs and all between: 104 mm over the shorter leg, half a disc at the bend
    assert body.area > 104 * 230 + math.pi * 52**2 / 2
    wide = body_of(Face(chain(arc(150.0, math.pi)), 8.0, 60.0, 1.0), 70.0, "parallel")
    assert (wide.back, wide.reach) == ("parallel", True)


def test_ends_that_come_near_each_other_grow_no_horns():
    face = Face(chain(line(100.0), arc(140.0, math.radians(230)), line(60.0)), 7.0, 40.0, 1.0)
    body = body_of(face, 60.0, "parallel")
    away = path_distance(face.path(), body.outline.flatten(0.05))
    assert away.max() < 60.1


def test_a_leaning_end_turns_square_to_the_back():
    """The ends of a hollow form flare; only as far as the depth goes."""
    face = Face(chain(arc(700.0, 1.0)), -9.0, 60.0, -1.0)
    body = body_of(face, 90.0, "straight")
    (x0, _, x1, _) = body.outline.moved(turn=-0.5).bounds
    ends = face.point(np.array(face.span))
    assert x1 - x0 == pytest.approx(math.dist(*ends) + 2 * 90 * math.sin(0.5), abs=0.01)


def test_way_through_a_body_and_how_square_its_back_is():
    face = Face(chain(line(400.0)), 10.0, 60.0, 1.0)
    body = body_of(face, 80.0, "straight")
    s = np.array([100.0, 300.0])
    assert body.through(s, face.inward(s)) == pytest.approx([80.0, 80.0], abs=0.01)
    slanted = np.array([[math.sin(0.4), math.cos(0.4)]] * 2)
    assert body.through(s, slanted) == pytest.approx([80 / math.cos(0.4)] * 2, abs=0.02)
    seat = face.point(100.0) + slanted[0] * 80 / math.cos(0.4)
    assert body.squareness(seat, slanted[0]) == pytest.approx(0.4)
