"""The section's sums against the same equations written in radii, at high precision."""

import mpmath
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overbend.bend import Layup, Ply
from overbend.bend.section import atanh_excess, layup_section

UNEQUAL = Layup((Ply(2.0, 12e3, 0.1), Ply(3.0, 8e3, 0.5), Ply(4.0, 14e3, 0.0), Ply(3.5, 9e3, 0.9)))


def in_radii(layup, kappa, kappa_set=None):
    """w kappa and neutral radius from radii, 50 digits."""
    with mpmath.workdps(50):
        m0, area, logs, arms = (mpmath.mpf(0) for _ in range(4))
        for ply, z in zip(layup.plies, layup.z, strict=True):
            t, E = mpmath.mpf(ply.thickness), mpmath.mpf(ply.modulus)
            gap, middle, log = own_radii(t, z, kappa)
            gap_set = gap if kappa_set is None else own_radii(t, z, kappa_set)[0]
            m0 += E * t * (gap - ply.set_fraction * gap_set)
            area, logs, arms = area + E * t, logs + E * log, arms + E * t * middle
        neutral = area / logs
        K = area * (arms / area - neutral)
        return float(m0 / K * kappa), float(neutral)


def own_radii(t, z, kappa):
    """``r_c - r_n``, ``r_c`` and ``ln(r_o / r_i)`` of one ply."""
    if kappa == 0:
        return mpmath.mpf(0), mpmath.inf, mpmath.mpf(0)
    middle = 1 / mpmath.mpf(kappa) - mpmath.mpf(z)
    log = mpmath.log((middle + t / 2) / (middle - t / 2))
    return middle - t / log, middle, log


@pytest.mark.parametrize("radius", [30.0, 80.0, -80.0, 250.0, -3000.0, 1e6])
@pytest.mark.parametrize("kappa_set", [None, 0.011, -0.004])
def test_sums_agree_with_radii(radius, kappa_set):
    at = layup_section(
        UNEQUAL,
        np.array(1 / radius),
        None if kappa_set is None else np.array(kappa_set),
    )
    lost, neutral = in_radii(UNEQUAL, 1 / radius, kappa_set)
    assert float(at.lost) == pytest.approx(lost, rel=1e-12)
    assert radius - float(at.shift) == pytest.approx(neutral, rel=1e-13)


def test_straight_limit_is_the_glued_beam():
    at = layup_section(UNEQUAL, np.array(0.0))
    t, E, z = UNEQUAL.thickness, UNEQUAL.modulus, UNEQUAL.z
    middle = (E * t * z).sum() / (E * t).sum()
    straight = (E * (t**3 / 12 + t * (z - middle) ** 2)).sum()
    assert float(at.stiffness) == pytest.approx(straight, rel=1e-14)
    assert float(at.shift) == pytest.approx(middle, rel=1e-14)
    assert float(at.moment) == 0.0


@given(
    st.lists(st.tuples(st.floats(0.5, 12), st.floats(3e3, 2e4)), min_size=1, max_size=9),
    st.floats(-0.19, 0.19),
)
def test_the_curve_is_smooth_through_zero_and_turned_over_gives_the_same(plies, depth_over_r):
    layup = Layup(tuple(Ply(t, E) for t, E in plies))
    kappa = np.array(depth_over_r / layup.depth)
    here, over = layup_section(layup, kappa), layup_section(layup.reversed, -kappa)
    assert float(over.stiffness) == pytest.approx(float(here.stiffness), rel=1e-11)
    assert float(over.shift) == pytest.approx(-float(here.shift), rel=1e-9, abs=1e-10)
    assert float(over.moment) == pytest.approx(-float(here.moment), rel=1e-11, abs=1e-300)
    tiny = layup_section(layup, np.array([-1e-12, 0.0, 1e-12]) / layup.depth)
    assert np.ptp(tiny.stiffness) <= 1e-10 * tiny.stiffness[1]


@pytest.mark.parametrize("x", [0.0, 1e-9, 0.0199, 0.0201, 0.199, -0.201, 0.7, -0.99])
def test_series_and_closed_form_meet(x):
    with mpmath.workdps(60):
        y = mpmath.mpf(x) if x else mpmath.mpf(1e-20)
        exact = float((mpmath.atanh(y) / y - 1) / y**2)
    alone = float(atanh_excess(np.array([x]))[0])
    among = float(atanh_excess(np.array([x, 0.9]))[0])
    assert alone == pytest.approx(exact, rel=1e-12)
    assert among == pytest.approx(exact, rel=1e-12)
