"""Springback as told and as measured in the trade.

* Worked rules: four plies, 1 in of bend gives 1/16 in (a resin maker's note, Pianotech
  list, 26 Feb 2003); four plies, 3 in gives 3/16 in (Wooden Boat forum). Both are the
  shallow-arc form of 1/n^2: tested on shallow arcs, 1 % on the rise lost.
* A rocker of seven 1/4 in plies, 42 in outside radius, over a 48 in chord: 2.0 % of the
  curvature; rise lost 0.145 in and chord grown 0.12 in by exact arcs (our arithmetic).
  Its maker saw "less than 1/16 in" (contributor W, woodweb.com, "Lamination and
  Springback", 6 Dec 2009): one report without a method, so it is not asserted.
* Measured: three plies of 10 mm pre-compressed beech, semicircles of R 60 cm and 40 cm
  (a manufacturer's page on springback after release from the jig): 7.7 % and 5.9 % of the
  curvature after a day, 9.1 % for both after ten days. The wood is soft and yields early
  (E 3900 N/mm2, compressed by 20 %), so a little less than the elastic 1/9 is expected:
  the prediction may exceed the ten-day figure by up to 2.1 points and not fall below it.
"""

import math

import numpy as np
import pytest

from overbend.bend import Layup, form_for, release, release_fraction
from overbend.curve.core import Curve, Piece

INCH = 25.4


def arc(radius, angle):
    return Curve((Piece(radius * angle, 1 / radius, 1 / radius),))


def arc_of_rise(rise, chord):
    radius = (chord**2 / 4 + rise**2) / (2 * rise)
    return arc(radius, 2 * math.asin(chord / 2 / radius))


def chord_and_rise(curve):
    a, b = curve.point([0.0, curve.length])
    middle = curve.point(curve.length / 2)
    return math.hypot(*(b - a)), math.hypot(*(middle - (a + b) / 2))


@pytest.mark.parametrize(("on_form", "back"), [(1.0, 1 / 16), (3.0, 3 / 16)])
def test_worked_rule_for_four_plies(on_form, back):
    """The chord is long against the rise, as the rule takes for granted."""
    form = arc_of_rise(on_form * INCH, 30 * on_form * INCH)
    released = release(Layup.equal(4, INCH / 8, 11000.0), form)
    lost = chord_and_rise(form)[1] - chord_and_rise(released)[1]
    assert lost == pytest.approx(back * INCH, rel=0.01)


def test_the_rule_turned_round_gives_the_form():
    target = arc_of_rise(3.0 * INCH, 90.0 * INCH)
    form = form_for(Layup.equal(4, INCH / 8, 11000.0), target)
    more = chord_and_rise(form)[1] - chord_and_rise(target)[1]
    assert more == pytest.approx(3.0 * INCH / 15, rel=0.01)


def test_rocker_of_seven_plies():
    depth = 7 * INCH / 4
    radius = 42 * INCH - depth / 2
    layup = Layup.equal(7, INCH / 4, 11000.0)
    assert float(release_fraction(layup, 1 / radius)) == pytest.approx(0.0204, abs=1e-4)
    on_outside = arc(42 * INCH, 2 * math.asin(24 / 42))
    released = release(layup, on_outside)
    (chord, rise), (chord_after, rise_after) = map(chord_and_rise, (on_outside, released))
    assert chord == pytest.approx(48 * INCH)
    assert (rise - rise_after) / INCH == pytest.approx(0.145, abs=0.002)
    assert (chord_after - chord) / INCH == pytest.approx(0.12, abs=0.005)


@pytest.mark.parametrize(
    ("form_cm", "day_cm", "ten_days_cm"), [(60.0, 65.0, 66.0), (40.0, 42.5, 44.0)]
)
def test_measured_semicircles(form_cm, day_cm, ten_days_cm):
    form = arc(10 * form_cm, math.pi)
    released = release(Layup.equal(3, 10.0, 3900.0), form)
    predicted = 1 - released.pieces[0].kappa0 * 10 * form_cm
    day, ten_days = (1 - form_cm / r for r in (day_cm, ten_days_cm))
    np.testing.assert_allclose(ten_days, 1 / 11, atol=1e-9)
    assert day < ten_days <= predicted <= ten_days + 0.021
