"""Parts that cannot be cut: which part, why, and what would do; never an exception."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overbend.solver import Stop
from overbend.stock import Demand, MachineLimits, Shop, Stock, cut, machine_holds, refusals

SAW = MachineLimits("saw", 210.0, 14.0, 3.0)
SURFACER = MachineLimits("surfacing machine", 190.0, 25.0, 9.0)
PLANER = MachineLimits("thicknessing machine", 240.0, 16.0, 2.5, finished=True)
SHOP = Shop(SAW, SURFACER, PLANER, kerf=2.8, planing=1.4, end_trim=24.0)
RAIL = Demand("rail", "ash", 880.0, 57.0, 19.0, 4)
SLAT = Demand("slat", "ash", 610.0, 41.0, 5.0, 6)
PLANK = Stock("ash 41", "ash", 2150.0, 142.0, 41.0, 24.0)


def inches(mm):
    return f"{mm / 25.4:.2f} in"


def planks(todo):
    """Rough planks that a remedy names: "148 mm wide and 22.4 mm thick (resawn)"."""
    return todo.split("A plank ")[1].split(" would do.")[0].split(" or ")


def refused(demands, supply, shop=SHOP):
    """The refusals of `cut`, which has no plan."""
    result = cut(demands, supply, shop, Stop(2.0))
    assert result.plan is None
    assert result.status == "infeasible"
    assert result.cost.objective is None
    assert result.refusals
    assert all(r.part and r.why and r.todo for r in result.refusals)
    return result.refusals


def test_nothing_is_refused_that_can_be_cut():
    assert refusals([RAIL, SLAT], [PLANK], SHOP) == ()
    assert machine_holds([RAIL, SLAT], SHOP) == ()


def test_a_part_longer_than_any_board():
    short = [replace(PLANK, length=900.0), replace(PLANK, name="ash 38", length=850.0)]
    (found,) = refused([RAIL, SLAT], short)
    assert found.part == "rail"
    assert "880 mm" in found.why
    assert "ash 41 is 900 mm" in found.why
    assert "852 mm" in found.why
    assert "928 mm long or longer" in found.todo


@settings(derandomize=True, max_examples=40)
@given(st.floats(200.0, 3000.0), st.floats(0.001, 500.0))
def test_the_board_that_would_do_for_a_long_part_does(length, lacking):
    rail = replace(RAIL, length=length, count=1)
    needed = max(length, (SHOP.least_length + SHOP.kerf) / 2) + 2 * SHOP.end_trim
    short = replace(PLANK, length=max(1.0, needed - lacking))
    (found,) = refusals([rail], [short], SHOP)
    size = float(found.todo.split("A board ")[1].split(" mm")[0])
    assert size > short.length - 1e-2 * size
    assert refusals([rail], [replace(short, length=size * 1.001)], SHOP) == ()


def test_a_part_shorter_than_the_machines_is_refused_by_the_length_it_is_cut_in():
    peg = Demand("peg", "ash", 90.0, 25.0, 9.0, 2)
    (found,) = refused([peg], [replace(PLANK, length=300.0)])
    assert found.part == "peg"
    assert "275.6 mm" in found.why
    assert "323.6 mm long" in found.todo


def test_a_part_wider_than_any_plank():
    seat = replace(RAIL, name="seat", width=145.0)
    (found,) = refused([seat, SLAT], [PLANK])
    assert found.part == "seat"
    assert "145 mm x 20.4 mm (sawn)" in found.why
    assert "142 mm x 41 mm" in found.why
    assert "25 mm wide and 147 mm thick (ripped)" in found.todo  # the surfacing machine takes 25
    assert "148 mm wide and 22.4 mm thick (resawn)" in found.todo


@settings(derandomize=True, max_examples=60)
@given(st.sampled_from(["any", "edge", "flat"]), st.floats(20, 300), st.floats(3, 90))
def test_the_plank_that_would_do_for_a_wide_part_does(grain, width, thickness):
    part = replace(RAIL, width=width, thickness=thickness, grain=grain)
    thin = replace(PLANK, width=28.0, thickness=12.0)
    found = refusals([part], [thin], SHOP)
    for words in planks(found[0].todo) if found else ():
        wide, thick = (float(w.split(" mm")[0]) for w in words.split(" and "))
        plank = replace(thin, width=wide + 0.01, thickness=thick + 0.01)
        if plank.width >= 25.0 and plank.thickness >= 9.0:
            assert refusals([part], [plank], SHOP) == ()


@pytest.mark.parametrize(("grain", "way"), [("edge", "ripped"), ("flat", "resawn")])
def test_the_plank_that_would_do_lies_as_the_grain_asks(grain, way):
    (found,) = refused([replace(RAIL, width=145.0, grain=grain)], [PLANK])
    (words,) = planks(found.todo)
    assert way in words


def test_no_board_left():
    (found,) = refused([RAIL], [replace(PLANK, count=0)])
    assert found.part == "rail"
    assert "no board is left" in found.why
    assert "928 mm long or longer" in found.todo
    assert "Add ash boards" in found.todo


def test_no_boards_at_all():
    found = refused([RAIL, SLAT], [])
    assert [r.part for r in found] == ["rail", "slat"]
    assert all("no board of it is in the list" in r.why for r in found)


def test_a_wood_that_is_not_there():
    (found,) = refused([RAIL, replace(SLAT, wood="cherry")], [PLANK])
    assert found.part == "slat"
    assert found.why.startswith("cherry:")
    assert "Add cherry boards" in found.todo


def test_a_defect_that_covers_the_board():
    (found,) = refused([RAIL], [replace(PLANK, defects=((0.0, 2150.0),))])
    assert found.part == "rail"
    assert "the defects of ash 41 (2150 mm) leave 0 mm at most" in found.why
    assert "clear of defects" in found.todo


@settings(derandomize=True)
@given(st.floats(-100.0, 24.0), st.floats(2126.0, 9000.0))
def test_a_defect_that_reaches_past_both_ends_is_only_a_refusal(a, b):
    (found,) = refusals([RAIL], [replace(PLANK, defects=((a, b),))], SHOP)
    assert "leave 0 mm" in found.why


def test_defects_that_leave_only_short_spans():
    worm = replace(PLANK, defects=((1500.0, 1530.0), (700.0, 760.0)))
    (found,) = refused([RAIL, SLAT], [worm])
    assert found.part == "rail"
    assert "leave 740 mm at most" in found.why


def test_one_sound_board_is_enough():
    worm = replace(PLANK, name="worm", defects=((0.0, 2150.0),))
    assert cut([SLAT], [worm, PLANK], SHOP, Stop(0.5)).plan is not None


def test_boards_too_few_in_number():
    many = replace(RAIL, count=31)
    (found,) = refused([many], [replace(PLANK, count=1)])
    assert "rail" in found.part
    assert "do not suffice" in found.why
    more = int(found.todo.split(" more of ash 41")[0].split()[-1])
    assert cut([many], [replace(PLANK, count=1 + more)], SHOP, Stop(5.0)).plan is not None
    assert cut([many], [replace(PLANK, count=more)], SHOP, Stop(5.0)).plan is None


def test_rack_boards_too_few_in_number():
    rack = [
        Stock("rack 2", "ash", 1010.0, 66.0, 33.0, count=1),
        Stock("rack 5", "ash", 960.0, 71.0, 29.0, count=1),
    ]
    (found,) = refused([RAIL], rack)
    assert "more of rack" in found.todo


def test_too_few_only_for_their_defects():
    """Without the defect the one board would do: something has to be said all the same."""
    worm = Stock("ash 26", "ash", 2000.0, 70.0, 26.0, 9.0, count=1, defects=((1000.0, 1100.0),))
    (found,) = refused([Demand("arm", "ash", 600.0, 60.0, 20.0, 3)], [worm])
    assert found.part == "arm"
    assert found.todo


def test_every_part_that_cannot_be_cut_is_named():
    parts = [replace(RAIL, length=3000.0), SLAT, replace(RAIL, name="seat", width=300.0)]
    assert [r.part for r in refused(parts, [PLANK])] == ["rail", "seat"]


def test_sizes_in_inches():
    parts = [
        replace(RAIL, length=3000.0), replace(RAIL, name="seat", width=300.0),
        replace(RAIL, name="arm", wood="elm"),
    ]  # fmt: skip
    worm = replace(PLANK, defects=((100.0, 2000.0),))
    found = [
        *refusals(parts, [PLANK], SHOP, inches),
        *refusals([RAIL], [worm], SHOP, inches),
    ]
    assert len(found) == 4
    for refusal in found:
        assert " in" in refusal.why + refusal.todo
        assert "mm" not in refusal.why + refusal.todo
    assert "118.11 in" in found[0].why
    holds = machine_holds([replace(SLAT, thickness=1.0)], SHOP, inches)
    assert holds
    assert "0.04 in" in " ".join(holds)
    assert "mm" not in " ".join(holds)


# --- machines


@pytest.mark.parametrize("machine", ["saw", "surfacing", "thicknessing"])
@pytest.mark.parametrize("missing", ["least_length", "least_width", "least_thickness"])
def test_least_sizes_not_typed_hold_the_plan_back(machine, missing):
    typed = getattr(SHOP, machine)
    shop = replace(SHOP, **{machine: replace(typed, **{missing: None})})
    result = cut([RAIL], [PLANK], shop, Stop(2.0))
    assert (result.status, result.plan) == ("held", None)
    (hold,) = result.holds
    assert typed.name in hold
    assert "manual" in hold


@pytest.mark.parametrize(
    ("machine", "size", "value", "words"),
    [
        ("saw", "least_width", 58.0, "rail: 57 mm width is below what the saw takes (58 mm)"),
        ("saw", "least_thickness", 21.0, "rail: 20.4 mm thickness is below what the saw takes"),
        ("thicknessing", "least_width", 58.0, "57 mm width is below what the thicknessing machine"),
        ("thicknessing", "least_thickness", 20.0, "rail: 19 mm thickness is below"),
    ],
)
def test_least_sizes_too_large_hold_the_plan_back(machine, size, value, words):
    shop = replace(SHOP, **{machine: replace(getattr(SHOP, machine), **{size: value})})
    result = cut([RAIL], [PLANK], shop, Stop(2.0))
    assert (result.status, result.plan) == ("held", None)
    assert any(words in hold for hold in result.holds)


def test_a_least_length_above_every_board_is_refused():
    shop = replace(SHOP, saw=replace(SAW, least_length=2140.0))
    (found,) = refused([RAIL], [PLANK], shop)
    assert found.part == "rail"
    assert "longer than any board" in found.why


def test_planks_too_narrow_to_surface_are_refused():
    shop = replace(SHOP, surfacing=replace(SURFACER, least_width=143.0))
    (found,) = refused([RAIL], [PLANK], shop)
    assert found.part == "rail"
    assert cut([RAIL], [replace(PLANK, surfaced=True)], shop, Stop(2.0)).plan is not None


def test_the_plank_said_to_do_passes_the_surfacing_machine():
    """A plank as the remedy names it must not be refused again."""
    lath = Demand("lath", "ash", 700.0, 18.0, 4.0, 3, "flat")
    (found,) = refused([lath], [replace(PLANK, width=19.0, thickness=7.0)])
    (words,) = planks(found.todo)
    wide, thick = (float(w.split(" mm")[0]) for w in words.split(" and "))
    plank = replace(PLANK, width=wide + 0.01, thickness=thick + 0.01)
    assert refusals([lath], [plank], SHOP) == ()


def test_the_planks_said_to_do_are_not_too_thick_for_the_saw():
    """The plank is large enough, the saw does not reach; thicker planks are no help."""
    shop = replace(SHOP, rip_depth=30.0)
    (found,) = refused([RAIL], [PLANK], shop)
    for words in planks(found.todo):
        wide, thick = (float(w.split(" mm")[0]) for w in words.split(" and "))
        plank = replace(PLANK, width=wide + 0.01, thickness=thick + 0.01)
        assert refusals([RAIL], [plank], shop) == (), words


@settings(derandomize=True, max_examples=60)
@given(st.integers(1, 64 * 40))
def test_a_part_exactly_as_long_as_the_machine_takes_is_cut(sixty_fourths):
    """In 64ths of an inch and in thirds of a mm, as typed for part and machine alike."""
    for size in (sixty_fourths * 25.4 / 64, sixty_fourths / 3):
        saw = MachineLimits("saw", size, 1.0, 1.0)
        shop = Shop(saw, saw, saw, end_trim=10.0)
        peg = Demand("peg", "ash", size, 20.0, 8.0, 1)
        result = cut([peg], [Stock("lath", "ash", size + 20.5, 30.0, 15.0, 4.0)], shop, Stop(2.0))
        assert result.plan is not None
