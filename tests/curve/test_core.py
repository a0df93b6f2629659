"""Curves, their offsets and the curves made from them."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overbend.curve import Curve, Piece, chain
from overbend.errors import CurveError

MIXED = chain(
    Piece(230.0, 0.0, 0.0),
    Piece(310.0, 0.0, 1 / 420),
    Piece(170.0, 1 / 420, 1 / 420),
    Piece(450.0, 1 / 420, -1 / 310),
    start=(17.0, -42.0),
    heading=0.37,
    stations={"toe": 0.0, "joint": 512.5, "tip": 1160.0},
)

kappas = st.floats(-1 / 60, 1 / 60)
pieces = st.builds(Piece, st.floats(5.0, 400.0), kappas, kappas)
curves = st.builds(
    lambda parts, x, y, heading, share: chain(
        *parts,
        start=(x, y),
        heading=heading,
        stations={"mark": share * math.fsum(p.length for p in parts)},
    ),
    st.lists(pieces, min_size=1, max_size=5),
    st.floats(-500, 500),
    st.floats(-500, 500),
    st.floats(-7, 7),
    st.floats(0.0, 1.0),
)
shares = st.floats(0.0, 1.0)


def gap(a, b):
    return float(np.hypot(*(np.asarray(a) - np.asarray(b)).T).max())


def test_curvature_heading_and_position_agree_by_differences():
    s, h = np.linspace(5.0, MIXED.length - 5.0, 61), 1e-3
    slope = (MIXED.point(s + h) - MIXED.point(s - h)) / (2 * h)
    assert gap(slope, MIXED.tangent(s)) < 1e-8
    smooth = np.abs(s[:, None] - MIXED.knots[None, 1:-1]).min(axis=1) > h
    bend = (MIXED.angle(s + h) - MIXED.angle(s - h)) / (2 * h)
    assert np.abs(bend - MIXED.kappa(s))[smooth].max() < 1e-9


def test_turn_is_the_heading_gained():
    assert MIXED.turn == pytest.approx(float(MIXED.angle(MIXED.length)) - 0.37, abs=1e-12)


def test_normal_is_a_left_turn_from_the_tangent():
    s = MIXED.even_grid(9)
    t, n = MIXED.tangent(s), MIXED.normal(s)
    assert np.allclose(t[:, 0] * n[:, 1] - t[:, 1] * n[:, 0], 1.0)
    assert np.allclose((t * n).sum(axis=1), 0.0, atol=1e-15)


def test_shapes_follow_the_argument():
    assert MIXED.point(10.0).shape == (2,)
    assert MIXED.point([[1.0, 2.0, 3.0]]).shape == (1, 3, 2)
    assert MIXED.kappa(10.0).shape == ()
    assert MIXED.point([]).shape == (0, 2)


def test_grid_holds_every_knot_and_no_wider_step():
    s = MIXED.grid(37.0)
    assert np.diff(s).max() <= 37.0 + 1e-9
    assert all(np.abs(s - k).min() < 1e-9 for k in MIXED.knots)
    assert s[-1] == MIXED.length


def test_tightest_is_signed_and_where_it_is():
    s, k = MIXED.tightest
    assert (s, k) == (pytest.approx(1160.0), pytest.approx(-1 / 310))


@given(curves, st.floats(-300, 300), st.floats(-300, 300), st.floats(-4, 4), shares)
def test_moving_turns_about_the_origin_then_shifts(curve, dx, dy, turn, at):
    s = at * curve.length
    c, sn = math.cos(turn), math.sin(turn)
    x, y = curve.point(s)
    moved = curve.moved(dx, dy, turn)
    assert gap(moved.point(s), (c * x - sn * y + dx, sn * x + c * y + dy)) < 1e-8
    assert moved.kappa(s) == curve.kappa(s)
    assert moved.stations == curve.stations


@given(curves, shares)
def test_reversing_keeps_every_point_and_turns_the_sense(curve, at):
    s = at * curve.length
    back = curve.reversed()
    assert gap(back.point(curve.length - s), curve.point(s)) < 1e-8
    mark = curve.stations["mark"]
    assert gap(back.point(back.stations["mark"]), curve.point(mark)) < 1e-6
    assert back.turn == pytest.approx(-curve.turn, abs=1e-9)
    assert gap(back.reversed().point(s), curve.point(s)) < 1e-8


@given(curves, shares)
def test_mirroring_reflects_in_the_x_axis(curve, at):
    s = at * curve.length
    x, y = curve.point(s)
    assert gap(curve.mirrored().point(s), (x, -y)) < 1e-9
    assert curve.mirrored().kappa(s) == -curve.kappa(s)


@given(curves, shares, shares, shares)
def test_a_part_lies_on_the_curve(curve, a, b, at):
    s0, s1 = sorted((a * curve.length, b * curve.length))
    if s1 - s0 < 1.0:
        s0, s1 = 0.0, curve.length
    part = curve.part(s0, s1)
    assert part.length == pytest.approx(s1 - s0, abs=1e-6)
    u = min(at * (s1 - s0), part.length)
    assert gap(part.point(u), curve.point(s0 + u)) < 1e-6
    assert part.angle(u) == pytest.approx(float(curve.angle(s0 + u)), abs=1e-6)
    mark = curve.stations["mark"]
    if "mark" in part.stations:
        assert gap(part.point(part.stations["mark"]), curve.point(mark)) < 1e-6
    else:
        assert mark < s0 or mark > s1


@given(curves, st.floats(0.0, 300.0), st.floats(0.0, 300.0), shares)
def test_run_outs_are_straight_and_leave_the_curve_where_it_was(curve, before, after, at):
    longer = curve.extended(before, after)
    s = at * curve.length
    assert longer.length == pytest.approx(curve.length + before + after)
    assert gap(longer.point(s + before), curve.point(s)) < 1e-6
    run_in = curve.point(0.0) - before * curve.tangent(0.0)
    assert gap(longer.point(0.0), run_in) < 1e-9
    mark = curve.stations["mark"]
    assert gap(longer.point(longer.stations["mark"]), curve.point(mark)) < 1e-6


@given(curves, st.floats(-50.0, 50.0), shares, shares)
def test_offset_identities(curve, d, a, b):
    offset = curve.offset(d)
    s0, s1 = sorted((a * curve.length, b * curve.length))
    turned = float(curve.angle(s1) - curve.angle(s0))
    assert offset.length_between(s0, s1) == pytest.approx((s1 - s0) - d * turned, abs=1e-8)
    assert offset.length == pytest.approx(curve.length - d * curve.turn, abs=1e-8)
    k = float(curve.kappa(s0))
    assert float(offset.kappa(s0)) == pytest.approx(k / (1 - k * d), rel=1e-9, abs=1e-15)
    assert gap(offset.point(s0), curve.point(s0) + d * curve.normal(s0)) < 1e-12


@given(curves, st.floats(-40.0, 40.0))
def test_offset_length_is_the_length_of_its_points(curve, d):
    offset = curve.offset(d)
    ends = np.array([0.2, 0.7]) * curve.length
    total = {}
    for n in (400, 800):
        xy = offset.point(np.linspace(*ends, n + 1))
        total[n] = np.hypot(*np.diff(xy, axis=0).T).sum()
    extrapolated = (4 * total[800] - total[400]) / 3
    assert offset.length_between(*ends) == pytest.approx(extrapolated, rel=1e-5)


def test_offset_of_an_offset_distance_away_comes_back():
    there = MIXED.offset(35.0)
    s = MIXED.even_grid(23)
    assert gap(there.point(s) - 35.0 * there.normal(s), MIXED.point(s)) < 1e-12


@pytest.mark.parametrize(("d", "where"), [(421.0, "540"), (-311.0, "1160")])
def test_an_offset_past_the_centre_is_refused_and_says_where(d, where):
    with pytest.raises(CurveError, match=rf"{abs(d):g} mm at {where} mm .* folds over"):
        MIXED.offset(d)


@pytest.mark.parametrize("d", [419.0, -309.0])
def test_an_offset_short_of_the_centre_is_not(d):
    assert MIXED.offset(d).length > 0


@pytest.mark.parametrize("d", [math.nan, math.inf])
def test_an_offset_that_is_no_distance_is_refused(d):
    with pytest.raises(CurveError, match="an offset of"):
        MIXED.offset(d)


@pytest.mark.parametrize("values", [(0.0, 0, 0), (-3, 0, 0), (math.nan, 0, 0), (5, math.inf, 0)])
def test_a_piece_needs_length_and_finite_curvature(values):
    with pytest.raises(CurveError, match="a segment of length"):
        Piece(*values)


@pytest.mark.parametrize("s", [-0.1, 1160.1, math.nan])
def test_a_place_off_the_curve_is_refused(s):
    with pytest.raises(CurveError, match="off the curve"):
        MIXED.point(s)


def test_an_empty_part_is_refused():
    with pytest.raises(CurveError, match="no length"):
        MIXED.part(300.0, 300.0)


def test_a_station_off_the_curve_is_refused_by_name():
    with pytest.raises(CurveError, match="'heel' at 90 mm"):
        Curve((Piece(80.0, 0, 0),), stations={"heel": 90.0})
