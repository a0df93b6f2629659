"""The grid: every count and thickness, the drawn order scaled, limits and refusals."""

import math
from dataclasses import replace

import pytest

from overbend.errors import InputError
from overbend.plan import Plan
from overbend.project import read
from overbend.study import Stack, ask_for, stacks_for
from overbend.study.stacks import majority_wood, pattern_words, present_stack
from support.pieces import HEAD, LAMINATE, SOLID, plan_of

PLAIN = LAMINATE.replace('wood = "ash"\nthickness = 4.5', 'wood = "maple"\nthickness = 3')
HOT = LAMINATE.replace('"laminate"', '"steam-laminate"')
MACHINE = "\n[shop.machine.thicknessing]\nleast_thickness = {}\n"


def part_of(*tables):
    return next(iter(plan_of(*tables).bent.values()))


# -- the grid -----------------------------------------------------------------------------
def test_every_count_and_step_within_the_tolerance_is_there():
    part = part_of(PLAIN)
    ask = ask_for(part, depth=11.3, tolerance=0.7, step=0.25)
    found = {(s.count, s.thickness[0]) for s in stacks_for(part, ask)[1:]}
    wanted = {
        (count, 0.25 * k)
        for count in range(2, 41)
        for k in range(1, 100)
        if abs(count * 0.25 * k - 11.3) <= 0.7 and 0.25 * k >= ask.least
    }
    assert found == wanted
    assert len(wanted) > 10


def test_the_drawn_stack_comes_first_even_off_the_grid():
    part = part_of(LAMINATE)
    first = stacks_for(part, ask_for(part, depth=20.0, step=1.0))[0]
    assert first == present_stack(part)
    assert first.thickness == (3.0, 3.0, 4.5)


def test_a_stack_of_its_own_count_keeps_order_and_proportion():
    part = part_of(LAMINATE)
    ask = ask_for(part, depth=12.0, tolerance=0.6)
    own = [s for s in stacks_for(part, ask)[1:] if s.count == 3]
    assert own
    for stack in own:
        assert stack.woods == ("maple", "maple", "ash")
        by = stack.depth / 10.5
        assert stack.thickness == pytest.approx([3 * by, 3 * by, 4.5 * by], abs=0.11)
        assert abs(stack.depth - 12.0) <= 0.6 + 1e-9
        steps = [t / 0.1 for t in stack.thickness]
        assert steps == pytest.approx([round(s) for s in steps])


def test_other_counts_are_of_the_wood_most_of_it_is():
    part = part_of(LAMINATE)
    others = [s for s in stacks_for(part, ask_for(part)) if s.count != 3]
    assert others
    assert all(set(s.woods) == {"maple"} for s in others)
    thick_ash = part_of(LAMINATE.replace("4.5", "6.5"))
    assert majority_wood(thick_ash) == "ash"
    assert "Stacks of 3 strips keep the order" in pattern_words(part, ask_for(part))
    assert pattern_words(part_of(PLAIN), ask_for(part)) == ""


def test_asked_woods_stand_alone():
    part = part_of(LAMINATE)
    ask = ask_for(part, woods=["ash", "maple"])
    found = stacks_for(part, ask)[1:]
    assert {frozenset(s.woods) for s in found} == {frozenset({"ash"}), frozenset({"maple"})}
    assert pattern_words(part, ask) == ""


def test_ways_of_working_follow_the_part():
    def ways(*tables, **given):
        part = part_of(*tables)
        return {(s.method, s.count == 1) for s in stacks_for(part, ask_for(part, **given))[1:]}

    assert ways(LAMINATE) == {("laminate", False)}
    assert ways(HOT) == {("laminate", False), ("steam-laminate", False)}
    assert ways(SOLID) == {("solid", True)}
    assert ways(SOLID, methods=["laminate"]) == {("laminate", False)}


# -- limits -------------------------------------------------------------------------------
def test_no_strip_is_thinner_than_the_machine_takes():
    thin = {min(s.thickness) for s in stacks_for(*with_ask(PLAIN))[1:]}
    held = {min(s.thickness) for s in stacks_for(*with_ask(PLAIN, MACHINE.format(2.5)))[1:]}
    assert min(thin) < 2.5 <= min(held)


def with_ask(*tables):
    part = part_of(*tables)
    return part, ask_for(part)


def test_where_the_least_thickness_comes_from_is_said():
    (assumed, *_), (typed, *_) = (
        ask_for(part_of(*t)).notes for t in ((PLAIN,), (PLAIN, MACHINE.format(2.5)))
    )
    assert "assumed" in assumed
    assert "2.5 mm: the thicknessing machine takes no less" in typed


def test_a_saw_has_the_strip_before_planing():
    saw = "\n[shop.machine.saw]\nleast_thickness = 4\n"
    ask = ask_for(part_of(PLAIN, saw, MACHINE.format(2.2)))
    assert ask.least == pytest.approx(4.0 - 1.5)
    assert "the saw takes no less once planing is added" in ask.notes[0]
    assert ask_for(part_of(PLAIN, saw, MACHINE.format(2.7))).least == 2.7


def test_inches_come_in_64ths():
    inches = HEAD.replace('units = "mm"', 'units = "in"').replace("trim = 28", "trim = 1")
    text = inches.replace("= 40", "= 2").replace("90", "4").replace("310", "12").replace("65", "3")
    table = PLAIN.replace("= 37", "= 1.5").replace("thickness = 3", 'thickness = "1/8"')
    part = Plan(read(text + table)).bent["bow"]
    ask = ask_for(part)
    assert ask.step == 25.4 / 64
    assert ask.scatter == pytest.approx(3 / 16 * 25.4)
    assert "1/64 in: assumed" in " ".join(ask.notes)
    sixty_fourths = [s.thickness[0] * 64 / 25.4 for s in stacks_for(part, ask)]
    assert sixty_fourths == pytest.approx([round(v) for v in sixty_fourths])


# -- what cannot be meant -----------------------------------------------------------------
@pytest.mark.parametrize(
    ("given", "word"),
    [
        ({"depth": -1.0}, "depth"),
        ({"depth": math.nan}, "depth"),
        ({"tolerance": -0.1}, "tolerance"),
        ({"tolerance": 99.0}, "tolerance"),
        ({"step": 0.0}, "step"),
        ({"scatter": 0.0}, "scatter"),
        ({"risk": 0.0}, "breaking"),
        ({"risk": 1.0}, "breaking"),
        ({"woods": ["oak"]}, "'oak'"),
        ({"methods": ["boiled"]}, "'boiled'"),
    ],
)
def test_what_cannot_be_meant_is_refused(given, word):
    with pytest.raises(InputError, match=word):
        ask_for(part_of(LAMINATE), **given)


def test_a_grid_too_large_is_refused():
    part = part_of(PLAIN)
    ask = replace(ask_for(part), step=0.001, tolerance=4.0)
    with pytest.raises(InputError, match="coarser step"):
        stacks_for(part, ask)


def test_a_stack_reads_back_as_lines():
    stack = Stack("laminate", ("ash", "oak", "oak", "ash"), (3.0, 2.0, 2.0, 3.0))
    assert stack.rows == (("ash", 3.0, 1), ("oak", 2.0, 2), ("ash", 3.0, 1))
    assert (stack.count, stack.glue_lines, stack.depth) == (4, 3, 10.0)
