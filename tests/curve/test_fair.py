"""Fair curves through points."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overbend.curve import biggest_deviation, curvature_jumps, through
from overbend.errors import CurveError
from support.pace import quiet_seconds

ROCKER = [(0, 0), (120, 40), (260, 35), (400, 90), (520, 200), (560, 340)]


@st.composite
def walks(draw, least=3):
    """Points of a walk that turns gently and strides unevenly."""
    count = draw(st.integers(least, 7))
    heading = draw(st.floats(-3, 3))
    points = [(draw(st.floats(-900, 900)), draw(st.floats(-900, 900)))]
    for _ in range(count - 1):
        stride = draw(st.floats(80, 250))
        x, y = points[-1]
        points.append((x + stride * math.cos(heading), y + stride * math.sin(heading)))
        heading += draw(st.floats(-0.6, 0.6))
    return np.array(points)


def cost(curve):
    """Integral of the squared change of curvature, spans weighted with (length / chord)^3."""
    s = np.array(list(curve.stations.values()))
    chord = np.hypot(*np.diff(curve.point(s), axis=0).T)
    weight = (np.diff(s) / chord) ** 3
    pieces = np.array([(p.kappa1 - p.kappa0) ** 2 / p.length for p in curve.pieces])
    return float((weight * pieces.reshape(len(weight), -1).sum(axis=1)).sum())


@given(walks(least=2))
def test_every_point_is_met_at_its_station(points):
    curve = through(points)
    met = curve.point([curve.stations[f"p{i + 1}"] for i in range(len(points))])
    assert np.abs(met - points).max() < 1e-9
    assert curve.stations["p1"] == 0.0
    assert curve.stations[f"p{len(points)}"] == pytest.approx(curve.length)


@given(walks())
def test_curvature_runs_without_jumps(points):
    assert curvature_jumps(through(points), least=1e-12) == ()


@given(walks(), st.floats(-0.5, 0.5), st.floats(-0.5, 0.5))
def test_given_headings_are_kept(points, first, last):
    step = np.diff(points, axis=0)
    bearing = np.arctan2(step[:, 1], step[:, 0])
    asked = bearing[0] + first, bearing[-1] + last
    curve = through(points, *asked)
    found = float(curve.angle(0.0)), float(curve.angle(curve.length))
    assert np.cos(np.subtract(found, asked)) == pytest.approx([1.0, 1.0], abs=1e-15)
    assert np.abs(curve.point(list(curve.stations.values())) - points).max() < 1e-9


def test_whole_turns_of_a_heading_change_nothing():
    a = through(ROCKER, 0.4, 1.2)
    b = through(ROCKER, 0.4 + 2 * math.pi, 1.2 - 4 * math.pi)
    assert biggest_deviation(a, b) < 1e-9


@given(
    st.floats(60, 3000),
    st.floats(-3, 3),
    st.lists(st.floats(0.1, 0.9), min_size=2, max_size=6),
    st.sampled_from([1.0, -1.0]),
)
def test_points_on_a_circle_give_that_circle(radius, first, steps, side):
    angles = first + side * np.concatenate([[0.0], np.cumsum(steps)])
    points = np.column_stack([40 + radius * np.cos(angles), radius * np.sin(angles) - 7])
    curve = through(points)
    s = curve.even_grid(60)
    assert np.hypot(*(curve.point(s) - (40, -7)).T) == pytest.approx(radius, abs=1e-8)
    assert curve.kappa(s) * radius == pytest.approx(side, abs=1e-8)
    assert curve.length == pytest.approx(radius * sum(steps), rel=1e-10)


@given(st.lists(st.floats(20, 400), min_size=1, max_size=6), st.floats(-3, 3))
def test_points_on_a_line_give_that_line(steps, heading):
    run = np.concatenate([[0.0], np.cumsum(steps)])
    points = np.column_stack([run * math.cos(heading) + 5, run * math.sin(heading)])
    curve = through(points)
    assert curve.length == pytest.approx(run[-1], rel=1e-12)
    assert np.abs(curve.kappa(curve.even_grid(20))).max() < 1e-12


def test_two_points_and_one_heading_give_an_arc():
    curve = through([(0, 0), (100, 100)], start_heading=0.0)
    assert curve.kappa(curve.even_grid(9)) == pytest.approx(0.01)
    back = through([(0, 0), (100, 100)], end_heading=math.pi / 2)
    assert biggest_deviation(curve, back) < 1e-9


@given(walks(), st.floats(-500, 500), st.floats(-500, 500), st.floats(-4, 4))
def test_the_curve_moves_with_its_points(points, dx, dy, turn):
    c, s = math.cos(turn), math.sin(turn)
    moved = points @ np.array([[c, s], [-s, c]]) + (dx, dy)
    assert biggest_deviation(through(moved), through(points).moved(dx, dy, turn)) < 1e-6


@given(walks(), st.floats(0.05, 20.0))
def test_the_curve_grows_with_its_points(points, factor):
    small, large = through(points), through(points * factor)
    gap = large.point(large.even_grid(40)) - factor * small.point(small.even_grid(40))
    assert np.abs(gap).max() < 1e-6 * max(1.0, factor)


@given(walks())
def test_the_curve_mirrors_with_its_points(points):
    assert biggest_deviation(through(points * (1, -1)), through(points).mirrored()) < 1e-6


@given(walks(), st.booleans(), st.floats(-0.5, 0.5))
def test_the_curve_is_the_same_from_either_end(points, held, off):
    ends = (None, None)
    if held:
        bearing = np.arctan2(*np.diff(points, axis=0).T[::-1])
        ends = (bearing[0] + off, bearing[-1] + 0.2)
    there = through(points, *ends)
    back = through(points[::-1], *(None if h is None else h + math.pi for h in ends[::-1]))
    assert biggest_deviation(there, back.reversed()) < 1e-6


def test_a_heading_that_cannot_be_met_is_named():
    with pytest.raises(CurveError, match="176 degrees, is at point 1") as error:
        through([(0, 0), (100, 0), (200, 9), (300, 0)], start_heading=math.radians(176))
    assert "turn the heading at point 1" in error.value.todo


@settings(max_examples=25)
@given(walks(least=4), st.floats(-0.5, 0.5))
def test_asking_for_another_heading_costs_fairness(points, off):
    free = through(points)
    held = through(points, start_heading=free.heading + off)
    assert cost(held) >= cost(free) * (1 - 1e-9)


@given(walks(least=4))
def test_the_cost_does_not_reward_a_loop(points):
    curve = through(points)
    chords = np.hypot(*np.diff(points, axis=0).T)
    spans = np.diff(list(curve.stations.values()))
    assert (spans / chords).max() < 1.5


def test_names_become_stations():
    curve = through(ROCKER[:3], names=["toe", "rung", "tip"])
    assert curve.point(curve.stations["rung"]) == pytest.approx(ROCKER[1])


def test_six_points_take_less_than_a_drag_allows():
    through(ROCKER)
    assert quiet_seconds(lambda: through(ROCKER), 20) < 0.010  # 2 to 4 ms on two cores


@pytest.mark.parametrize("points", [[], [(1, 2)], [(1, 2, 3), (4, 5, 6)], [1.0, 2.0]])
def test_two_plane_points_are_needed(points):
    with pytest.raises(CurveError, match="a curve through"):
        through(points)


def test_coincident_points_are_refused_by_number():
    with pytest.raises(CurveError, match=r"points 2 and 3 lie on each other at \(90, 10.0005\)"):
        through([(0, 0), (90, 10), (90, 10.0005), (200, 0)])


@pytest.mark.parametrize("bad", [math.nan, math.inf])
def test_values_must_be_numbers(bad):
    with pytest.raises(CurveError, match="point 2 is at"):
        through([(0, 0), (bad, 10), (200, 0)])
    with pytest.raises(CurveError, match="heading"):
        through(ROCKER, start_heading=bad)


def test_names_must_match():
    with pytest.raises(CurveError, match="2 names for 3 points"):
        through(ROCKER[:3], names=["a", "b"])
    with pytest.raises(CurveError, match="all different"):
        through(ROCKER[:2], names=["a", "a"])


def test_points_that_turn_back_are_refused_with_the_place():
    with pytest.raises(CurveError, match="178 degrees, is at point 3") as error:
        through([(0, 0), (100, 3), (200, 0), (110, 0), (400, 40)])
    assert "add points" in error.value.todo


def test_headings_that_need_a_loop_are_refused():
    with pytest.raises(CurveError, match="180 degrees, is at point"):
        through([(0, 0), (100, 0)], start_heading=math.pi, end_heading=math.pi)
