"""Springback identities of elementary beam theory, in the thin limit and beyond it.

Trade rule y = x / n^2 (a resin maker's note quoted in the Pianotech list, 26 Feb 2003;
the same in the Wooden Boat and Fine Woodworking forums) and its derivation: free strips
hold ``kappa sum(E I_i)``, glued they give way with ``sum E (I + A (z - zbar)^2)``. The
figures per layup below follow from that by arithmetic, to the digits kept.

These hold for thin stacks only; they are tested at depth / radius 1e-6, where the curved
theory must meet them to 1e-5. The figures at 1/20 and 1/5 were computed by a prototype of
the same curved equations: they check the code, not the theory.
"""

import math
from itertools import permutations

import numpy as np
import pytest

from overbend.bend import Layup, Ply, form_for, release, release_fraction
from overbend.curve.core import Curve, Piece

# n, s, R_final / R_form, R_form / R_final, what a 90 degree arc relaxes to
TABLE = [
    (2, 0.2500, 1.3333, 0.7500, 67.50),
    (3, 0.1111, 1.1250, 0.8889, 80.00),
    (4, 0.0625, 1.0667, 0.9375, 84.38),
    (5, 0.0400, 1.0417, 0.9600, 86.40),
    (6, 0.0278, 1.0286, 0.9722, 87.50),
    (7, 0.0204, 1.0208, 0.9796, 88.16),
    (8, 0.0156, 1.0159, 0.9844, 88.59),
    (10, 0.0100, 1.0101, 0.9900, 89.10),
    (12, 0.0069, 1.0070, 0.9931, 89.38),
    (16, 0.0039, 1.0039, 0.9961, 89.65),
]
THIN = 1e-6


def stack(thicknesses, moduli=None):
    moduli = moduli or [11000.0] * len(thicknesses)
    return Layup(tuple(map(Ply, thicknesses, moduli)))


def fraction(layup, depth_over_radius=THIN):
    return float(release_fraction(layup, depth_over_radius / layup.depth))


@pytest.mark.parametrize(("n", "s", "grows", "shrinks", "angle"), TABLE)
def test_like_plies_lose_one_over_n_squared(n, s, grows, shrinks, angle):
    layup = Layup.equal(n, 3.0, 11000.0)
    w = fraction(layup)
    assert w == pytest.approx(1 / n**2, rel=1e-5)
    assert w == pytest.approx(s, abs=5.1e-5)
    R = layup.depth / THIN
    quarter = Curve((Piece(R * math.pi / 2, 1 / R, 1 / R),))
    off = release(layup, quarter)
    assert 1 / off.pieces[0].kappa0 / R == pytest.approx(grows, abs=5.1e-5)
    assert math.degrees(off.turn) == pytest.approx(angle, abs=0.0051)
    form = form_for(layup, quarter)
    assert 1 / form.pieces[0].kappa0 / R == pytest.approx(shrinks, abs=5.1e-5)


@pytest.mark.parametrize("n", [2, 4, 9])
@pytest.mark.parametrize("thickness", [0.6, 3.0, 12.0])
@pytest.mark.parametrize("modulus", [4000.0, 16000.0])
def test_thickness_modulus_and_radius_do_not_matter(n, thickness, modulus):
    layup = Layup.equal(n, thickness, modulus)
    for ratio in (THIN, 1e-4, -1e-3):
        assert fraction(layup, ratio) == pytest.approx(1 / n**2, rel=1e-5)


@pytest.mark.parametrize(
    ("layup", "s", "within"),
    [
        (stack([3, 3, 6]), 0.15625, 1e-6),
        (stack([2, 4, 2]), 0.15625, 1e-6),
        (stack([1, 3, 3, 1], [13000, 10900, 10900, 13000]), 0.0991, 5e-5),
        (stack([2, 2, 2, 2], [10900, 10900, 10900, 10300]), 0.0632, 5e-5),
        (stack([2, 2, 2, 2], [10300, 10900, 10900, 10900]), 0.0632, 5e-5),
    ],
)
def test_unequal_layups_in_the_thin_limit(layup, s, within):
    assert fraction(layup) == pytest.approx(s, abs=within)


def test_order_does_not_matter_to_like_moduli_in_the_thin_limit():
    found = [fraction(stack(list(order))) for order in permutations([2.0, 3.0, 5.0, 1.5])]
    expected = (2**3 + 3**3 + 5**3 + 1.5**3) / 11.5**3
    np.testing.assert_allclose(found, expected, rtol=1e-5)


def test_order_does_matter_on_a_real_radius():
    """Prototype figures: 3/3/6 counted from the inside and from the outside."""
    inside_out = stack([3, 3, 6]).reversed
    for ratio, thin_inside, thick_inside in ((1 / 20, 0.15508, 0.15743), (1 / 5, 0.15164, 0.16103)):
        assert fraction(inside_out, ratio) == pytest.approx(thin_inside, abs=5.1e-6)
        assert fraction(inside_out.reversed, ratio) == pytest.approx(thick_inside, abs=5.1e-6)


def test_like_plies_on_a_real_radius():
    """Prototype figures: n^2 w of four like plies."""
    layup = Layup.equal(4, 3.0, 11000.0)
    for ratio, factor, digits in (
        (1 / 20, 1.00004, 1e-5),
        (1 / 10, 1.0002, 1e-4),
        (1 / 5, 1.0006, 1e-4),
    ):
        assert 16 * fraction(layup, ratio) == pytest.approx(factor, abs=digits)


@pytest.mark.parametrize("phi", [0.0, 0.35, 0.9])
@pytest.mark.parametrize("ratio", [THIN, 1 / 20, 1 / 5])
def test_one_ply_loses_what_it_has_not_set(phi, ratio):
    assert fraction(Layup((Ply(9.0, 10000.0, phi),)), ratio) == pytest.approx(1 - phi, rel=1e-9)


def test_set_lowers_the_loss_in_proportion():
    for phi in (0.2, 0.8):
        layup = Layup.equal(5, 3.0, 11000.0, phi)
        assert fraction(layup) == pytest.approx((1 - phi) / 25, rel=1e-5)


def test_a_middle_modulus_lies_between_its_extremes():
    mixed = fraction(stack([2, 3, 4], [9000, 12000, 15000]))
    alike = fraction(stack([2, 3, 4]))
    assert abs(mixed / alike - 1) < 0.35
    assert mixed != pytest.approx(alike, rel=1e-3)
