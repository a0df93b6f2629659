import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overbend.curve import arc, biggest_deviation, chain, easement, line
from overbend.errors import CurveError
from overbend.form import chord_and_rise, made_from_chord, made_from_points
from overbend.form.face import Face

PLANNED = chain(
    line(60.0), easement(180.0, 0.0, 1 / 320), arc(320.0, 0.5), easement(90.0, 1 / 320, 1 / 900),
    start=(12.0, -40.0), heading=0.3, stations={"rail": 150.0},
)  # fmt: skip


def scaled(curve, factor):
    pieces = [easement(p.length, factor * p.kappa0, factor * p.kappa1) for p in curve.pieces]
    return chain(*pieces, start=curve.start, heading=curve.heading, stations=curve.stations)


@settings(max_examples=15, deadline=None)
@given(st.floats(0.5, 1.8), st.sampled_from([12.0, -12.0]))
def test_chord_and_rise_give_the_factor_back(factor, d):
    chord, rise, _ = chord_and_rise(Face(scaled(PLANNED, factor), d, 0.0, math.copysign(1, d)))
    made = made_from_chord(PLANNED, d, chord, rise)
    assert made.tighter == pytest.approx(factor, abs=1e-6)
    assert made.misfit < 1e-4
    assert made.glued.length == pytest.approx(PLANNED.length)
    assert made.glued.stations == PLANNED.stations


def test_chord_and_rise_of_a_half_circle():
    planned = chain(line(100.0), arc(150.0, math.pi), line(100.0))
    actual = chain(line(100.0), arc(150.0 / 0.97, math.pi * 0.97), line(100.0))
    chord, rise, _ = chord_and_rise(Face(actual, 10.0, 0.0, 1.0))
    assert made_from_chord(planned, 10.0, chord, rise).tighter == pytest.approx(0.97, abs=1e-6)


def test_measurements_that_disagree_are_stated():
    face = Face(PLANNED, 12.0, 0.0, 1.0)
    chord, rise, _ = chord_and_rise(face)
    made = made_from_chord(PLANNED, 12.0, chord + 4.0, rise + 4.0)
    assert 1.0 < made.misfit < 6.0


def test_the_made_line_is_laid_on_the_plan_by_the_faces_chords():
    chord, rise, _ = chord_and_rise(Face(scaled(PLANNED, 1.1), 12.0, 0.0, 1.0))
    made = made_from_chord(PLANNED, 12.0, chord, rise)
    ends = [Face(c, 12.0, 0.0, 1.0).point(np.array([0.0, c.length])) for c in (PLANNED, made.glued)]
    assert ends[0][0] == pytest.approx(ends[1][0])
    ways = [math.atan2(*(e[1] - e[0])[::-1]) for e in ends]
    assert ways[0] == pytest.approx(ways[1])
    assert 2.0 < made.apart < 40.0


def laid_by_face(curve, d):
    """Points on a mid line, seen from its face's chord."""
    face = Face(curve, d, 0.0, math.copysign(1, d))
    a, b = face.point(np.array([0.0, curve.length]))
    u = (b - a) / math.dist(a, b)
    xy = curve.point(curve.even_grid(300)) - a
    return np.stack([xy @ u, xy @ np.array([-u[1], u[0]])], axis=-1)


@settings(max_examples=15, deadline=None)
@given(
    data=st.data(), turn=st.floats(-3, 3), over=st.booleans(), count=st.integers(25, 40),
    d=st.sampled_from([9.0, -9.0]),
)  # fmt: skip
def test_points_on_the_face_give_the_mid_line_back(curves, data, turn, over, count, d):
    actual = data.draw(curves)
    points = Face(actual.moved(50.0, -20.0, turn), d, 0.0, 1.0).point(actual.even_grid(count))
    if over:
        points = points * np.array([1.0, -1.0])
    made = made_from_points(scaled(actual, 0.97), d, points)
    step = actual.length / (count - 1)
    # a jump of curvature between points is rounded off over about their distance apart,
    # and turns the end of the part by as much there
    tightest = max(abs(k) for p in actual.pieces for k in (p.kappa0, p.kappa1))
    away = np.hypot(*(laid_by_face(made.glued, d) - laid_by_face(actual, d)).T).max()
    assert away < 0.01 + 0.1 * tightest * step**2 + 0.05 * tightest * step * abs(d)


def test_points_of_an_arc_are_exact():
    actual = chain(arc(410.0, 1.3), stations={"rail": 200.0})
    for d in (14.0, -14.0):
        points = Face(actual, d, 0.0, 1.0).point(actual.even_grid(6))
        made = made_from_points(actual, d, points)
        assert biggest_deviation(made.glued, actual) < 1e-6
        assert made.apart < 1e-6
        assert made.glued.stations["rail"] == pytest.approx(200.0)


@pytest.mark.parametrize("count", [3, 4])
@pytest.mark.parametrize("over", [False, True])
def test_a_few_points_scale_the_plan(count, over):
    actual = scaled(PLANNED, 1.07)
    points = Face(actual.moved(5.0, 9.0, 1.1), 12.0, 0.0, 1.0).point(actual.even_grid(count))
    points = points * np.array([1.0, -1.0 if over else 1.0])
    made = made_from_points(PLANNED, 12.0, points)
    assert made.tighter == pytest.approx(1.07, abs=1e-4)
    assert made.misfit < 0.02


@pytest.mark.parametrize(
    "points", [[(0, 0), (1, 1)], [(0, 0), (1, math.nan), (2, 0)], [1.0, 2.0, 3.0]]
)
def test_too_few_points_are_refused(points):
    with pytest.raises(CurveError, match="points on a form") as caught:
        made_from_points(PLANNED, 12.0, points)
    assert "three points" in caught.value.allowed


def test_sizes_of_another_form_are_refused():
    with pytest.raises(CurveError, match="do not fit"):
        made_from_chord(PLANNED, 12.0, PLANNED.length, 0.5)
    with pytest.raises(CurveError, match="rise of -3"):
        made_from_chord(PLANNED, 12.0, 400.0, -3.0)
    with pytest.raises(CurveError, match="straight part"):
        made_from_chord(chain(line(300.0)), 12.0, 300.0, 1.0)
