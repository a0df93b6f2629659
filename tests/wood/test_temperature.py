"""Warmth and cold: linear between printed points, refused beyond them."""

import doctest

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overbend.errors import WoodError
from overbend.wood import temperature
from overbend.wood.temperature import temperature_factor

WITH_COLD = ("moe", "mor", "comp_parallel")
HOT_ONLY = ("moe_across", "shear", "shear_modulus", "tension_parallel", "tension_perp", "comp_perp")


def test_doctests():
    assert doctest.testmod(temperature).failed == 0


@pytest.mark.parametrize("key", WITH_COLD + HOT_ONLY)
def test_nothing_changes_at_20(key):
    assert temperature_factor(key, 12.0, 20.0).value == 1.0


@given(st.sampled_from(WITH_COLD), st.floats(0, 60), st.floats(-50, 50), st.floats(-50, 50))
def test_colder_wood_is_stronger(key, moisture, one, other):
    cold, warm = sorted((one, other))
    factors = [temperature_factor(key, moisture, t).value for t in (cold, warm)]
    assert factors[0] >= factors[1] > 0


def test_halfway_to_the_printed_point_is_half_the_change():
    assert temperature_factor("mor", 13.0, 35.0).value == pytest.approx(0.90)
    assert temperature_factor("mor", 13.0, -15.0).value == pytest.approx(1 + 0.35 / 2)


def test_the_nearest_printed_moisture_is_used_and_named():
    assert "11 to 15 %" in temperature_factor("mor", 9.0, 40.0).source
    assert "0 to 4 %" in temperature_factor("mor", 6.0, 40.0).source
    assert "10 % and up" in temperature_factor("comp_perp", 70.0, 40.0).source


def test_between_two_printed_moistures_the_greater_loss_is_taken():
    assert temperature_factor("moe", 6.0, 50.0).value == pytest.approx(0.93)


def test_a_row_without_that_side_gives_way_to_the_next():
    # green modulus was printed for the cold only; the 12 % row stands in at the hot side
    assert temperature_factor("moe", 50.0, 50.0).value == pytest.approx(0.93)


@pytest.mark.parametrize("warmth", [-51.0, 50.5, 98.0, float("nan")])
def test_beyond_the_table_is_refused(warmth):
    with pytest.raises(WoodError, match="-50 to 50") as caught:
        temperature_factor("mor", 12.0, warmth)
    assert "steam box" in caught.value.todo


@pytest.mark.parametrize("key", HOT_ONLY)
def test_cold_is_refused_where_none_was_printed(key):
    with pytest.raises(WoodError, match="20 to 50"):
        temperature_factor(key, 12.0, 5.0)


def test_properties_without_a_row_are_refused():
    with pytest.raises(WoodError, match="hardness"):
        temperature_factor("hardness", 12.0, 30.0)
