"""From what is measured to a curvature, with its error."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overbend.errors import TrialError
from overbend.ledger.measured import Bow, bow_of_chord, bow_of_points, bow_of_radius

RNG = np.random.default_rng(7)


def on_arc(radius, turn, count, start=0.3):
    angles = start + np.linspace(0.0, turn, count)
    return np.array([120.0, -45.0]) + radius * np.stack([np.cos(angles), np.sin(angles)], axis=-1)


@given(st.floats(20.0, 5000.0), st.floats(0.05, 3.1))
def test_chord_and_rise_of_an_arc_give_its_radius(radius, turn):
    chord, rise = 2 * radius * math.sin(turn / 2), radius * (1 - math.cos(turn / 2))
    assert 1 / bow_of_chord(chord, rise).kappa == pytest.approx(radius, rel=1e-6)


@given(st.floats(20.0, 5000.0), st.floats(3.2, 6.0))
def test_arcs_past_half_a_circle(radius, turn):
    chord, rise = 2 * radius * math.sin(turn / 2), radius * (1 - math.cos(turn / 2))
    found = bow_of_chord(chord, rise, past_half=True)
    assert 1 / found.kappa == pytest.approx(radius, rel=1e-6)
    with pytest.raises(TrialError, match="larger than half the chord"):
        bow_of_chord(chord, rise)


@settings(deadline=None)
@given(st.floats(30.0, 3000.0), st.floats(0.4, 5.5), st.integers(3, 50), st.floats(-3.0, 3.0))
def test_points_on_an_arc_give_its_radius(radius, turn, count, start):
    found = bow_of_points(on_arc(radius, turn, count, start))
    assert 1 / found.kappa == pytest.approx(radius, rel=1e-6)


def test_points_on_a_line_give_no_curvature():
    found = bow_of_points([[0.0, 0.0], [100.0, 50.0], [220.0, 110.0], [300.0, 150.0]])
    assert found.kappa == pytest.approx(0.0, abs=1e-9)
    assert found.sd > 0.0


def test_the_order_of_points_does_not_count():
    points = on_arc(400.0, 1.1, 9) + RNG.normal(0.0, 0.5, (9, 2))
    mixed = points[[4, 0, 8, 2, 6, 1, 7, 3, 5]]
    assert bow_of_points(points).kappa == pytest.approx(bow_of_points(mixed).kappa, rel=1e-9)


@pytest.mark.parametrize(("radius", "turn", "count"), [(300.0, 1.2, 9), (900.0, 0.6, 5)])
def test_the_error_of_points_is_that_of_repeated_measuring(radius, turn, count):
    """400 repeats: their own standard deviation is known to 3.5 %; strays widen it a little."""
    base = on_arc(radius, turn, count)
    found = [bow_of_points(base + RNG.normal(0.0, 0.5, base.shape)) for _ in range(400)]
    scatter = np.std([f.kappa for f in found])
    assert np.mean([f.sd for f in found]) == pytest.approx(scatter, rel=0.3)
    assert np.mean([f.sd for f in found]) > 0.95 * scatter


def test_points_that_stray_make_the_error_larger():
    good, base = bow_of_points(on_arc(300.0, 1.0, 12)), on_arc(300.0, 1.0, 12)
    bad = bow_of_points(base + RNG.normal(0.0, 4.0, base.shape))
    assert bad.sd > 4.0 * good.sd


@pytest.mark.parametrize("error", [0.2, 1.5])
def test_the_error_of_chord_and_rise_is_that_of_repeated_measuring(error):
    chord, rise = 610.0, 95.0
    kappa = [
        bow_of_chord(chord + RNG.normal(0, error), rise + RNG.normal(0, error)).kappa
        for _ in range(2000)
    ]
    assert bow_of_chord(chord, rise, error).sd == pytest.approx(np.std(kappa), rel=0.06)


def test_a_radius_is_known_to_a_hundredth_unless_told():
    assert bow_of_radius(400.0).sd == pytest.approx(0.01 / 400.0)
    assert bow_of_radius(400.0, 2.0).sd == pytest.approx(2.0 / 400.0**2)


@given(st.floats(1e-5, 0.01), st.floats(-40.0, 40.0))
def test_parallel_there_and_back(kappa, distance):
    bow = Bow(kappa, 1e-5)
    back = bow.parallel(distance).parallel(-distance)
    assert back.kappa == pytest.approx(kappa, rel=1e-9)
    assert back.sd == pytest.approx(1e-5, rel=1e-9)


def test_a_parallel_beyond_the_centre_is_refused():
    with pytest.raises(TrialError, match="radius 15"):
        Bow(1 / 15.0, 1e-4).parallel(-20.0)


@pytest.mark.parametrize(
    ("chord", "rise", "word"),
    [(0.0, 1.0, "chord of 0"), (-5.0, 1.0, "chord of -5"), (400.0, -1.0, "rise of -1"),
     (math.nan, 1.0, "chord of nan"), (400.0, math.inf, "rise of inf"),
     (400.0, 201.0, "larger than half")],
)  # fmt: skip
def test_chords_and_rises_that_cannot_be(chord, rise, word):
    with pytest.raises(TrialError, match=word):
        bow_of_chord(chord, rise)


def test_a_gentle_arc_is_not_past_half():
    with pytest.raises(TrialError, match="no larger than half"):
        bow_of_chord(400.0, 50.0, past_half=True)


@pytest.mark.parametrize(
    "points",
    [[[0, 0], [1, 1]], np.zeros((51, 2)), [[0, 0, 0]] * 3, [[1, 1]] * 5, [[0, 0], [5, 1], [0, 0]],
     [[0, 0], [1, math.nan], [2, 0]], [[0, 0], [1], [2, 3]], ()],
    ids=str,
)  # fmt: skip
def test_points_that_cannot_be(points):
    with pytest.raises(TrialError):
        bow_of_points(points)
