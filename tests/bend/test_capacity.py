import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overbend.bend.capacity import (
    COLD_FACTOR,
    HOT_COMPRESSION,
    HOT_TENSION,
    KILN_FACTOR,
    UNBROKEN,
    Capacity,
    cold_capacity,
    cold_compression,
    factor_from_work,
    grain_factor,
    hot_compression,
    hot_tension,
    species_shift,
    strain_spread,
)
from overbend.errors import WoodError


@given(st.floats(0.05, 0.4), st.floats(0.05, 0.4), st.floats(0.0, 0.9))
def test_spread_of_strain_is_that_of_the_quotient(cv_mor, cv_moe, correlation):
    rng = np.random.default_rng(3)
    r, e = (math.sqrt(math.log1p(cv**2)) for cv in (cv_mor, cv_moe))
    x, y = rng.standard_normal((2, 20_000))
    log_quotient = r * x - e * (correlation * x + math.sqrt(1 - correlation**2) * y)
    assert strain_spread(cv_mor, cv_moe, correlation) == pytest.approx(log_quotient.std(), rel=0.03)


@given(st.floats(1.05, 4), st.floats(40, 150), st.floats(7000, 16000))
def test_factor_from_work_undoes_its_own_curve(m, mor, moe):
    x = np.linspace(0, 1, 20_001)
    deflection = m * mor / moe  # in units where the elastic beam would reach MOR/MOE
    load = mor * (1 - (1 - x) ** m)
    work = np.trapezoid(load, deflection * x) / 9  # elastic: MOR^2/(2 MOE)/9 = MOR^2/(18 MOE)
    assert factor_from_work(mor, moe, 1000 * work) == pytest.approx(m, rel=1e-4)


def test_elastic_work_gives_no_gain():
    assert factor_from_work(90.0, 11000.0, 1000 * 90.0**2 / 18 / 11000.0) == pytest.approx(1.0)


def test_cold_median_is_the_factor_times_mor_over_moe():
    capacity = cold_capacity(84.8, 10270.0)
    assert capacity.median == pytest.approx(COLD_FACTOR * 84.8 / 10270.0)
    assert "assumed" in capacity.sources[0]
    assert cold_compression().median > 2 * capacity.median


def test_sources_follow_what_was_done():
    capacity = hot_tension(slope=1 / 12, kiln_dried=True, unbroken=UNBROKEN["red oak"])
    said = " | ".join(capacity.sources)
    for part in ("from memory", "kiln-dried", "86 % unbroken (memory)", "slope of grain"):
        assert part in said
    parts = KILN_FACTOR * species_shift(0.86) * grain_factor(1 / 12)
    assert capacity.median == pytest.approx(HOT_TENSION * parts)


def test_not_knowing_widens_and_lies_between():
    air, kiln, unknown = (hot_compression(kiln_dried=k) for k in (False, True, None))
    assert kiln.median < unknown.median < air.median == HOT_COMPRESSION
    assert air.doubt < kiln.doubt < unknown.doubt


@given(st.floats(0, 1), st.floats(0, 1))
def test_steeper_grain_stands_less_over_the_usual_range(a, b):
    low, high = sorted((a / 5, b / 5))
    assert 1.0 >= grain_factor(low) >= grain_factor(high) > 0.5
    assert grain_factor(0.0) == 1.0


def test_ranking_keeps_its_order_and_its_middle():
    woods = sorted(UNBROKEN, key=UNBROKEN.__getitem__)
    shifts = [species_shift(UNBROKEN[w]) for w in woods]
    assert shifts == sorted(shifts)
    assert math.sqrt(shifts[10] * shifts[11]) == pytest.approx(1.0)


def test_scaling_keeps_the_spread_and_adds_the_doubt():
    capacity = Capacity(0.0175, 0.12, 0.16, 0.15, 0.05, ("read",)).times(0.8, 0.2, "half")
    assert capacity.median == pytest.approx(0.014)
    assert capacity.spread == pytest.approx(0.2)
    assert capacity.doubt == pytest.approx(0.25)
    assert (capacity.mishap, capacity.sources) == (0.05, ("read", "half"))


def test_refusals():
    with pytest.raises(WoodError, match="1 in 15 as 1/15"):
        grain_factor(15)
    with pytest.raises(WoodError, match="above zero"):
        cold_capacity(0.0, 11000.0)
    with pytest.raises(WoodError, match="below 1"):
        hot_tension(unbroken=1.0)
    with pytest.raises(WoodError, match="breaking strain"):
        Capacity(0.01, 0.1, 0.0, 0.1)
    with pytest.raises(WoodError, match="mishaps of 1"):
        Capacity(0.01, 0.1, 0.1, 0.1, 1.0)
