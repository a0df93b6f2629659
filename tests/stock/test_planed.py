"""Boards bought planed to just the finished size of a piece are not planed again."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overbend.errors import StockError
from overbend.solver import Stop
from overbend.stock import Demand, MachineLimits, Shop, Stock, cut, machine_holds, refusals, verify
from overbend.stock.section import ways_of

SAW = MachineLimits("saw", 210.0, 14.0, 3.0)
SURFACER = MachineLimits("surfacing machine", 190.0, 25.0, 9.0)
PLANER = MachineLimits("thicknessing machine", 240.0, 16.0, 2.5, finished=True)
SHOP = Shop(SAW, SURFACER, PLANER, kerf=2.8, planing=1.4, end_trim=24.0)
SLAT = Demand("slat", "ash", 640.0, 58.4, 19.0, 5, finished_width=57.0)
BOARD = Stock("planed 19", "ash", 2150.0, 142.0, 19.0, 14.0, surfaced=True)
NM = 1e-6


def plan_for(demand, board, shop=SHOP):
    result = cut([demand], [board], shop, Stop(3.0))
    assert (result.holds, result.refusals) == ((), ())
    assert verify(result.plan, [demand], [board], shop) == ()
    return result.plan


def steps(plan):
    return [s.step for s in plan.setups]


def sizes(demand, board, shop=SHOP):
    """Across and through in mm, and which way."""
    return {(a / 1e6, u / 1e6, way) for a, u, way in ways_of(demand, board, shop)}


def test_a_piece_as_thick_as_its_planed_board_is_crosscut_and_ripped_only():
    plan = plan_for(SLAT, BOARD)
    assert {(p.across, p.through, p.way) for b in plan.boards for p in b.pieces} == {
        (58.4, 19.0, "flat")
    }
    assert steps(plan) == ["crosscut", "rip"]


def test_three_quarters_of_an_inch_in_a_file_of_inches():
    inch = 25.4
    slat = Demand("slat", "ash", 25 * inch, 2.25 * inch, 0.75 * inch, 4)
    board = Stock("4/4 planed", "ash", 96 * inch, 5.5 * inch, 3 * inch / 4, 20.0, surfaced=True)
    assert steps(plan_for(slat, board)) == ["crosscut", "rip"]


def test_a_strip_of_a_stack_is_as_thick_as_its_planed_board():
    strip = Demand("strip", "ash", 900.0, 61.0, 3.2, 8, "any", "bow", 4)
    plan = plan_for(strip, replace(BOARD, thickness=3.2))
    assert steps(plan) == ["crosscut", "rip"]


@settings(derandomize=True)
@given(st.integers(1, 1_399_999))
def test_nearly_as_thick_is_not_as_thick(nm):
    for off in (nm * NM, -nm * NM):
        board = replace(BOARD, thickness=19.0 + off)
        assert sizes(SLAT, board) == set()
        assert len(refusals([SLAT], [board], SHOP)) == 1


def test_a_board_that_holds_the_planing_is_planed_as_before():
    plan = plan_for(SLAT, replace(BOARD, thickness=20.4))
    assert steps(plan) == ["crosscut", "rip", "plane"]
    plan = plan_for(replace(SLAT, count=1), replace(BOARD, thickness=31.0))
    assert steps(plan) == ["crosscut", "rip", "resaw", "plane"]


@settings(derandomize=True)
@given(st.sampled_from([0.0, 0.7, 1.4]))
def test_a_rough_board_is_never_as_thick(face):
    """Not when it is so as sold, nor when it is so once surfaced."""
    shop = replace(SHOP, face_trim=face)
    for thickness in (19.0, 19.0 + face):
        assert sizes(SLAT, replace(BOARD, thickness=thickness, surfaced=False), shop) == set()


def test_on_edge_the_finished_width_may_be_the_boards_thickness():
    board = replace(BOARD, thickness=57.0)
    assert sizes(SLAT, board) == {(20.4, 57.0, "edge"), (58.4, 20.4, "flat")}
    plan = plan_for(replace(SLAT, grain="edge"), board)
    assert steps(plan) == ["crosscut", "rip", "plane"]


def test_a_piece_as_wide_as_its_planed_board_is_not_ripped():
    board = replace(BOARD, width=57.0)
    assert sizes(SLAT, board) == {(57.0, 19.0, "flat")}
    assert steps(plan_for(SLAT, board)) == ["crosscut"]
    whole = replace(SLAT, width=57.0, finished_width=None)
    assert steps(plan_for(whole, board)) == ["crosscut"]


@settings(derandomize=True)
@given(st.integers(1, 1_399_999))
def test_nearly_as_wide_is_not_as_wide(nm):
    for off in (nm * NM, -nm * NM):
        assert sizes(SLAT, replace(BOARD, width=57.0 + off)) == set()


def test_the_width_of_an_off_cut_is_no_finished_one():
    off_cut = replace(BOARD, width=57.0, sawn_edge=True)
    assert sizes(SLAT, off_cut) == set()
    assert sizes(SLAT, replace(off_cut, width=58.4)) == {(58.4, 19.0, "flat")}
    result = cut([SLAT], [off_cut, replace(BOARD, name="whole", width=57.0)], SHOP, Stop(3.0))
    assert set(result.plan.bought()) == {"whole"}


def test_on_edge_the_finished_thickness_may_be_the_boards_width():
    board = replace(BOARD, width=19.0, thickness=57.0)
    assert sizes(SLAT, board) == {(19.0, 57.0, "edge")}
    assert steps(plan_for(SLAT, board)) == ["crosscut"]


def test_of_two_ways_in_one_bar_the_thinner_counts():
    """A square piece all over the width: one way it is planed, the other way it is not."""
    square = Demand("leg", "ash", 640.0, 30.0, 30.0, 6)
    board = replace(BOARD, width=30.0, thickness=62.9, count=2)
    assert sizes(square, board) == {(30.0, 30.0, "edge"), (30.0, 31.4, "flat")}
    assert {p.through for b in plan_for(square, board).boards for p in b.pieces} == {30.0}


# --- machines


def test_the_thicknessing_machine_refuses_no_piece_that_does_not_go_through_it():
    shop = replace(SHOP, thicknessing=replace(PLANER, least_thickness=20.0))
    assert machine_holds([SLAT], shop) != ()
    assert machine_holds([SLAT], shop, supply=[replace(BOARD, count=0)]) != ()
    assert machine_holds([SLAT], shop, supply=[replace(BOARD, wood="elm")]) != ()
    assert machine_holds([SLAT], shop, supply=[BOARD]) == ()
    assert "plane" not in steps(plan_for(SLAT, BOARD, shop))


def test_no_other_board_is_taken_for_a_piece_that_the_machine_refuses():
    shop = replace(SHOP, thicknessing=replace(PLANER, least_thickness=20.0))
    cheap = Stock("rough 27", "ash", 2150.0, 142.0, 27.0, 1.0)
    assert set(cut([SLAT], [cheap, BOARD], SHOP, Stop(3.0)).plan.bought()) == {"rough 27"}
    assert set(cut([SLAT], [cheap, BOARD], shop, Stop(3.0)).plan.bought()) == {"planed 19"}


def test_the_saw_has_to_take_it_as_thick_as_it_is():
    shop = replace(SHOP, saw=replace(SAW, least_thickness=20.0))
    result = cut([SLAT], [BOARD], shop, Stop(3.0))
    assert result.status == "infeasible"
    assert set(cut([SLAT], [replace(BOARD, thickness=23.0)], shop, Stop(3.0)).plan.bought())


def test_planed_boards_are_not_surfaced_again():
    """Of two boards in a plan the rough one's lengths are counted alone."""
    rough = Stock("rough 27", "ash", 720.0, 72.0, 27.0, 1.0, count=1)
    result = cut([replace(SLAT, count=7)], [rough, BOARD], SHOP, Stop(3.0))
    assert set(result.plan.bought()) == {"rough 27", "planed 19"}
    (surface,) = [s for s in result.plan.setups if s.step == "surface"]
    assert surface.count == 1
    assert "surface" not in steps(plan_for(SLAT, BOARD))


