"""Positions along easements against Fresnel's integrals, wherever few or many nodes are used."""

import math

import numpy as np
import pytest
from scipy.special import fresnel

from overbend.curve import Curve, Piece


def on_spiral(length, k0, k1, u):
    """Place u along an easement that leaves the origin along x, in closed form."""
    rate = (k1 - k0) / length
    sign, scale = math.copysign(1.0, rate), math.sqrt(math.pi / abs(rate))
    begin, at = k0 / rate, k0 / rate + np.asarray(u)

    def place(s):
        y, x = fresnel(s / scale)
        return scale * (x + 1j * sign * y)

    turn = -0.5 * rate * begin**2
    moved = (place(at) - place(begin)) * np.exp(1j * turn)
    return np.stack([moved.real, moved.imag], axis=-1)


@pytest.mark.parametrize(
    ("length", "k0", "k1"),
    [
        (137.0, 0.0, 0.0014),  # turns 0.096: few nodes
        (137.0, -0.0007, 0.0007),  # turns back and forth
        (520.0, 0.0004, 0.0019),  # turns 0.6: two panels of many nodes
        (730.0, -0.006, 0.009),  # several panels, through straight
        (260.0, 0.021, 0.002),
    ],
)
def test_an_easement_goes_where_fresnel_says(length, k0, k1):
    curve = Curve((Piece(length, k0, k1),))
    u = np.linspace(0.0, length, 41)
    miss = np.abs(curve.point(u) - on_spiral(length, k0, k1, u)).max()
    assert miss < 1e-12 * length / min(1.0, 1e2 * abs(k1 - k0))  # what the closed form keeps


def test_a_moved_curve_is_the_same_curve_elsewhere():
    curve = Curve((Piece(90.0, 0.0, 0.004), Piece(70.0, 0.004, 0.004)), stations={"rail": 31.0})
    curve.point(80.0)  # what is known of a curve by now must not stay behind with the copy
    moved = curve.moved(12.0, -5.0, 0.7)
    fresh = Curve(curve.pieces, moved.start, moved.heading, {"rail": 31.0})
    s = curve.grid(7.0)
    assert moved.point(s) == pytest.approx(fresh.point(s), abs=1e-12)
    assert moved.angle(s) == pytest.approx(curve.angle(s) + 0.7, abs=1e-12)
    assert moved == fresh
    assert curve.start == (0.0, 0.0)
