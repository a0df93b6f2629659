"""The angle of a bend through the seasons, against closed forms."""

import doctest
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overbend.bend import seasonal
from overbend.bend.seasonal import LENGTHWISE, angle_at, seasonal_change, thickness_movement
from overbend.errors import LayupError, WoodError
from overbend.wood.species import find_species
from overbend.wood.swelling import movement, size_at
from overbend.wood.values import Value

ASH, WALNUT = find_species("white ash"), find_species("black walnut")
STACK = [(ASH, 3.2), (WALNUT, 1.8), (ASH, 2.5)]
NONE = Value(0.0, "%", "none", "assumed")


def test_doctests():
    assert doctest.testmod(seasonal).failed == 0


@given(st.floats(0.1, 6.0), st.floats(50.0, 900.0), st.floats(2.0, 40.0),
       st.floats(-0.1, 0.1), st.floats(-0.005, 0.005))  # fmt: skip
def test_two_faces_of_an_arc_fix_its_new_angle(angle, inner, depth, thick, length):
    """Both faces change by the same part of their length, the depth by another."""
    faces = [r * angle * (1 + length) for r in (inner, inner + depth)]
    expected = (faces[1] - faces[0]) / (depth * (1 + thick))
    assert angle_at(angle, thick, length) == pytest.approx(expected)


@given(st.floats(-0.03, 0.03), st.floats(-0.003, 0.003))
def test_to_first_order_it_is_the_difference_of_strains(thick, length):
    exact = angle_at(1.0, thick, length) - 1.0
    assert exact == pytest.approx(-(thick - length), abs=1.1 * 0.033**2)


def test_drying_closes_and_damp_opens():
    drying = seasonal_change(1.7, STACK, "flat", 11.0, 6.0)
    damp = seasonal_change(1.7, STACK, "flat", 6.0, 11.0)
    assert drying.value > 0 > damp.value
    assert angle_at(1.7 + drying.value, *back(11.0, 6.0)) == pytest.approx(1.7)


def back(dry_from, dry_to):
    """Strains of the way back, from the exact ones of the way out."""
    out = thickness_movement(STACK, "flat", dry_from, dry_to).value
    along = size_at(1.0, LENGTHWISE.value, dry_from, dry_to) - 1
    return 1 / (1 + out) - 1, 1 / (1 + along) - 1


def test_a_left_and_a_right_bend_move_alike():
    left, right = (seasonal_change(a, STACK, "flat", 11.0, 6.0) for a in (1.2, -1.2))
    assert left.value == pytest.approx(-right.value)


def test_the_mean_is_by_thickness():
    found = thickness_movement(STACK, "quarter", 12.0, 7.0)
    ash, walnut = (movement(s, "tangential", 12.0, 7.0).value for s in (ASH, WALNUT))
    assert found.value == pytest.approx((5.7 * ash + 1.8 * walnut) / 7.5)
    assert found.low is None


def test_one_wood_is_its_own_mean():
    alone = thickness_movement([(WALNUT, 19.0)], "flat", 12.0, 7.0)
    assert alone.value == pytest.approx(movement(WALNUT, "radial", 12.0, 7.0).value)


def test_above_fibre_saturation_nothing_happens():
    assert seasonal_change(1.2, STACK, "flat", 60.0, 35.0).value == 0.0


def test_the_range_covers_rings_and_length():
    found = seasonal_change(1.2, STACK, "unknown", 11.0, 6.0)
    flat, quarter = (seasonal_change(1.2, STACK, s, 11.0, 6.0) for s in ("flat", "quarter"))
    assert found.low == pytest.approx(flat.low)
    assert found.high == pytest.approx(quarter.high)
    assert flat.low < flat.value < flat.high


def test_without_movement_along_the_grain_it_is_larger():
    bare = seasonal_change(1.2, STACK, "flat", 11.0, 6.0, NONE)
    usual = seasonal_change(1.2, STACK, "flat", 11.0, 6.0)
    assert bare.value > usual.value > 0
    assert usual.status == "memory"


def test_a_quarter_turn_of_flat_sawn_ash_by_hand():
    s11, s6 = 0.049 * 19 / 30, 0.049 * 24 / 30
    l11, l6 = 0.0015 * 19 / 30, 0.0015 * 24 / 30
    expected = math.pi / 2 * ((1 - l6) / (1 - l11) / ((1 - s6) / (1 - s11)) - 1)
    found = seasonal_change(math.pi / 2, [(ASH, 18.0)], "flat", 11.0, 6.0)
    assert found.value == pytest.approx(expected)


@pytest.mark.parametrize("plies", [[], [(ASH, 0.0)], [(ASH, 3.0), (WALNUT, -1.0)]])
def test_a_stack_without_thickness(plies):
    with pytest.raises(LayupError):
        thickness_movement(plies, "flat", 11.0, 6.0)


def test_what_is_refused():
    with pytest.raises(LayupError, match="shrinks"):
        angle_at(1.0, -1.0)
    with pytest.raises(WoodError, match="flat, quarter"):
        seasonal_change(1.0, STACK, "rift", 11.0, 6.0)
    with pytest.raises(WoodError):
        seasonal_change(1.0, STACK, "flat", -1.0, 6.0)
