"""Losses of a face in air, against steam tables and the prototype's fluxes."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overbend.errors import SteamError
from overbend.steam.air import Air, face_loss, latent_heat, saturation_pressure

AIR = Air()


def heat(T, activity=None, air=AIR):
    return float(face_loss(np.array(T), air, activity).heat)


@pytest.mark.parametrize(
    ("kelvin", "pascal"), [(300.0, 0.353658941e4), (500.0, 0.263889776e7), (600.0, 0.123443146e8)]
)
def test_saturation_pressure_meets_the_check_values_of_if97(kelvin, pascal):
    assert float(saturation_pressure(np.array(kelvin - 273.15))) == pytest.approx(pascal, rel=1e-8)


def test_latent_heat_near_the_steam_tables():
    # Steam tables, saturated water, kJ/kg.
    for T, table in ((20.0, 2453.5), (60.0, 2357.7), (100.0, 2256.5)):
        assert float(latent_heat(np.array(T))) == pytest.approx(1e3 * table, rel=4e-3)


# Fluxes of an independent prototype of the same film, kW/m2, air 20 C and 50 %.
@pytest.mark.parametrize(
    ("T", "activity", "printed", "unit"),
    [
        (90.0, None, 1.08, 0.01),
        (90.0, 1.0, 19.0, 0.5),
        (90.0, 0.8, 13.0, 0.5),
        (98.0, 1.0, 45, 0.5),
    ],
)
def test_fluxes_of_the_prototype(T, activity, printed, unit):
    assert heat(T, activity) / 1e3 == pytest.approx(printed, abs=unit)


def test_a_dry_face_at_the_air_loses_nothing_and_gives_no_water():
    loss = face_loss(np.array([20.0, 95.0]), AIR, None)
    assert loss.heat[0] == pytest.approx(0.0, abs=1e-9)
    assert (loss.water == 0.0).all()


def test_a_damp_face_at_the_air_still_evaporates_but_not_in_saturated_air():
    assert heat(20.0, 1.0) > 50.0
    assert heat(20.0, 1.0, Air(humidity=100.0)) == pytest.approx(0.0, abs=1e-6)


@given(low=st.floats(30.0, 98.0), step=st.floats(0.5, 20.0), wet=st.floats(0.6, 1.0))
@settings(max_examples=40)
def test_hotter_wetter_and_draughtier_lose_more(low, step, wet):
    high = min(low + step, 99.0)
    assert heat(high) > heat(low)
    assert heat(high, wet) > heat(low, wet)
    assert heat(low, wet, Air(draught=2.0)) > heat(low, wet)
    assert heat(high, 1.0) >= heat(high, wet)


@pytest.mark.parametrize("humidity", [0.0, -3.0, 101.0])
def test_impossible_humidity_is_refused(humidity):
    with pytest.raises(SteamError, match="humidity"):
        Air(humidity=humidity)


def test_impossible_air_is_refused():
    with pytest.raises(SteamError, match="-10 to 60"):
        Air(temperature=75.0)
    with pytest.raises(SteamError, match="above zero"):
        Air(draught=0.0)
