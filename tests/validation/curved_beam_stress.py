"""Stress in curved members against exact elasticity and the usual radial-stress rule.

* ``3 M / (2 R b h)``: the rule of timber codes (AWC 2001 supplement GL-11; EN 1995-1-1
  eq. 6.54 with alpha = 0). Wilson's rule errs by 1.6 % at R = 3 h; 1 % covers R >= 5 h.
* Pure bending of a ring sector: Golovin's exact isotropic solution, computed here.
  Integrating Winkler's stress leaves it by under 0.1 % to depth / radius 1/6.
* Face stress and neutral radius of three rectangular sections: our own evaluation of
  Winkler's closed form for one material, to the digits kept.
"""

import numpy as np
import pytest

from overbend.bend import Layup, Ply, radial_from_load, stress_from_load

SECTIONS = [
    # width, depth, radius [mm], moment [N mm], inside and outside face [MPa]
    (25.0, 20.0, 400.0, 60e3, 36.6092, 35.4088),
    (30.0, 25.0, 300.0, 100e3, 32.9121, 31.1324),
    (30.0, 25.0, 150.0, 100e3, 33.8746, 30.3042),
]


def golovin(radius, depth, moment, r):
    """Radial stress from an opening moment per width on an isotropic ring sector."""
    a, b = radius - depth / 2, radius + depth / 2
    log = np.log(b / a)
    N = (b**2 - a**2) ** 2 - 4 * a**2 * b**2 * log**2
    terms = a**2 * b**2 / r**2 * log + b**2 * np.log(r / b) + a**2 * np.log(a / r)
    return -4 * moment / N * terms


@pytest.mark.parametrize(("width", "depth", "radius", "moment", "inside", "outside"), SECTIONS)
def test_winkler_face_stress(width, depth, radius, moment, inside, outside):
    faces = stress_from_load(Layup((Ply(depth, 9e3),)), 1 / radius, moment / width)[0]
    assert faces[1] == pytest.approx(inside, abs=5e-5)
    assert -faces[0] == pytest.approx(outside, abs=5e-5)


@pytest.mark.parametrize(("width", "depth", "radius", "moment"), [row[:4] for row in SECTIONS])
def test_radial_stress_of_one_material(width, depth, radius, moment):
    z, radial = radial_from_load(Layup((Ply(depth, 9e3),)), 1 / radius, moment / width)
    exact = golovin(radius, depth, moment / width, radius - z)
    np.testing.assert_allclose(radial, exact, atol=1e-3 * exact.max())
    rule = 3 * moment / (2 * radius * width * depth)
    assert radial.max() == pytest.approx(rule, rel=0.01)


def test_like_plies_are_one_material():
    whole = Layup((Ply(25.0, 9e3),))
    split = Layup((Ply(7.0, 9e3), Ply(3.0, 9e3), Ply(15.0, 9e3)))
    z, radial = radial_from_load(split, 1 / 150, 3333.0)
    exact = golovin(150.0, 25.0, 3333.0, 150.0 - z)
    np.testing.assert_allclose(radial, exact, atol=1e-3 * exact.max())
    inner, outer = (stress_from_load(stack, 1 / 150, 3333.0) for stack in (whole, split))
    assert outer[0, 0] == pytest.approx(inner[0, 0], rel=1e-12)
    assert outer[-1, 1] == pytest.approx(inner[0, 1], rel=1e-12)
