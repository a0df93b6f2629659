"""Reported figures, advice, cautions and assumptions: complete and sourced."""

import math

import pytest

from overbend.errors import SteamError
from overbend.steam import assumed, practice
from overbend.steam.cautions import CAUTIONS, cautions_for

TABLES = [practice.STEAMING_MINUTES, practice.WORKING_SECONDS, practice.SETTING_DAYS]


@pytest.mark.parametrize("table", TABLES)
def test_every_row_has_a_range_a_unit_and_a_source(table):
    for row in table:
        assert 0.0 < row.low <= row.high
        assert row.unit
        assert row.source
        assert row.source in str(row)


def test_steaming_times_per_inch_span_twenty_to_sixty_minutes():
    per_inch = [r for r in practice.STEAMING_MINUTES if "inch" in r.unit]
    assert min(r.low for r in per_inch) == 20
    assert max(r.high for r in per_inch) == 60
    rows = practice.reported_minutes(38.1)
    assert rows[0][1:] == pytest.approx((30.0, 30.0))
    assert rows[3][1:] == (15.0, 15.0)


def test_working_times_are_those_reported():
    assert [r.low for r in practice.WORKING_SECONDS] == [45, 60, 120, 300]


def test_practice_goes_with_thickness_and_moisture():
    assert practice.practice_minutes(25.4, 20.0) == (20.0, 30.0)
    assert practice.practice_minutes(50.8, 11.0) == (90.0, 120.0)
    with pytest.raises(SteamError, match="thickness"):
        practice.practice_minutes(0.0, 11.0)


def test_advice_names_its_sources():
    for advice in practice.DRY_STOCK:
        assert advice.text.endswith(".")
        assert advice.source
    assert any("8 %" in a.text for a in practice.DRY_STOCK)


def test_cautions_are_short_and_fit_the_boiler():
    everything = cautions_for()
    assert len(everything) == len(CAUTIONS)
    assert all(s.endswith(".") and len(s) <= 95 for s in everything)
    for word in ("seal", "dry", "stand", "gloves", "line", "metal", "painted"):
        assert any(word in s.lower() for s in everything), word
    electric, fuel = cautions_for("electric"), cautions_for("fuel")
    assert not any("outdoors" in s for s in electric)
    assert any("outdoors" in s for s in fuel)
    assert not any("residual-current" in s for s in fuel)


def test_every_assumption_lies_in_its_own_range_and_says_so():
    rows = assumed.all_assumed()
    assert len({a.name for a in rows}) == len(rows)
    for a in rows:
        assert a.low <= a.value <= a.high
        assert a.why
        assert str(a).endswith("assumed")
    assert math.isinf(assumed.FILM.high)
