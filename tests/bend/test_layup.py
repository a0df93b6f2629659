"""Plies, their offsets, and the tightest radius a stack can follow."""

import numpy as np
import pytest

from overbend.bend import Layup, Ply, check_curvature, check_curve
from overbend.curve.core import Curve, Piece
from overbend.errors import LayupError

UNEQUAL = Layup((Ply(2.0, 12000.0), Ply(5.0, 8000.0), Ply(3.0, 10000.0)))


def test_plies_run_from_the_right_hand_face_up():
    assert UNEQUAL.depth == 10.0
    assert UNEQUAL.z.tolist() == [-4.0, -0.5, 3.5]
    assert UNEQUAL.faces.tolist() == [[-5.0, -3.0], [-3.0, 2.0], [2.0, 5.0]]


def test_reversing_turns_the_stack_over():
    np.testing.assert_allclose(UNEQUAL.reversed.z, -UNEQUAL.z[::-1])
    assert UNEQUAL.reversed.modulus.tolist() == [10000.0, 8000.0, 12000.0]


@pytest.mark.parametrize(
    ("args", "word"),
    [
        ((0.0, 11000.0), "thickness 0 mm"),
        ((-2.0, 11000.0), "thickness -2 mm"),
        ((float("nan"), 11000.0), "thickness nan mm"),
        ((3.0, float("inf")), "modulus inf MPa"),
        ((3.0, 0.0), "modulus 0 MPa"),
        ((3.0, 11000.0, 1.0), "set of 1"),
        ((3.0, 11000.0, -0.1), "set of -0.1"),
        ((3.0, 11000.0, float("nan")), "set of nan"),
    ],
)
def test_impossible_plies_are_refused_with_the_value_given(args, word):
    with pytest.raises(LayupError, match=word) as caught:
        Ply(*args)
    assert caught.value.allowed
    assert caught.value.todo


def test_a_stack_needs_a_ply():
    with pytest.raises(LayupError, match="without laminations"):
        Layup(())


def test_the_tightest_radius_is_half_the_depth():
    check_curvature(UNEQUAL, [0.0, 1 / 5.001, -1 / 5.001])
    for kappa in (1 / 5.0, -1 / 4.0, float("nan")):
        with pytest.raises(LayupError, match="fold over"):
            check_curvature(UNEQUAL, kappa)


def test_the_message_says_where_on_the_curve_and_what_is_allowed():
    curve = Curve((Piece(40.0, 0.0, 0.1), Piece(30.0, 0.1, 0.25)))
    with pytest.raises(LayupError) as caught:
        check_curve(UNEQUAL, curve, "form")
    assert str(caught.value).startswith("form, 70 mm along: ")
    assert "radius above 5 mm" in str(caught.value)
