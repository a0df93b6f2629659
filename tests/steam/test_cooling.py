"""Cooling and the working window: balance, convergence, order, refusals, speed."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overbend.errors import SteamError
from overbend.steam.air import Air
from overbend.steam.cooling import cool, working_window
from overbend.steam.section import Section
from overbend.wood.thermal import ThermalWood
from support.pace import quiet_seconds

OAK = ThermalWood(0.56, 20.0)
STRIP, BUNDLE = Section(50.0, 3.0), Section(50.0, 27.0)
SURFACES = [None, 1.0]


@pytest.mark.parametrize("activity", SURFACES)
@pytest.mark.parametrize("section", [STRIP, Section(25.0, 25.0), BUNDLE, Section(18.0, 40.0)])
def test_the_energy_balance_closes_by_an_independent_quadrature(section, activity):
    curve = cool(section, OAK, activity=activity)
    for share in (0.3, 1.0):
        end = share * curve.times[-1]
        t = end * np.linspace(0.0, 1.0, 4001) ** 3
        flow = curve.heat_flow.at(t)
        out = float((0.5 * (flow[1:] + flow[:-1]) * np.diff(t)).sum())
        lost = curve.heat[0] - np.interp(end, curve.times, curve.heat)
        assert out == pytest.approx(lost, rel=0.01 if share == 1.0 else 0.05)


@pytest.mark.parametrize("activity", SURFACES)
@pytest.mark.parametrize("section", [STRIP, Section(50.0, 25.0)])
def test_the_mesh_has_converged(section, activity):
    def found(cells):
        curve = cool(section, OAK, activity=activity, cells=cells, tolerance=0.01)
        return np.array([curve.mean_time, curve.layer_time])

    coarse, usual, fine = found(6), found(12), found(20)
    assert usual == pytest.approx(fine, rel=0.015)
    assert (np.abs(usual - fine) <= np.abs(coarse - fine) + 1e-3 * fine).all()


@pytest.mark.parametrize("activity", SURFACES)
def test_the_time_steps_have_converged(activity):
    usual = cool(BUNDLE, OAK, activity=activity)
    fine = cool(BUNDLE, OAK, activity=activity, tolerance=0.001)
    assert usual.mean_time == pytest.approx(fine.mean_time, rel=1e-3)
    assert usual.layer_time == pytest.approx(fine.layer_time, rel=5e-3)


@given(
    width=st.floats(10.0, 80.0),
    thickness=st.floats(1.5, 45.0),
    activity=st.sampled_from([None, 0.7, 1.0]),
    start=st.floats(85.0, 100.0),
)
@settings(max_examples=20, deadline=None)
def test_layer_mean_core_in_that_order(width, thickness, activity, start):
    curve = cool(Section(width, thickness), OAK, activity=activity, start=start)
    surface, layer = curve.surface.values, curve.layer.values
    mean, core = curve.mean.values, curve.core.values
    assert (mean <= core + 0.1).all()
    assert (layer <= mean + 1e-6).all()
    assert (layer[:-1] <= start + 1e-6).all()
    assert (surface[1:] <= core[1:] + 0.1).all()
    assert (np.diff(mean) < 0.0).all()
    assert 0.0 < curve.window <= curve.mean_time


@given(thickness=st.floats(2.0, 30.0), start=st.floats(84.0, 100.0))
@settings(max_examples=12, deadline=None)
def test_the_pair_is_in_order_and_the_printed_figure_is_the_low_one(thickness, start):
    window = working_window(Section(44.0, thickness), OAK, start=start)
    assert window.low < window.high
    assert window.seconds == math.floor(window.low)
    assert window.governed == "convex face"


def test_what_lengthens_and_what_shortens_the_window():
    base = working_window(BUNDLE, OAK)
    assert working_window(STRIP, OAK).high < base.high
    assert working_window(BUNDLE, OAK, air=Air(draught=2.0)).high < base.high
    assert working_window(BUNDLE, OAK, air=Air(temperature=38.0)).high > base.high
    assert working_window(BUNDLE, OAK, softening=70.0).high > base.high
    assert working_window(BUNDLE, OAK, activity=0.8).low > base.low
    assert working_window(STRIP, OAK, warm_form=True).high > working_window(STRIP, OAK).high


def test_a_warm_form_is_a_plane_of_symmetry():
    doubled = cool(Section(50.0, 20.0), OAK)
    on_form = cool(Section(50.0, 10.0), OAK, warm_form=True)
    assert on_form.mean_time == pytest.approx(doubled.mean_time, rel=2e-3)
    assert on_form.heat[0] == pytest.approx(0.5 * doubled.heat[0])
    assert on_form.heat_flow.at(30.0) == pytest.approx(0.5 * doubled.heat_flow.at(30.0), rel=0.01)


def test_another_softening_temperature_is_read_off_the_same_curve():
    curve = cool(BUNDLE, OAK)
    for softening in (90.0, 80.0, 72.0):
        own = cool(BUNDLE, OAK, softening=softening).window
        assert curve.window_at(softening) == pytest.approx(own, rel=5e-3)
    assert curve.window_at(99.0) == 0.0


def test_a_piece_colder_than_softening_has_no_window():
    window = working_window(STRIP, OAK, start=76.0)
    assert (window.low, window.high, window.seconds) == (0.0, 0.0, 0)
    assert window.governed == "box"


def test_hot_air_lets_the_window_stay_open():
    window = working_window(STRIP, OAK, air=Air(temperature=60.0), softening=58.0)
    assert math.isinf(window.high)


# Film of water that must be there for the wet bound to last until the mean is at 80 C, mm, of
# an independent prototype that put all the lost heat into evaporation.
@pytest.mark.parametrize(
    ("section", "film"), [(STRIP, 0.018), (Section(25.0, 25.0), 0.07), (BUNDLE, 0.10)]
)
def test_the_wet_bound_needs_a_film_of_water(section, film):
    curve = cool(section, OAK, activity=1.0)
    assert curve.water_film(curve.mean_time) == pytest.approx(film, rel=0.15)
    assert cool(section, OAK).water_film(40.0) == 0.0


def test_no_vented_box_gives_a_hotter_piece():
    with pytest.raises(SteamError, match="vented box"):
        cool(STRIP, OAK, start=120.0)
    with pytest.raises(SteamError, match="activity"):
        cool(STRIP, OAK, activity=1.2)


@pytest.mark.parametrize("activity", SURFACES)
def test_one_curve_within_twenty_milliseconds(activity):
    cool(BUNDLE, OAK, activity=activity)
    assert quiet_seconds(lambda: cool(BUNDLE, OAK, activity=activity), 5) < 0.020
