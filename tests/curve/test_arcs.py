"""Curves written as lines and arcs."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overbend.curve import (
    ArcPath,
    arc,
    arc_path,
    chain,
    easement,
    line,
    path_deviation,
    path_distance,
    through,
)
from overbend.errors import CurveError

MIXED = chain(
    line(300),
    easement(400, 0, 1 / 500),
    arc(500, 0.4),
    easement(600, 1 / 500, -1 / 300),
    easement(100, -1 / 300, -1 / 40),
    start=(12, 7),
    heading=0.3,
)


def brute_distance(path, points):
    """Distance to points 0.01 mm apart along the path's chords: a check of path_distance."""
    corners = path.flatten(1e-6)
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(corners, axis=0).T))])
    at = np.arange(0.0, run[-1], 0.01)
    dense = np.column_stack([np.interp(at, run, corners[:, i]) for i in (0, 1)])
    dense = np.vstack([dense, corners])
    return np.array([np.hypot(*(dense - p).T).min() for p in points])


@pytest.mark.parametrize("tolerance", [0.0005, 0.002, 0.02, 0.1])
@pytest.mark.parametrize("d", [0.0, 30.0, -30.0])
def test_the_real_deviation_is_within_the_tolerance_and_not_far_below(d, tolerance):
    curve = MIXED.offset(d)
    gap, _ = path_deviation(curve, arc_path(curve, tolerance), spacing=0.05)
    assert 0.3 * tolerance < gap <= tolerance


@settings(max_examples=40)
@given(
    st.lists(
        st.tuples(st.floats(20, 700), st.floats(-1 / 60, 1 / 60), st.floats(-1 / 60, 1 / 60)),
        min_size=1,
        max_size=4,
    ),
    st.floats(-20, 20),
    st.sampled_from([0.002, 0.05]),
)
def test_any_curve_is_followed_within_the_tolerance(parts, d, tolerance):
    curve = chain(*(easement(*p) for p in parts)).offset(d)
    gap, _ = path_deviation(curve, arc_path(curve, tolerance), spacing=0.5)
    assert gap <= tolerance


def test_joints_are_tangential():
    a, b = arc_path(MIXED).ends
    chord = np.arctan2(*(b - a)[:, 1::-1].T)
    half = 2 * np.arctan(a[:, 2])
    leap = (chord - half)[1:] - (chord + half)[:-1]
    assert np.abs((leap + math.pi) % (2 * math.pi) - math.pi).max() < 1e-9


def test_the_number_of_arcs_is_near_the_biarc_bound():
    # Each biarc over h departs by kappa' h^3 / 324: 8 of them for this easement at 0.002 mm.
    curve = chain(easement(400, 0, 1 / 500))
    bound = 400 / (324 * 0.002 * 400 * 500) ** (1 / 3)
    assert len(arc_path(curve, 0.002).vertices) - 1 == 2 * math.ceil(bound)


@pytest.mark.parametrize("d", [0.0, 35.0, -35.0])
def test_lines_arcs_and_their_offsets_are_exact(d):
    curve = chain(line(120), arc(210, -1.3), line(60), start=(5, -3), heading=1.1)
    path = arc_path(curve.offset(d), tolerance=5.0)
    assert len(path.vertices) == 4
    assert path_deviation(curve.offset(d), path)[0] < 1e-11
    assert path.length == pytest.approx(curve.offset(d).length, abs=1e-9)
    assert path.vertices[:, 2] == pytest.approx([0.0, math.tan(-1.3 / 4), 0.0, 0.0])


def test_an_arc_over_more_than_half_a_turn_is_written_in_parts():
    path = arc_path(chain(arc(80, 3.5)))
    assert len(path.vertices) == 3
    assert path_deviation(chain(arc(80, 3.5)), path)[0] < 1e-11


def test_pieces_of_one_arc_are_written_as_one():
    split = chain(arc(300, 0.2), arc(300, 0.3), line(50), line(70))
    assert len(arc_path(split).vertices) == 3


def test_a_fair_circle_is_written_as_one_arc():
    points = [(200 * math.cos(a), 200 * math.sin(a)) for a in (0.1, 0.5, 1.1, 1.6)]
    assert len(arc_path(through(points)).vertices) == 2


def test_a_stretch_starts_and_ends_where_asked():
    path = arc_path(MIXED.offset(12.0), 0.002, 250.0, 1100.0)
    ends = MIXED.offset(12.0).point([250.0, 1100.0])
    assert path.vertices[[0, -1], :2] == pytest.approx(ends)
    assert path.length == pytest.approx(MIXED.offset(12.0).length_between(250, 1100), abs=1e-3)


def test_the_path_backwards_is_the_path_of_the_curve_backwards():
    there, back = arc_path(MIXED), arc_path(MIXED.reversed()).reversed()
    assert len(there.vertices) == len(back.vertices)
    assert there.vertices == pytest.approx(back.vertices, abs=1e-6)


def test_distance_to_a_path_agrees_with_its_dense_points():
    path = ArcPath(np.array([[0, 0, 0.4], [90, 15, 0], [150, 15, -1.7], [160, 60, 0.0]]))
    points = np.random.default_rng(4).uniform(-60, 220, (50, 2))
    assert path_distance(path, points) == pytest.approx(brute_distance(path, points), abs=1e-3)


def test_distance_is_steady_for_arcs_of_huge_radius():
    path = ArcPath(np.array([[0, 0, 1e-13], [900, 0, 0.0]]))
    assert path_distance(path, np.array([[300.0, 2.0], [-3.0, 4.0]])) == pytest.approx([2.0, 5.0])


@pytest.mark.parametrize("tolerance", [0.0, -1.0, math.nan])
def test_a_tolerance_must_be_above_zero(tolerance):
    with pytest.raises(CurveError, match="a tolerance of"):
        arc_path(MIXED, tolerance)


@pytest.mark.parametrize(("s0", "s1"), [(500.0, 500.0), (700.0, 200.0)])
def test_an_empty_stretch_is_refused(s0, s1):
    with pytest.raises(CurveError, match="no length"):
        arc_path(MIXED, 0.01, s0, s1)