# --- words


def todo(demand, board, shop=SHOP):
    (found,) = refusals([demand], [board], shop)
    return found


def test_a_refusal_names_the_planed_board_that_would_do():
    found = todo(replace(SLAT, grain="flat"), replace(BOARD, thickness=18.0))
    assert "planed 19, is 142 mm x 18 mm planed" in found.why
    assert found.todo == (
        "A plank 61.4 mm wide and 22.4 mm thick (resawn) would do. So would one planed and "
        "straight, 58.4 mm wide or wider and exactly as thick as the finished piece (19 mm)."
    )


def test_a_piece_too_wide_to_split_says_so_and_what_would_do():
    shop = replace(SHOP, resaw_depth=55.0)
    wide = replace(SLAT, grain="flat")
    found = todo(wide, Stock("ash 27", "ash", 2000.0, 150.0, 27.0), shop)
    assert "the saw splits pieces up to 55 mm wide" in found.why
    assert found.todo == (
        "A plank planed and straight, 58.4 mm wide or wider and exactly as thick as the finished "
        "piece (19 mm; plane a thicker one down to that first) would do."
    )
    assert plan_for(wide, BOARD, shop).boards


def test_a_piece_too_wide_to_split_and_too_thin_for_the_saw_asks_for_another_saw():
    shop = replace(SHOP, resaw_depth=55.0, saw=replace(SAW, least_thickness=19.5))
    board = Stock("ash 27", "ash", 2000.0, 150.0, 27.0)
    words = todo(replace(SLAT, grain="flat"), board, shop).todo
    assert words == "A saw that splits pieces 58.4 mm wide would do."


@settings(derandomize=True, max_examples=60)
@given(
    st.sampled_from(["any", "edge", "flat"]),
    st.integers(20, 300),
    st.integers(3, 90),
    st.floats(0.0, 3.0),
    st.sampled_from([None, 15.0, 60.0]),
)
def test_the_planed_plank_said_to_do_does(grain, width, thickness, planing, resaw):
    shop = replace(SHOP, planing=planing, resaw_depth=resaw, rip_depth=95.0)
    part = Demand("part", "ash", 640.0, width + 1.5, thickness, 2, grain, finished_width=width)
    board = replace(BOARD, width=16.0, thickness=2.0)
    for found in refusals([part], [board], shop):
        if "planed and straight" in found.todo:
            said = found.todo.split("planed and straight, ")[1]
            wide, thick = float(said.split(" mm")[0]), float(said.split("(")[1].split(" mm")[0])
            plank = replace(board, width=wide + 0.01, thickness=thick)
            assert refusals([part], [plank], shop) == ()


@pytest.mark.parametrize("finished", [0.0, -3.0, 58.5])
def test_a_finished_width_is_above_zero_and_not_above_the_width(finished):
    with pytest.raises(StockError, match="finished width"):
        replace(SLAT, finished_width=finished)
