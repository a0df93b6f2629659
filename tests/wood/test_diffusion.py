"""Diffusion across the grain: the form, its range and what the range covers."""

import doctest
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overbend.errors import WoodError
from overbend.wood import diffusion
from overbend.wood.diffusion import DOUBT, transverse_diffusion


def test_doctests():
    assert doctest.testmod(diffusion).failed == 0


def test_the_form_by_hand():
    wall = 7e-6 * math.exp(-(38500 - 290 * 9) / (8.314 * (31 + 273.15)))
    a = math.sqrt(1 - 0.62 * (0.667 + 0.09))
    found = transverse_diffusion(31.0, 9.0, 0.62)
    assert found.mid == pytest.approx(wall / ((1 - a) * (1 - a * a)))
    assert (found.low, found.high) == pytest.approx((found.mid / DOUBT, found.mid * DOUBT))


@given(st.floats(-20, 120), st.floats(-20, 120), st.floats(0, 30), st.floats(0.2, 1.0))
def test_warmer_is_quicker(one, other, moisture, gravity):
    cold, warm = sorted((one, other))
    slow, quick = (transverse_diffusion(t, moisture, gravity).mid for t in (cold, warm))
    assert 0 < slow <= quick


@given(st.floats(-20, 120), st.floats(0, 60), st.floats(0.2, 0.9))
def test_denser_wood_is_slower(temperature, moisture, gravity):
    light, heavy = (transverse_diffusion(temperature, moisture, g).mid
                    for g in (gravity, gravity + 0.1))  # fmt: skip
    assert heavy < light


@pytest.mark.parametrize("temperature", [20.0, 43.0, 60.0])
def test_the_range_holds_both_reports(temperature):
    at_12 = transverse_diffusion(temperature, 12.0, 0.55).mid
    for moisture in np.linspace(3.0, 20.0, 35):
        low, _, high = transverse_diffusion(temperature, float(moisture), 0.55)
        eightfold = at_12 * 8 ** ((moisture - 12.0) / (18.0 - 2.5))
        assert low <= at_12 <= high
        assert low <= eightfold <= high


def test_arrays_and_scalars_agree():
    moisture = np.array([4.0, 12.0, 29.0, 30.0, 75.0])
    found = transverse_diffusion(35.0, moisture, 0.58)
    assert found.mid == pytest.approx([transverse_diffusion(35.0, float(m), 0.58).mid
                                       for m in moisture])  # fmt: skip
    assert found.mid[4] == found.mid[3]
    warm = transverse_diffusion(np.array([20.0, 30.0, 40.0, 50.0, 60.0]), moisture, 0.58)
    assert warm.high.shape == (5,)


@pytest.mark.parametrize(
    "wrong", [(20.0, -1.0, 0.5), (130.0, 10.0, 0.5), (-30.0, 10.0, 0.5), (20.0, 10.0, 1.2),
              (20.0, 10.0, float("nan"))]
)  # fmt: skip
def test_what_is_refused(wrong):
    with pytest.raises(WoodError) as caught:
        transverse_diffusion(*wrong)
    assert caught.value.allowed
