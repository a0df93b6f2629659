import math
from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overbend.curve import ArcPath
from overbend.errors import InputError
from overbend.form import MDF, PLYWOOD, FormMaterial, Loads, rectangles_per_sheet
from overbend.form.depth import MOST_GIVE, Beam, front_wall, need
from overbend.form.layers import layer_count, layers_of

BEAM = Beam(FormMaterial("board", 4000.0, 400.0, 10.0, 2.0), 60.0, 45.0, 120.0, 40.0, 1 / 250,
            Loads(0.8, 9e6))  # fmt: skip


def test_beam_numbers_by_hand():
    i = 60 * (100**3 - 40**3) / 12
    assert BEAM.second_moment(100.0) == pytest.approx(i)
    assert BEAM.give(100.0) == pytest.approx(9e6 / (4000 * i))
    w = 0.8 * 45
    bend, shear = 5 * w * 120**4 / (384 * 4000 * i), 1.2 * w * 120**2 / (8 * 400 * 60 * 60)
    assert BEAM.sag(100.0) == pytest.approx(bend + shear)
    assert BEAM.stress(100.0) == pytest.approx((w * 120**2 / 8 + 9e6 / 250) * 50 / i)


def test_a_hole_through_the_whole_depth_carries_nothing():
    assert BEAM.give(40.0) == BEAM.sag(40.0) == BEAM.stress(40.0) == math.inf


@settings(max_examples=60, deadline=None)
@given(st.floats(0, 3e8), st.floats(0.2, 2), st.floats(30, 300), st.sampled_from([0.0, 35.0, 50.0]))
def test_the_depth_needed_holds_and_a_step_less_does_not(stiffness, pressure, span, hole):
    beam = Beam(PLYWOOD, 54.0, 50.0, span, hole, 1 / 200, Loads(pressure, stiffness))
    got = need(beam, 25.0)

    def holds(depth):
        return (
            depth >= max(60.0, 25.0 + hole + 20.0 if hole else 0.0)
            and beam.give(depth) <= MOST_GIVE
            and beam.sag(depth) <= 0.1
            and beam.stress(depth) <= PLYWOOD.bending
        )

    assert got.depth % 5 == 0
    assert holds(got.depth) == got.within
    assert not holds(got.depth - 5.0)


def test_stronger_strips_ask_for_a_deeper_body():
    depths = [
        need(Beam(MDF, 54.0, 50.0, 80.0, 0.0, 1 / 300, Loads(1.0, k)), 20.0).depth
        for k in (1e6, 3e7, 1e8)
    ]
    assert depths[0] == 60.0 < depths[1] < depths[2]
    # K / (E I) = 0.003 gives D^3 = 12 K / (0.003 E B)
    assert depths[2] == 5 * math.ceil((12 * 1e8 / (0.003 * 2500 * 54)) ** (1 / 3) / 5)


def test_what_no_depth_can_hold_is_said():
    got = need(Beam(MDF, 18.0, 50.0, 80.0, 0.0, 1 / 300, Loads(1.0, 5e10)), 20.0)
    assert (got.depth, got.governs, got.within) == (600.0, "give", False)


def test_wall_before_a_hole_carries_the_clamp():
    wall = front_wall(9000.0, 50.0, 54.0, MDF)
    assert 6 * 9000 * 50 / 8 / (54 * wall**2) <= MDF.bending
    assert 1.5 * 4500 / (54 * wall) <= MDF.shear
    assert front_wall(100.0, 50.0, 54.0, MDF) == 20.0


# -- layers ------------------------------------------------------------------------------


def test_layers_reach_the_width():
    assert layer_count(45.0, 18.0) == 3
    assert layer_count(36.0, 18.0) == 2
    assert layer_count(36.01, 18.0) == 3
    with pytest.raises(InputError):
        layer_count(0.0, 18.0)


def test_area_and_box_of_a_turned_layer():
    half_disc = ArcPath(np.array([[0.0, 0.0, 1.0], [200.0, 0.0, 0.0]]), closed=True)
    rows = layers_of(half_disc.moved(30.0, 7.0, 0.6), 40.0, 15.0, (1500.0, 900.0))
    assert rows.area == pytest.approx(math.pi * 100**2 / 2, rel=1e-3)
    assert rows.box == pytest.approx((200.0, 100.0), abs=0.05)
    assert (rows.count, rows.thickness, rows.spare) == (3, 45.0, 5.0)
    assert rows.sheets == math.ceil(3 / rows.per_sheet)


def test_a_layer_longer_than_the_sheet_fits_none():
    board = ArcPath.polyline(np.array([[0, 0], [2600, 0], [2600, 90], [0, 90]]), closed=True)
    rows = layers_of(board, 50.0, 18.0, (2440.0, 1220.0))
    assert (rows.per_sheet, rows.sheets) == (0, 0)


def rows_by_search(a, b, length, width):
    """Most a x b rectangles in rows from edge to edge of the length, each row any way up."""

    @cache
    def most(left):
        fits = [(h, length // w) for w, h in ((a, b), (b, a)) if h <= left]
        return max((n + most(left - h) for h, n in fits), default=0)

    return most(width)


@settings(deadline=None)
@given(
    st.tuples(st.integers(20, 90), st.integers(20, 90)),
    st.tuples(st.integers(50, 400), st.integers(50, 400)),
)
def test_rectangles_per_sheet_against_a_search(box, sheet):
    searched = max(rows_by_search(*box, *sheet), rows_by_search(*box, *sheet[::-1]))
    assert rectangles_per_sheet(box, sheet, gap=0.0) == searched


def test_gaps_are_left_between_and_round_the_edge():
    assert rectangles_per_sheet((100.0, 50.0), (219.9, 70.0), gap=10.0) == 1
    assert rectangles_per_sheet((100.0, 50.0), (230.0, 70.0), gap=10.0) == 2
