"""Moisture in and out: the series, D that depends on moisture, ranges, refusals."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import erfc

from overbend.errors import SteamError
from overbend.steam.drying import (
    Diffusion,
    change_fraction,
    drying_days,
    moisture_after,
    moisture_time,
    setting_days,
    uptake,
    wetting_days,
)

D = 4e-5  # mm2/s
DAY = 86400.0
DOUBT = Diffusion.about(D, "from memory")


def early_fraction(fourier):
    """The same share by the series for short times, in reflections of the error function."""
    root = math.sqrt(4.0 * fourier)  # D t over half the thickness, squared
    n = np.arange(1, 60)
    x = n / root
    ierfc = np.exp(-x * x) / math.sqrt(math.pi) - x * erfc(x)
    return 2.0 * root * (1.0 / math.sqrt(math.pi) + 2.0 * float(((-1.0) ** n * ierfc).sum()))


@given(fourier=st.floats(1e-4, 0.6))
def test_the_share_agrees_with_the_series_for_short_times(fourier):
    assert change_fraction(fourier) == pytest.approx(early_fraction(fourier), abs=2e-3)
    if fourier > 1e-3:
        assert change_fraction(fourier) == pytest.approx(early_fraction(fourier), abs=1e-6)


def test_nine_tenths_take_0212_of_the_square_over_the_coefficient():
    L = 6.5
    seconds = moisture_time(L, 20.0, 9.2, 8.0, D)
    assert seconds == pytest.approx(0.212 * L**2 / D, rel=2e-3)


@given(start=st.floats(14.0, 28.0), target=st.floats(8.5, 13.5), L=st.floats(1.0, 30.0))
def test_time_and_moisture_are_each_others_inverse(start, target, L):
    for place in ("mean", "middle"):
        seconds = moisture_time(L, start, target, 8.0, D, place=place)
        back = moisture_after(L, start, seconds, 8.0, D, place=place)
        assert back == pytest.approx(target, abs=1e-6)


def test_one_open_face_takes_four_times_as_long():
    two = moisture_time(5.0, 18.0, 10.0, 8.0, D)
    one = moisture_time(5.0, 18.0, 10.0, 8.0, D, faces=1)
    assert one == pytest.approx(4.0 * two)


@pytest.mark.parametrize("place", ["mean", "middle"])
@pytest.mark.parametrize("faces", [1, 2])
def test_a_coefficient_that_does_not_change_meets_the_series(place, faces):
    def flat(T, M):
        return np.full_like(M, D)

    at = {"place": place, "faces": faces}
    assert moisture_time(7.0, 22.0, 11.0, 8.0, flat, **at) == pytest.approx(
        moisture_time(7.0, 22.0, 11.0, 8.0, D, **at), rel=5e-3
    )
    assert moisture_after(7.0, 10.0, DAY, 30.0, flat, **at) == pytest.approx(
        moisture_after(7.0, 10.0, DAY, 30.0, D, **at), abs=0.05
    )


def explicit(L, start, surface, law, seconds, n=80):
    """Mean moisture by plain explicit steps on nodes, nothing shared with the package."""
    x = np.linspace(0.0, L, n + 1)
    dx = x[1]
    M = np.full(n + 1, start)
    M[[0, -1]] = surface
    dt = 0.4 * dx**2 / float(law(20.0, np.linspace(0, 30, 50)).max())
    for _ in range(math.ceil(seconds / dt)):
        between = law(20.0, 0.5 * (M[1:] + M[:-1]))
        flux = between * np.diff(M) / dx
        M[1:-1] += seconds / math.ceil(seconds / dt) * np.diff(flux) / dx
    return float(np.sum(0.5 * (M[1:] + M[:-1])) / n)


@pytest.mark.parametrize(("start", "surface"), [(24.0, 7.0), (8.0, 26.0)])
def test_a_coefficient_that_rises_with_moisture_meets_plain_steps(start, surface):
    def law(T, M):
        return 2e-5 * np.exp(0.08 * np.asarray(M, float))

    seconds = 0.8 * DAY
    mean = explicit(4.0, start, surface, law, seconds)
    assert moisture_after(4.0, start, seconds, surface, law) == pytest.approx(mean, abs=0.1)
    assert moisture_time(4.0, start, mean, surface, law) == pytest.approx(seconds, rel=0.02)


def test_a_range_of_days_is_in_order_and_scales_with_the_square():
    thin = drying_days(3.0, 20.0, 9.0, 8.0, DOUBT)
    thick = drying_days(6.0, 20.0, 9.0, 8.0, DOUBT)
    assert thin.low < thin.mid < thin.high
    assert thick.mid == pytest.approx(4.0 * thin.mid)
    assert thin.high == pytest.approx(2.5 * thin.mid)
    assert thin.reason == ""


def test_air_too_damp_is_a_reason_and_not_an_error():
    never = drying_days(3.0, 20.0, 9.0, 9.0, DOUBT)
    assert math.isinf(never.low)
    assert "never brings it to 9 %" in never.reason
    assert math.isinf(moisture_time(3.0, 9.0, 7.0, 9.0, D))


def test_as_dry_already_takes_no_time():
    assert drying_days(3.0, 8.0, 9.0, 12.0, DOUBT).high == 0.0
    assert moisture_time(3.0, 9.0, 9.0, 6.0, D) == 0.0
    assert setting_days(3.0, 10.0, 9.0, DOUBT).mid == 0.0


def test_setting_on_the_form_has_one_face_open():
    on_form = setting_days(6.0, 20.0, 9.0, DOUBT, margin=2.0)
    free = drying_days(6.0, 20.0, 11.0, 9.0, DOUBT)
    assert on_form.mid == pytest.approx(4.0 * free.mid)


@given(L=st.floats(2.0, 40.0), minutes=st.floats(1.0, 600.0), start=st.floats(6.0, 25.0))
@settings(max_examples=30)
def test_uptake_is_a_range_between_dry_and_full(L, minutes, start):
    wet = uptake(L, start, 60.0 * minutes, Diffusion.about(6e-4, "from memory"))
    assert start <= wet.low <= wet.mid <= wet.high <= 30.0
    assert start - 1e-6 <= wet.middle[0] <= wet.middle[1] + 1e-6 <= wet.high + 2e-6


def test_soaking_to_a_bending_moisture():
    soak = wetting_days(6.0, 8.0, 18.0, DOUBT)
    assert soak.mid * DAY == pytest.approx(moisture_time(6.0, 8.0, 18.0, 30.0, D))
    assert soak.low < soak.mid < soak.high
    assert wetting_days(6.0, 18.0, 16.0, DOUBT).high == 0.0
    full = wetting_days(6.0, 8.0, 26.0, DOUBT, surface=25.0)
    assert math.isinf(full.mid)
    assert "never bring it to 26 %" in full.reason


def test_the_coefficients_of_the_wood_layer_fit_in():
    range_ = Diffusion.of_wood(0.55)
    warm = drying_days(3.0, 20.0, 10.0, 8.0, range_, temperature=38.0)
    cool = drying_days(3.0, 20.0, 10.0, 8.0, range_, temperature=20.0)
    assert warm.high < cool.high
    assert cool.low < cool.mid < cool.high
    assert "memory" in cool.source


@pytest.mark.parametrize("M", [-1.0, 31.0])
def test_moisture_over_fibre_saturation_is_refused(M):
    with pytest.raises(SteamError, match="fibre saturation"):
        moisture_time(3.0, M, 9.0, 8.0, D)


def test_other_things_refused():
    with pytest.raises(SteamError, match="1 or 2"):
        moisture_time(3.0, 20.0, 9.0, 8.0, D, faces=3)
    with pytest.raises(SteamError, match="thickness"):
        moisture_after(0.0, 20.0, 9.0, 8.0, D)
    with pytest.raises(SteamError, match="diffusion coefficient"):
        moisture_time(3.0, 20.0, 9.0, 8.0, 0.0)
    with pytest.raises(SteamError, match="not above zero at every moisture"):
        moisture_time(3.0, 20.0, 9.0, 8.0, lambda _, M: M - 10.0)
