"""Equilibrium moisture and climates."""

import doctest

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overbend.errors import WoodError
from overbend.wood import moisture
from overbend.wood.moisture import (
    all_climates,
    climate_ids,
    custom_climate,
    emc,
    emc_glass,
    find_climate,
    humidity_glass,
)

temperatures = st.floats(-1.1, 115.6)
humidities = st.floats(0.01, 0.99)


def test_doctests():
    assert doctest.testmod(moisture).failed == 0


@pytest.mark.parametrize("law", [emc, emc_glass])
@given(temperatures, humidities, humidities)
def test_damper_air_makes_wetter_wood(law, temperature, one, other):
    low, high = sorted((one, other))
    assert 0 < law(temperature, low) <= law(temperature, high)
    if high - low > 1e-6:
        assert law(temperature, low) < law(temperature, high)


@given(temperatures, st.floats(0.5, 30.0))
def test_the_humidity_that_keeps_a_moisture_does_keep_it(temperature, wet):
    humidity = humidity_glass(temperature, wet)
    if 1e-6 < humidity < 1 - 1e-6:
        assert emc_glass(temperature, humidity) == pytest.approx(wet, rel=1e-6)


@pytest.mark.parametrize("law", [emc, emc_glass])
@pytest.mark.parametrize("humidity", [0.0, -0.2, 1.4, 240.0, float("nan")])
def test_humidity_out_of_range(law, humidity):
    with pytest.raises(WoodError, match="above 0"):
        law(20.0, humidity)


def test_a_humidity_in_per_cent_is_pointed_out():
    with pytest.raises(WoodError, match=r"0\.45 for 45 %"):
        emc(20.0, 45.0)


def test_full_saturation_is_for_one_equation_only():
    assert 25 < emc(20.0, 1.0) < 30
    with pytest.raises(WoodError, match="below 1"):
        emc_glass(20.0, 1.0)


@pytest.mark.parametrize("law", [emc, emc_glass, humidity_glass])
@pytest.mark.parametrize("temperature", [-1.2, -40.0, 115.7, float("nan")])
def test_temperature_out_of_range(law, temperature):
    with pytest.raises(WoodError, match=r"-1\.1 to 115\.6"):
        law(temperature, 0.5)


def test_thirty_fahrenheit_is_in_range():
    assert emc((30 - 32) / 1.8, 0.5) == pytest.approx(9.5, abs=0.06)


@pytest.mark.parametrize("wet", [0.0, -3.0, float("nan")])
def test_no_air_keeps_wood_bone_dry(wet):
    with pytest.raises(WoodError, match="no air is dry enough"):
        humidity_glass(20.0, wet)


def test_named_climates_are_assumed_and_sensible():
    assert len(climate_ids()) == len(set(climate_ids())) >= 8
    for climate in all_climates():
        found = climate.moisture()
        assert found.status == climate.status == "assumed"
        assert 4 < found.value < 18
        assert find_climate(climate.name) is climate
        assert find_climate(climate.id.upper()) is climate


def test_a_heated_winter_is_drier_than_summer():
    winter, summer = (find_climate(f"{c}").moisture() for c in ("heated-house-winter",
                                                               "house-summer"))  # fmt: skip
    assert winter.value == pytest.approx(emc(20.0, 0.30))
    assert summer.value == pytest.approx(emc(25.0, 0.60))
    assert winter.value < summer.value


def test_an_unknown_climate_lists_the_known():
    with pytest.raises(WoodError, match="did you mean") as caught:
        find_climate("hous summer")
    assert all(climate in caught.value.allowed for climate in climate_ids())
    with pytest.raises(WoodError) as caught:
        find_climate("the moon")
    assert "temperature and relative humidity" in caught.value.todo


def test_a_climate_of_ones_own():
    mine = custom_climate("Loft in June", 31.0, 0.42, "my logger")
    assert (mine.id, mine.status) == ("loft-in-june", "yours")
    assert mine.moisture().value == pytest.approx(emc(31.0, 0.42))
    assert mine.moisture().status == "computed"
    assert "my logger" in "\n".join(mine.moisture().trail())
    with pytest.raises(WoodError, match="climate Loft"):
        custom_climate("Loft", 31.0, 0.0)
