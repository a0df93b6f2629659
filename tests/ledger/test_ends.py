"""The loss of a bend from the distance between its trim marks."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overbend.curve import Curve, Piece
from overbend.errors import TrialError
from overbend.ledger import Trial
from overbend.ledger.ends import Ends, measured_by_ends
from overbend.ledger.evidence import release_of

EASED = Curve((Piece(120.0, 0.0, 1 / 380.0), Piece(260.0, 1 / 380.0, 1 / 380.0),
               Piece(90.0, 1 / 380.0, 1 / 900.0)))  # fmt: skip
BENT = Trial(species="white-ash", treatment="steam", thickness=19.0, form_radius=370.5)


@given(st.floats(0.0, 0.55), st.floats(-12.0, 30.0))
def test_the_loss_that_was_put_in_comes_out(lost, offset):
    ends = Ends(EASED, offset)
    assert ends.lost(ends.chord(lost))[0] == pytest.approx(lost, abs=1e-6)


def test_a_straight_part_is_as_long_as_its_line():
    assert Ends(EASED, 9.5).chord(1.0) == pytest.approx(EASED.length)


def test_an_arc_is_measured_as_by_its_own_chord_and_rise():
    arc = Ends(Curve((Piece(400.0, 1 / 380.0, 1 / 380.0),)), 9.5)
    lost = 0.08
    radius = 380.0 / (1.0 - lost)
    half = 0.5 * 400.0 / radius
    assert arc.chord(lost) == pytest.approx(2.0 * (radius - 9.5) * math.sin(half))


def test_what_is_kept_says_the_loss_again():
    ends = Ends(EASED, 9.5)
    kept = measured_by_ends(BENT, ends, ends.chord(0.07), 24.0)
    read = release_of(BENT, kept)
    assert read.release.lost == pytest.approx(0.07, abs=1e-6)
    assert read.release.after_hours == 24.0


def test_half_a_millimetre_is_in_the_error():
    ends = Ends(EASED, 9.5)
    kept = measured_by_ends(BENT, ends, ends.chord(0.07), 24.0)
    off = measured_by_ends(BENT, ends, ends.chord(0.07) - 0.5, 24.0)
    assert kept.radius - off.radius == pytest.approx(kept.error, rel=0.05)


@pytest.mark.parametrize("chord", [300.0, 420.0, 471.0, 4000.0])
def test_a_distance_that_no_shape_has_is_refused(chord):
    ends = Ends(EASED, 9.5)
    with pytest.raises(TrialError, match="between the trim marks"):
        measured_by_ends(BENT, ends, chord, 1.0)


def test_a_distance_that_two_shapes_have_is_refused():
    loop = Ends(Curve((Piece(2200.0, 1 / 300.0, 1 / 300.0),)), 0.0)  # past a full turn
    with pytest.raises(TrialError, match="fits two shapes"):
        loop.lost(loop.chord(0.12))
