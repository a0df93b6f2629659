"""Heating in the box: order, bounds, bands, refusals, speed."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overbend.errors import SteamError
from overbend.steam.heating import heat, heated_section, heating_band
from overbend.steam.section import Section
from overbend.wood.thermal import ThermalWood
from support.pace import quiet_seconds

OAK = ThermalWood(0.56, 20.0)
STRIP = Section(50.0, 3.0)

# Minutes from 20 C to a core of 90 C in steam of 100 C, gravity 0.56, moisture 20 %, film from
# none to 150 W/(m2 K): ranges of an independent prototype with properties at mean temperature,
# printed to half a minute; a heat capacity that rises with temperature takes about 3 % longer.
PROTOTYPE = [(50, 3, 0.3, 0.8), (50, 6, 1.2, 2.2), (25, 25, 11.0, 13.5), (50, 25, 18.0, 21.0)]


def minutes(section, film, wood=OAK, target=90.0):
    return heat(section, wood, steam=100.0, film=film, until=target).time_to_core(target) / 60.0


@pytest.mark.parametrize("row", PROTOTYPE)
def test_times_of_the_prototype(row):
    width, thickness, quick, slow = row
    section = Section(width, thickness)
    half_digit = 0.05 if slow < 3.0 else 0.5
    assert minutes(section, math.inf) == pytest.approx(1.03 * quick, rel=0.05, abs=half_digit)
    assert minutes(section, 150.0) == pytest.approx(1.03 * slow, rel=0.05, abs=half_digit)


@given(
    width=st.floats(8.0, 90.0),
    thickness=st.floats(1.0, 60.0),
    film=st.sampled_from([80.0, 300.0, math.inf]),
    M=st.floats(4.0, 30.0),
)
@settings(max_examples=20, deadline=None)
def test_the_core_lags_the_mean_and_the_surface(width, thickness, film, M):
    curve = heat(Section(width, thickness), ThermalWood(0.5, M), film=film)
    core, mean, surface = curve.core.values, curve.mean.values, curve.surface.values
    assert (core <= mean + 0.1).all()
    assert (core <= surface + 0.1).all()
    assert (surface <= 98.0 + 1e-9).all()
    assert (np.diff(mean) > 0.0).all()
    assert core[-1] == pytest.approx(98.0, abs=2.0)


@given(thickness=st.floats(2.0, 40.0), more=st.floats(1.05, 2.0))
@settings(max_examples=15, deadline=None)
def test_thicker_takes_longer_and_less_than_the_square(thickness, more):
    thin, thick = Section(45.0, thickness), Section(45.0, thickness * more)
    ratio = minutes(thick, 300.0) / minutes(thin, 300.0)
    assert 1.0 < ratio < more**2


def test_strips_on_stickers_heat_alone_and_without_as_one():
    alone = heated_section(STRIP, 9, stickers=True)
    solid = heated_section(STRIP, 9, stickers=False)
    assert alone == STRIP
    assert solid == Section(50.0, 27.0)
    assert minutes(solid, 300.0) > 30.0 * minutes(alone, 300.0)


def test_which_side_is_called_width_does_not_matter():
    assert minutes(Section(50.0, 20.0), 300.0) == pytest.approx(
        minutes(Section(20.0, 50.0), 300.0), rel=2e-3
    )


def test_a_band_holds_its_middle_and_names_its_moistures():
    band = heating_band(Section(42.0, 24.0), ThermalWood(0.6, 28.0), 88.0)
    assert band.low < band.mid < band.high
    assert band.moistures == (23.0, 28.0, 30.0)
    assert band.quick.film == math.inf
    assert band.slow.film == 150.0


def test_no_doubt_is_no_band():
    band = heating_band(STRIP, OAK, 90.0, films=(300.0, 300.0), moisture_doubt=0.0)
    assert band.low == band.mid == band.high


def test_thin_strips_are_ruled_by_the_film():
    thin = minutes(STRIP, 150.0) / minutes(STRIP, math.inf)
    thick = minutes(Section(50.0, 25.0), 150.0) / minutes(Section(50.0, 25.0), math.inf)
    assert thin > 2.0
    assert thick < 1.25


def test_a_box_colder_than_the_target_is_refused():
    with pytest.raises(SteamError, match=r"steam box: a box of 88 C cannot bring wood to 90 C"):
        heating_band(STRIP, OAK, 90.0, steam=88.0)
    with pytest.raises(SteamError, match="hotter than the wood"):
        heat(STRIP, OAK, start=30.0, steam=25.0)
    with pytest.raises(SteamError, match="film"):
        heat(STRIP, OAK, film=0.0)


def test_a_target_past_the_curve_says_so():
    curve = heat(STRIP, OAK, until=70.0)
    with pytest.raises(SteamError, match="beyond this curve"):
        curve.time_to_core(95.0)
    assert curve.time_to_core(15.0) == 0.0


def test_a_target_just_under_the_steam_is_reached():
    curve = heat(Section(30.0, 9.0), OAK, steam=98.0, until=97.95)
    assert math.isfinite(curve.time_to_core(97.95))


def test_one_curve_within_five_milliseconds():
    section = Section(50.0, 25.0)
    heat(section, OAK)
    assert quiet_seconds(lambda: heat(section, OAK, until=90.0)) < 0.005
