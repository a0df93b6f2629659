import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import lognorm, multivariate_normal, norm

from overbend.bend.breakage import (
    break_risk,
    chance_words,
    governing,
    likeness,
    limits,
)
from overbend.bend.capacity import Capacity, cold_capacity, hot_compression, hot_tension

CAPACITIES = st.builds(
    Capacity,
    st.floats(0.005, 0.4),
    st.floats(0.0, 0.3),
    st.floats(0.05, 0.3),
    st.floats(0.0, 0.4),
    st.floats(0.0, 0.1),
)


@given(CAPACITIES, st.floats(0.001, 0.999))
def test_strain_at_a_chance_has_that_chance(capacity, chance):
    risk = break_risk(capacity.strain_at(chance), capacity)
    m = capacity.mishap
    assert risk.expected == pytest.approx(chance + m - m * chance, rel=1e-9)


@given(CAPACITIES, st.floats(1e-4, 0.5))
def test_scenarios_average_to_the_expected_chance(capacity, strain):
    risk = break_risk(strain, capacity)
    assert risk.low <= risk.high
    p, rho, weight = risk.scenarios()
    assert weight.sum() == pytest.approx(1.0)
    assert p @ weight == pytest.approx(risk.expected, abs=2e-4)
    assert ((rho >= 0) & (rho < 1)).all()


def test_range_covers_nine_tenths_of_the_doubt():
    capacity = Capacity(0.015, 0.11, 0.16, 0.25)
    risk = break_risk(0.011, capacity)
    rng = np.random.default_rng(7)
    medians = capacity.median * np.exp(capacity.doubt * rng.standard_normal(40_000))
    chances = lognorm.cdf(0.011, capacity.spread, scale=medians)
    seen = norm.ppf(np.quantile(chances, [0.05, 0.95]))
    assert seen == pytest.approx(norm.ppf([risk.low, risk.high]), abs=0.04)  # sampling error 0.012
    assert chances.mean() == pytest.approx(risk.expected, rel=0.03)


def test_without_doubt_one_scenario_in_effect():
    risk = break_risk(0.0121, Capacity(0.0175, 0.15, 0.12, 0.0))
    assert risk.low == risk.high == pytest.approx(risk.expected)
    assert risk.words() == f"{chance_words(risk.expected)} breaks"
    (p, _, _), (q, _, _) = risk.scenarios(), risk.scenarios(doubted=False)
    assert p == pytest.approx(np.full(p.shape, risk.expected))
    assert q == pytest.approx([risk.expected])


def test_greatest_strain_governs_and_is_found():
    capacity = cold_capacity(102.7, 11860.0)
    risk = break_risk(np.array([0.002, 0.007, 0.011, 0.004]), capacity)
    assert (risk.index, risk.strain) == (2, 0.011)
    assert risk.expected == break_risk(0.011, capacity).expected


def test_no_strain_breaks_nothing():
    risk = break_risk([0.0, -0.01], hot_tension())
    assert risk.expected == risk.low == risk.high == 0.0
    p, rho, _ = risk.scenarios()
    assert (p == 0).all()
    assert (rho == 0).all()


def test_mishaps_are_there_however_gentle_the_bend():
    risk = break_risk(1e-4, Capacity(0.0175, 0.1, 0.1, 0.2, 0.06))
    assert (risk.low, risk.expected, risk.high) == pytest.approx((0.03, 0.06, 0.12))
    p, rho, _ = risk.scenarios()
    assert p == pytest.approx(np.full(p.shape, 0.06))
    assert rho == pytest.approx(np.zeros(p.shape), abs=1e-6)


def test_governing_is_the_likelier_way():
    tear = break_risk(0.009, hot_tension(kiln_dried=False))
    crumple = break_risk(0.29, hot_compression(kiln_dried=False))
    assert governing([tear, crumple]) is crumple
    assert governing([break_risk(0.017, tear.capacity), crumple]).capacity is tear.capacity


@given(st.floats(-6, 4), st.floats(0, 0.99))
def test_likeness_is_the_correlation_of_two_breaks(h, share):
    p = norm.cdf(h)
    both = multivariate_normal.cdf([h, h], cov=[[1, share], [share, 1]], abseps=1e-10)
    # the reference is good to about 1e-10, divided by the odds
    assert float(likeness(h, share)) == pytest.approx(
        (both - p * p) / (p - p * p), abs=1e-6 + 1e-9 / (p - p * p)
    )


def test_likeness_at_its_ends():
    assert likeness(np.array([-9.0, -1.0, 0.5]), 0.0) == pytest.approx(0.0, abs=1e-9)
    assert float(likeness(0.3, 1.0)) == pytest.approx(0.999)
    assert float(likeness(-9.0, 0.5)) == 0.0


def test_strips_of_a_board_break_together_as_often_as_said():
    capacity, strain = Capacity(0.016, 0.17, 0.12, 0.0, 0.08), 0.0135
    rng = np.random.default_rng(11)
    board = capacity.board * rng.standard_normal((60_000, 1))
    stands = capacity.median * np.exp(board + capacity.strip * rng.standard_normal((60_000, 2)))
    broken = (stands < strain) | (rng.random((60_000, 2)) < capacity.mishap)
    _, rho, _ = break_risk(strain, capacity).scenarios(doubted=False)
    seen = np.corrcoef(broken.T)[0, 1]
    assert seen == pytest.approx(float(rho[0]), abs=0.02)  # sampling error 0.005
    assert broken.mean() == pytest.approx(break_risk(strain, capacity).expected, abs=0.005)


def test_limits_are_the_strains_of_the_two_chances():
    tension, compression = hot_tension(kiln_dried=False), hot_compression(kiln_dried=False)
    few, half = limits(tension, compression, 0.02, 0.4)
    # mishaps come on top: a verdict is about strain
    kept = 1 - tension.mishap
    assert 1 - break_risk(few.tension, tension).expected == pytest.approx(0.98 * kept)
    assert 1 - break_risk(half.compression, compression).expected == pytest.approx(0.6 * kept)
    assert few.tension < half.tension


@given(st.floats(0, 1), st.floats(0, 1))
def test_a_greater_chance_is_never_said_as_a_smaller_one(a, b):
    def worth(p):
        said = chance_words(p)
        if said.startswith("fewer"):
            return 0.0
        if said == "nearly all":
            return 1.0
        top, bottom = said.split(" in ")
        return float(top) / float(bottom)

    low, high = sorted((a, b))
    assert worth(low) <= worth(high)
    assert worth(low) == pytest.approx(low, rel=0.05, abs=0.051)
