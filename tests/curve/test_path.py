"""Paths of lines and arcs."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overbend.curve import ArcPath, path_distance

bulges = st.one_of(st.just(0.0), st.floats(-1.5, 1.5))
paths = st.builds(
    lambda rows, closed: ArcPath(
        np.array([(120.0 * i, y, b) for i, (y, b) in enumerate(rows)]), closed
    ),
    st.lists(st.tuples(st.floats(-80, 80), bulges), min_size=2, max_size=6),
    st.booleans(),
)


def test_a_half_circle_has_bulge_one():
    half = ArcPath(np.array([[0.0, 0.0, 1.0], [100.0, 0.0, 0.0]]))
    assert half.length == pytest.approx(50 * math.pi)
    assert half.bounds == pytest.approx((0.0, -50.0, 100.0, 0.0), abs=1e-3)


@given(paths, st.sampled_from([0.5, 0.05, 0.005]))
def test_flattening_stays_on_the_path_and_within_the_tolerance(path, tolerance):
    points = path.flatten(tolerance)
    assert path_distance(path, points).max() < 1e-9
    ring = np.vstack([points, points[:1]]) if path.closed else points
    middles = 0.5 * (ring[1:] + ring[:-1])
    assert path_distance(path, middles).max() <= tolerance + 1e-9


@given(paths)
def test_length_is_that_of_a_fine_polyline(path):
    points = path.flatten(1e-4)
    ring = np.vstack([points, points[:1]]) if path.closed else points
    assert path.length == pytest.approx(np.hypot(*np.diff(ring, axis=0).T).sum(), rel=1e-4)


@given(paths)
def test_reversing_and_mirroring_keep_the_shape(path):
    points = path.flatten(0.1)
    assert path_distance(path.reversed(), points).max() < 1e-9
    assert path_distance(path.mirrored(), points * (1, -1)).max() < 1e-9
    assert path.reversed().length == pytest.approx(path.length)


@given(paths, st.floats(-200, 200), st.floats(-200, 200), st.floats(-4, 4))
def test_moving_turns_then_shifts(path, dx, dy, turn):
    c, s = math.cos(turn), math.sin(turn)
    points = path.flatten(0.1) @ np.array([[c, s], [-s, c]]) + (dx, dy)
    assert path_distance(path.moved(dx, dy, turn), points).max() < 1e-9


def test_joining_closes_a_gap_with_a_line_and_drops_a_doubled_vertex():
    a = ArcPath(np.array([[0.0, 0.0, 0.3], [50.0, 10.0, 0.0]]))
    b = ArcPath.polyline(np.array([[50.0, 10.0], [90.0, 0.0]]))
    c = ArcPath.polyline(np.array([[120.0, 0.0], [150.0, 20.0]]))
    assert len(a.joined(b).vertices) == 3
    assert a.joined(b).joined(c).length == pytest.approx(a.length + b.length + 30 + c.length)


def test_an_almost_straight_arc_flattens_to_its_chord():
    flat = ArcPath(np.array([[0.0, 0.0, 1e-17], [700.0, 0.0, 0.0]]))
    assert flat.flatten(0.01).tolist() == [[0.0, 0.0], [700.0, 0.0]]
