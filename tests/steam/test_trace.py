"""Traces: cubics between known values and rates."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overbend.steam.trace import Trace

TIMES = np.array([0.0, 0.5, 2.0, 3.0])


def cubic(c):
    poly = np.polynomial.Polynomial(c)
    return poly, Trace(TIMES, poly(TIMES), poly.deriv()(TIMES))


@given(c=st.lists(st.floats(-3, 3), min_size=4, max_size=4))
def test_a_cubic_is_met_exactly_and_integrated_exactly(c):
    poly, trace = cubic(c)
    t = np.linspace(0.0, 3.0, 31)
    assert trace.at(t) == pytest.approx(poly(t), abs=1e-9)
    whole = poly.integ()
    assert trace.integral() == pytest.approx(whole(TIMES) - whole(0.0), abs=1e-9)


def test_values_hold_outside_the_times():
    _, trace = cubic([1.0, 2.0])
    assert trace.at([-5.0, 9.0]).tolist() == [1.0, 7.0]


def test_when_finds_the_first_crossing_from_either_side():
    _, rise = cubic([-1.0, 0.0, 1.0])
    _, fall = cubic([1.0, 0.0, -1.0])
    assert rise.when(0.0) == pytest.approx(1.0, abs=1e-9)
    assert fall.when(0.0) == pytest.approx(1.0, abs=1e-9)
    assert rise.when(-1.0) == 0.0
    assert math.isinf(rise.when(8.5))
    assert math.isinf(rise.when(-1.5))
