"""Laying one line on another."""

import math

import numpy as np
import pytest

from overbend.bend import Layup, Ply, lay_on, release
from overbend.curve.core import Curve, Piece
from overbend.errors import CurveError

TARGET = Curve((Piece(200, 0.0, 1 / 150), Piece(150, 1 / 150, -1 / 400)), (10.0, 5.0), 2.0)
RELEASED = release(Layup((Ply(4.0, 11e3), Ply(2.0, 9e3))), TARGET).moved(3.0, -8.0, turn=1.7)


def test_reference_end_agrees_in_place_and_direction():
    placed = lay_on(RELEASED, TARGET)
    np.testing.assert_allclose(placed.point(0.0), TARGET.point(0.0), atol=1e-12)
    assert placed.heading == pytest.approx(TARGET.heading, abs=1e-12)


def test_chords_agree_in_middle_and_direction():
    placed = lay_on(RELEASED, TARGET, "chord-middle")
    a, b = placed.point([0.0, placed.length])
    c, d = TARGET.point([0.0, TARGET.length])
    np.testing.assert_allclose(a + b, c + d, atol=1e-9)
    turn = math.remainder(math.atan2(*(b - a)[::-1]) - math.atan2(*(d - c)[::-1]), math.tau)
    assert turn == pytest.approx(0.0, abs=1e-12)
    assert math.hypot(*(b - a)) != pytest.approx(math.hypot(*(d - c)), rel=1e-3)


@pytest.mark.parametrize("datum", ["reference-end", "chord-middle"])
def test_laying_on_is_rigid(datum):
    placed = lay_on(RELEASED, TARGET, datum)
    assert placed.pieces == RELEASED.pieces
    back = lay_on(placed, RELEASED, datum)
    np.testing.assert_allclose(back.point(100.0), RELEASED.point(100.0), atol=1e-9)


def test_a_ring_has_no_chord():
    ring = Curve((Piece(200.0 * math.pi, 0.01, 0.01),))
    with pytest.raises(CurveError, match="ends of the curve meet"):
        lay_on(ring, TARGET, "chord-middle")


def test_an_unknown_datum_is_refused():
    with pytest.raises(CurveError, match="datum 'middle'"):
        lay_on(RELEASED, TARGET, "middle")
