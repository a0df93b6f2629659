"""Strips: developed lengths at each ply's own radius, allowances, machine limits."""

import doctest
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overbend.curve import Curve, Piece
from overbend.errors import LayupError
from overbend.stock import Allowances, MachineLimits, cutting_holds, strips, strips_for, total_wood

R, TURN = 320.0, 1.3
ARC = Curve((Piece(R * TURN, 1 / R, 1 / R),))
NONE = Allowances(0.0, 0.0, 0.0, 1e-6)


def test_doctests():
    assert doctest.testmod(strips).failed == 0


def test_each_ply_is_measured_at_its_own_radius():
    rows = strips_for("rib", ARC, [("ash", 4.0), ("walnut", 2.0), ("oak", 3.0)], 31.0, 1, NONE)
    mids = [R + 4.5 - 2.0, R + 0.5 - 1.0, R - 1.5 - 1.5]
    assert [r.net_length for r in rows] == pytest.approx([m * TURN for m in mids])


def test_equal_plies_share_a_row_with_the_longest_length():
    rows = strips_for("rib", ARC, [("ash", 3.0), ("oak", 2.0), ("ash", 3.0)], 31.0, 5, NONE)
    ash, oak = rows
    assert (ash.plies, ash.per_part, ash.count) == ((1, 3), 2, 10)
    assert ash.net_length == pytest.approx((R + 2.5) * TURN)
    assert oak.count == 5


def test_allowances_are_added():
    allow = Allowances(trim=25.0, width=4.0, planing=1.2, round_up=10.0)
    (row,) = strips_for("slat", ARC, [("oak", 12.0)], 60.0, 3, allow)
    assert (row.width, row.sawn_thickness, row.part_width) == (64.0, 13.2, 60.0)
    assert row.length == math.ceil((ARC.length + 50.0) / 10.0) * 10.0
    assert total_wood([row]) == {"oak": pytest.approx(3 * row.length * 64.0 * 13.2)}


def test_an_s_curve_with_equal_turns_needs_strips_of_one_length():
    s = Curve((Piece(200.0, 1 / 250, 1 / 250), Piece(200.0, -1 / 250, -1 / 250)))
    rows = strips_for("slat", s, [("oak", 2.0), ("ash", 3.0)], 50.0, 1, NONE)
    assert rows[0].net_length == pytest.approx(rows[1].net_length)


@given(st.lists(st.floats(1.0, 9.0), min_size=1, max_size=7), st.floats(0.1, 2.5))
def test_mean_ply_length_weighted_by_thickness_is_the_middle_line(ts, turn):
    arc = Curve((Piece(R * turn, 1 / R, 1 / R),))
    rows = strips_for("x", arc, [(str(i), t) for i, t in enumerate(ts)], 20.0, 1, NONE)
    mean = sum(r.net_length * t for r, t in zip(rows, ts, strict=True)) / sum(ts)
    assert mean == pytest.approx(arc.length)


def test_machines_hold_the_cutting_back():
    rows = strips_for("rib", ARC, [("ash", 2.5)], 31.0, 1, NONE)
    unknown = MachineLimits("thicknessing machine", least_length=150.0)
    assert "manual" in cutting_holds(rows, [unknown])[0]
    typed = MachineLimits("thicknessing machine", 150.0, 10.0, 3.0)
    (hold,) = cutting_holds(rows, [typed])
    assert "2.5 mm thickness" in hold
    assert "3 mm" in hold
    assert cutting_holds(rows, [MachineLimits("saw", 100.0, 5.0, 2.0)]) == ()


def test_nothing_to_make_is_refused():
    with pytest.raises(LayupError, match="one part or more"):
        strips_for("rib", ARC, [("ash", 2.5)], 31.0, 0, NONE)
