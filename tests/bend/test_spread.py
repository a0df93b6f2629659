"""Spreads by level and the priors for set."""

import math

import pytest

from overbend.bend import Spread, set_prior, widening
from overbend.errors import LayupError


def logit(p):
    return math.log(p / (1 - p))


def test_the_assumed_spread_between_pieces_is_that_of_the_standard():
    assert Spread().modulus_piece == pytest.approx(0.22, abs=0.001)


def test_no_spread_is_zero_throughout():
    nothing = Spread.none()
    assert nothing.modulus_piece == nothing.set_sd == nothing.thickness == nothing.form == 0.0
    assert nothing.widening == 1.0


def test_scaling_the_set_keeps_the_shares_of_the_levels():
    scaled = Spread(set_species=0.3, set_run=0.2, set_strip=0.6).with_set(1.4)
    assert scaled.set_sd == pytest.approx(1.4)
    assert scaled.set_strip == pytest.approx(3 * scaled.set_run)
    assert Spread.none().with_set(0.7).set_sd == 0.7
    assert Spread(widening=2.0).with_set(0.5).set_sd == pytest.approx(1.0)


@pytest.mark.parametrize("value", [-0.1, math.nan, math.inf])
def test_a_spread_is_a_number_of_zero_or_more(value):
    with pytest.raises(LayupError, match="a spread set_run of"):
        Spread(set_run=value)


def test_cold_bent_strips_have_no_set():
    assert set_prior("cold", 0.05) == (0.0, 0.0)


@pytest.mark.parametrize(
    ("t_over_r", "thickness", "low", "middle", "high"),
    [(25 / 300, 25.0, 0.75, 0.92, 0.98), (3.2 / 610, 3.2, 0.33, 0.75, 0.95)],
)
def test_steamed_priors_span_what_they_say(t_over_r, thickness, low, middle, high):
    median, sd = set_prior("steam", t_over_r, thickness)
    assert median == middle
    assert logit(median) - 1.645 * sd == pytest.approx(logit(low), abs=0.15)
    assert logit(median) + 1.645 * sd == pytest.approx(logit(high), abs=0.15)


def test_thin_or_gentle_steamed_bends_keep_less():
    assert set_prior("steam", 0.05, 4.0)[0] == 0.75
    assert set_prior("steam", 0.05, 4.1)[0] == 0.92
    assert set_prior("steam", 0.01)[0] == 0.75
    assert set_prior("steam", 0.011)[0] == 0.92


@pytest.mark.parametrize(
    ("method", "ratio", "word"), [("boil", 0.1, "boil"), ("steam", -0.1, "-0.1"), ("cold", 2, "2")]
)
def test_other_methods_and_ratios_are_refused(method, ratio, word):
    with pytest.raises(LayupError, match=word):
        set_prior(method, ratio)


def test_widening_starts_at_the_edge_of_the_trials():
    assert widening(0.02, (0.02, 0.06)) == widening(0.06, (0.02, 0.06)) == 1.0
    assert widening(0.005, (0.02, 0.06)) == pytest.approx(3.0)
    assert widening(0.12, (0.02, 0.06)) == pytest.approx(2.0)


@pytest.mark.parametrize("tried", [(0.0, 0.1), (0.2, 0.1)])
def test_trials_need_a_range(tried):
    with pytest.raises(LayupError, match="against trials"):
        widening(0.1, tried)
