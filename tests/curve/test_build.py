"""Builders of curves and what they refuse."""

import math

import numpy as np
import pytest

from overbend.curve import arc, biggest_deviation, chain, curvature_jumps, easement, line
from overbend.errors import CurveError


def test_a_left_arc_has_its_centre_on_the_left():
    left = chain(arc(300.0, 0.8), heading=0.2)
    centre = left.point(0.0) + 300.0 * left.normal(0.0)
    assert np.allclose(np.hypot(*(left.point(left.even_grid(7)) - centre).T), 300.0)


def test_a_right_arc_mirrors_a_left_one():
    right, left = chain(arc(300.0, -0.8)), chain(arc(300.0, 0.8))
    assert biggest_deviation(right, left.mirrored()) < 1e-12


def test_an_easement_turns_by_its_mean_curvature():
    piece = easement(240.0, 1 / 900, 1 / 300)
    assert piece.turn == pytest.approx(240 * (1 / 900 + 1 / 300) / 2)


def test_a_chain_is_tangent_at_its_joints():
    curve = chain(line(50), easement(120, 0, 0.004), arc(250, 0.6), easement(80, 0.004, -0.002))
    for s in curve.knots[1:-1]:
        assert float(curve.angle(s + 1e-9) - curve.angle(s - 1e-9)) == pytest.approx(0, abs=1e-10)


def test_jumps_are_listed_with_place_and_size():
    curve = chain(line(200), arc(400, 0.5), easement(90, 1 / 400, 0), arc(800, -0.1))
    first, second = curvature_jumps(curve)
    assert (first.station, first.size) == (200.0, pytest.approx(1 / 400))
    assert (second.station, second.size) == (pytest.approx(490.0), pytest.approx(-1 / 800))


def test_no_jumps_are_found_where_easements_meet():
    assert curvature_jumps(chain(line(100), easement(90, 0, 0.003), arc(1 / 0.003, 0.4))) == ()


def test_biggest_deviation_of_parallel_arcs_is_their_distance():
    inner, outer = chain(arc(300, 1.1)), chain(arc(320, 1.1), start=(0.0, -20.0))
    assert biggest_deviation(inner, outer) == pytest.approx(20.0)


@pytest.mark.parametrize("radius", [0.0, -200.0, math.nan])
def test_a_radius_must_be_above_zero(radius):
    with pytest.raises(CurveError, match="an arc of radius"):
        arc(radius, 0.5)


@pytest.mark.parametrize("angle", [0.0, math.inf])
def test_an_arc_must_turn(angle):
    with pytest.raises(CurveError, match="an arc that turns"):
        arc(200.0, angle)


def test_lengths_must_be_above_zero():
    with pytest.raises(CurveError, match="length 0 mm"):
        line(0.0)
    with pytest.raises(CurveError, match="length -5 mm"):
        easement(-5.0, 0.0, 0.001)


def test_a_chain_needs_a_piece_and_a_place():
    with pytest.raises(CurveError, match="without segments"):
        chain()
    with pytest.raises(CurveError, match="heading nan"):
        chain(line(10), heading=math.nan)
