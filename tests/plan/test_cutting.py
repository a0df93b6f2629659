"""The cutting plan of a project: what is asked, what there is, what comes out, what is refused."""

import json
from dataclasses import replace

import pytest

from overbend.errors import StockError
from overbend.plan import Plan, cutting_lines, money, open_plan, plan_data, proof_words
from overbend.project import read
from overbend.project.shop_state import BoardHeld, ShopState
from overbend.solver import Solution, Stop
from overbend.stock import verify, verify_sheets
from overbend.units import Display
from support.pieces import EXAMPLES, HEAD, LAMINATE, SOLID

MACHINES = """
[shop.machine.saw]
least_length = 150
least_width = 15
least_thickness = 2
depth = 120
resaw_depth = 180
[shop.machine.surfacing]
least_length = 200
least_width = 20
least_thickness = 8
[shop.machine.thicknessing]
least_length = 160
least_width = 18
least_thickness = 2
"""
RAIL = """
[part.rail]
kind = "straight"
wood = "maple"
section = [22, 40]
length = 610
count = 2
"""


def row(name="maple 52", wood="maple", length=2200, width=170, thickness=52, price=30, more=""):
    return (
        f'[[shop.yard]]\nname = "{name}"\nwood = "{wood}"\nlength = {length}\nwidth = {width}\n'
        f"thickness = {thickness}\nprice = {price}\n{more}\n"
    )


YARD = row() + row("ash 34", "ash", 2000, 150, 34, 20)
BOARD = BoardHeld("board 1", "sugar-maple", 1500.0, 160.0, 45.0, "kiln", uid="a" * 32)


def plan_of(*tables, boards=(), units="mm"):
    text = HEAD.replace('units = "mm"', f'units = "{units}"') + "".join(tables)
    return Plan(read(text), shop_state=ShopState(boards=boards))


def demand(plan, name):
    return next(d for d in plan.to_cut.demands if d.name.startswith(name))


# -- what is asked -----------------------------------------------------------------------
def test_nothing_is_shown_without_a_board_in_the_yard_or_on_the_rack():
    plan = plan_of(LAMINATE, RAIL, MACHINES)
    assert plan.cutting is None
    assert plan.to_cut is None
    assert cutting_lines(plan) == ()
    assert plan_data(plan)["cutting"] is None


def test_strips_are_asked_for_with_spares_and_keep_their_stack():
    plan = plan_of(LAMINATE, MACHINES, YARD)
    strips = {s.thickness: s for s in plan.strips_to_mill}
    for thickness, per_part in ((3.0, 2), (4.5, 1)):
        strip, asked = strips[thickness], demand(plan, f"bow, {thickness:g} mm strips")
        assert asked.count == strip.count > 3 * per_part
        assert (asked.length, asked.width) == (strip.length, strip.width)
        assert plan.to_cut.shop.sawn(asked) == strip.sawn_thickness
        assert (asked.part, asked.per_part, asked.grain) == ("bow", per_part, "any")


def test_solid_bends_are_blanks_of_no_stack():
    blank = demand(plan_of(SOLID, MACHINES, YARD), "slat, 11 mm blanks")
    assert (blank.part, blank.per_part) == ("", 0)


def test_a_straight_part_gets_trim_and_planing_and_may_lie_either_way():
    blank = demand(plan_of(RAIL, MACHINES, YARD), "rail blanks")
    assert blank.length == 670.0  # 610 and twice 28, up to whole 5 mm
    assert (blank.width, blank.thickness, blank.grain) == (41.5, 22.0, "any")
    assert blank.count == 2


def test_blanks_of_one_size_are_one_kind_and_others_are_told_apart():
    twin = RAIL.replace("part.rail", "part.brace").replace("[22, 40]", "[40, 22]")
    other = RAIL.replace("part.rail", "part.stay").replace("610", "410")
    plan = plan_of(RAIL, twin, other, MACHINES, YARD)
    assert [(d.name, d.count) for d in plan.to_cut.demands] == [
        ("rail and brace blanks", 4),
        ("stay blanks", 2),
    ]


def test_what_is_milled_already_is_not_asked_for():
    made = '[made.a]\nkind = "strips"\npart = "bow"\nply = 1\nthickness = [3.1, 3.0]\n'
    rail = '[made.b]\nkind = "strips"\npart = "rail"\nthickness = 22\ncount = 1\n'
    plan = plan_of(LAMINATE, RAIL, made, rail, MACHINES, YARD)
    names = [d.name for d in plan.to_cut.demands]
    assert not any("3.1" in n or "3 mm" in n for n in names)
    assert demand(plan, "rail blank").count == 1
    assert demand(plan, "bow, 4.5 mm").per_part == 1


def test_names_are_in_the_readers_unit_and_each_once():
    inch = LAMINATE.replace("thickness = 3\n", "thickness = 3.175\n")
    twice = inch.replace("thickness = 4.5", "thickness = 3.175")
    plan = Plan(read(HEAD + twice + RAIL + MACHINES + YARD), Display("in"))
    names = [d.name for d in plan.to_cut.demands]
    assert names == ["bow, 1/8 in strips, maple", "bow, 1/8 in strips, ash", "rail blanks"]


def test_blanks_are_cut_to_quarter_inches_in_a_file_of_inches():
    rail = RAIL.replace("610", "23.9").replace("[22, 40]", "[1, 2]")
    text = HEAD.split("[[curve")[0].replace('units = "mm"', 'units = "in"')
    plan = Plan(read(text.replace("trim = 28", "trim = 1") + rail + row(width=6, thickness=2)))
    assert demand(plan, "rail").length == pytest.approx(26.0 * 25.4)


def test_layers_of_forms_are_panels_until_the_form_is_made():
    plan = plan_of(LAMINATE, SOLID.replace("count = 2\n", "count = 2\nform = { parts = 2 }\n", 1),
                   MACHINES, YARD)  # fmt: skip
    names = [p.name for p in plan.to_cut.panels]
    assert names == ["bow form, layers", "slat form 1, layers", "slat form 2, layers"]
    layers = plan.bent["bow"].form.parts[0].layers
    assert plan.to_cut.panels[0].count == layers.count
    assert plan.to_cut.panels[0].length == layers.box[0] + 10.0
    shape = plan.bent["bow"].shapes["form"]
    made = (
        f'[made.f]\nkind = "form"\npart = "bow"\nchord = {shape.chord:.1f}\nrise = '
        f"{shape.rise:.1f}\n"
    )
    again = plan_of(LAMINATE, MACHINES, YARD, made)
    assert again.to_cut.panels == ()
    assert again.cutting.sheets is None


def test_a_form_of_other_sheets_is_named_and_left_out():
    plan = plan_of(LAMINATE.replace("width = 37", "form = { sheet = 21 }\nwidth = 37"), MACHINES,
                   YARD)  # fmt: skip
    assert plan.cutting.panels == ()
    assert plan.cutting.other_sheets == ("bow",)


# -- what there is -----------------------------------------------------------------------
def test_the_racks_boards_come_first_and_are_paid_for():
    held = replace(BOARD, defects=((700.0, 760.0),), surfaced=True)
    supply = plan_of(RAIL, MACHINES, YARD, boards=(held,)).to_cut.supply
    assert [s.name for s in supply] == ["board 1", "maple 52", "ash 34"]
    first = supply[0]
    assert (first.wood, first.cost, first.count, first.surfaced) == ("maple", 0.0, 1, True)
    assert first.defects == ((700.0, 760.0),)


@pytest.mark.parametrize(
    ("species", "dried", "taken"),
    [("sugar-maple", "kiln", True), ("sugar-maple", "", True), ("sugar-maple", "air", False),
     ("red-oak", "kiln", False)],
)  # fmt: skip
def test_a_board_has_to_be_of_the_wood_and_its_drying(species, dried, taken):
    board = replace(BOARD, species=species, dried=dried)
    assert (plan_of(RAIL, MACHINES, boards=(board,)).to_cut is not None) == taken


@pytest.mark.parametrize(
    ("per", "price", "cost"),
    [("piece", 30.0, 30.0), ("metre", 10.0, 22.0), ("foot", 3.048, 22.0),
     ("volume", 1000.0, 19.448), ("board-foot", 2.35973721600, 19.448)],
)  # fmt: skip
def test_prices_by_piece_length_and_volume(per, price, cost):
    plan = plan_of(RAIL, MACHINES, row(price=price, more=f'price_per = "{per}"'))
    assert plan.to_cut.supply[0].cost == pytest.approx(cost, rel=1e-9)


def test_the_shops_figures_reach_the_saw():
    more = "[shop.cutting]\nresaw_kerf = 1.2\nkeep_length = 0\nkeep_width = 70\nend_trim = 40\n"
    shop = plan_of(RAIL, MACHINES, YARD, more).to_cut.shop
    assert (shop.kerf, shop.through_kerf, shop.end_trim, shop.planing) == (3.0, 1.2, 40.0, 1.5)
    assert (shop.keep_length, shop.keep_width) == (None, 70.0)
    assert (shop.rip_depth, shop.resaw_depth) == (120.0, 180.0)


# -- the plan ----------------------------------------------------------------------------
@pytest.mark.parametrize("file", EXAMPLES, ids=lambda p: p.stem)
def test_every_example_has_a_whole_plan_that_can_be_cut(file):
    plan = open_plan(file)
    found = plan.cut_with(Stop(6.0, gap=0.1))
    assert found is plan.cutting
    assert found.result.plan is not None
    assert verify(found.result.plan, found.demands, found.supply, found.shop) == ()
    assert found.result.cost.bound > 0.0
    kerf = plan.project.shop.saw_kerf
    assert verify_sheets(found.sheets.panels, found.panels, found.sheet, kerf) == ()
    assert not [h for h in plan.holds if h.kind in ("machine", "boards")]
    assert cutting_lines(plan)[0].startswith("boards to buy: ")


def test_paid_wood_is_used_before_wood_is_bought():
    bought = plan_of(RAIL, MACHINES, YARD).cutting
    held = plan_of(RAIL, MACHINES, YARD, boards=(BOARD,)).cutting
    assert bought.result.plan.cost == 30.0
    assert held.result.plan.cost == 0.0
    assert held.result.plan.bought() == {"board 1": 1}
    assert held.rack == {"board 1"}


def test_a_proven_plan_comes_out_the_same_again():
    one, two = (plan_of(RAIL, SOLID, MACHINES, YARD).cutting.result for _ in range(2))
    assert one.status == "optimal"
    assert one.plan.boards == two.plan.boards
    assert one.plan.setups == two.plan.setups


def test_offcuts_are_numbered_as_they_are_cut():
    found = plan_of(RAIL, MACHINES, YARD).cutting
    assert [k.name for k in found.kept] == [f"off-cut {i + 1}" for i in range(len(found.kept))]
    assert found.kept
    assert {k.stock for k in found.kept} == {"maple 52"}


def test_a_straight_part_comes_out_of_a_planed_board_of_its_thickness_unplaned():
    yard = row("planed 22", width=90, thickness=22, more="surfaced = true")
    plan = plan_of(RAIL, MACHINES, yard)
    assert demand(plan, "rail").finished_width == 40.0
    assert [s.step for s in plan.cutting.result.plan.setups] == ["crosscut", "rip"]
    (wanted,) = plan_data(plan)["cutting"]["wanted"]
    assert (wanted["width_mm"], wanted["finished_width_mm"]) == (41.5, 40.0)


def test_a_straight_part_as_wide_as_its_planed_board_is_only_crosscut():
    yard = row("planed 22", width=40, thickness=22, more="surfaced = true")
    plan = plan_of(RAIL, MACHINES, yard)
    assert [s.step for s in plan.cutting.result.plan.setups] == ["crosscut"]
    assert plan.cutting.result.plan.waste >= 0.0


def test_the_width_of_an_off_cut_on_the_rack_is_no_finished_one():
    held = replace(BOARD, width=40.0, thickness=22.0, surfaced=True)
    whole, off_cut = (
        plan_of(RAIL, MACHINES, boards=(replace(held, off_cut=flag),)) for flag in (False, True)
    )
    assert whole.cutting.result.plan is not None
    assert off_cut.cutting.result.plan is None
    assert off_cut.cutting.supply[0].sawn_edge


def test_progress_is_told_and_a_cancelled_search_keeps_what_it_has():
    told = []
    plan = plan_of(LAMINATE, SOLID, RAIL, MACHINES, YARD)
    found = plan.cut_with(Stop(2.0), told.append, cancel=lambda: len(told) > 0)
    assert told
    assert all(isinstance(t, Solution) for t in told)
    assert found.result.plan is not None
    assert verify(found.result.plan, found.demands, found.supply, found.shop) == ()


def test_plain_data_is_json_and_says_what_the_plan_says():
    plan = plan_of(RAIL, SOLID, MACHINES, YARD, boards=(BOARD,))
    data = json.loads(json.dumps(plan_data(plan)["cutting"], allow_nan=False))
    assert data["status"] == plan.cutting.result.status
    assert data["saw_plan"]["boards_used"] == plan.cutting.result.plan.bought()
    assert [s["rack_uid"] for s in data["supply"]] == ["a" * 32, None, None]
    pieces = [p for b in data["saw_plan"]["boards"] for n in b["lengths"] for p in n["pieces"]]
    asked = {w["name"]: w["count"] for w in data["wanted"]}
    assert {n: sum(p["name"] == n and not p["extra"] for p in pieces) for n in asked} == asked
    offcuts = [o["name"] for b in data["saw_plan"]["boards"] for o in b["offcuts"]]
    assert offcuts == [k.name for k in plan.cutting.kept]


# -- what is in its way ------------------------------------------------------------------
def boards_hold(plan):
    (hold,) = [h for h in plan.holds if h.kind == "boards"]
    assert plan.cutting.result.plan is None
    assert plan.cutting.result.status == "infeasible"
    return hold.text


def test_without_the_machines_least_sizes_no_board_is_chosen():
    plan = plan_of(RAIL, YARD)
    (hold,) = [h for h in plan.holds if h.kind == "machine"]
    assert "the saw and the surfacing machine and the thicknessing machine" in hold.text
    assert plan.cutting.result.status == "held"
    assert cutting_lines(plan)[0] == "boards: not chosen until what waits for you is typed"
    assert plan_data(plan)["cutting"]["saw_plan"] is None


def test_a_piece_below_what_a_machine_takes_is_one_line():
    text = MACHINES.replace("least_width = 18", "least_width = 45")
    plan = plan_of(RAIL, text, YARD)
    (hold,) = [h for h in plan.holds if h.kind == "machine"]
    assert "rail blanks: 41.5 mm width is below" in hold.text
    assert plan.cutting.result.plan is None


def test_depths_that_were_not_typed_are_asked_for_but_hold_nothing():
    plan = plan_of(RAIL, MACHINES.replace("depth = 120\nresaw_depth = 180\n", ""), YARD)
    (hold,) = [h for h in plan.holds if h.kind == "machine"]
    assert "the widest piece it resaws" in hold.text
    assert plan.cutting.result.plan is not None


def test_a_part_longer_than_any_board():
    text = boards_hold(plan_of(RAIL, MACHINES, row(length=700)))
    assert "rail blanks: 670 mm is longer than any board gives" in text
    assert "A board 720 mm long or longer" in text


def test_a_part_wider_than_any_plank():
    text = boards_hold(plan_of(RAIL, MACHINES, row(width=24, thickness=30)))
    assert "41.5 mm x 23.5 mm (sawn) comes out of no plank" in text


def test_sizes_in_refusals_are_in_inches_for_a_reader_of_inches():
    plan = Plan(read(HEAD + RAIL + MACHINES + row(length=711.2)), Display("in"))
    assert "26-3/8 in is longer than any board gives: maple 52 is 28 in" in boards_hold(plan)


def test_none_in_stock():
    text = boards_hold(plan_of(RAIL, MACHINES, row(more="count = 0")))
    assert "no board is left of it" in text


def test_no_board_of_a_wood():
    text = boards_hold(plan_of(RAIL, SOLID, MACHINES, row()))
    assert "ash: no board of it is in the list" in text


def test_a_defect_that_covers_the_board():
    held = replace(BOARD, defects=((0.0, 1500.0),))
    text = boards_hold(plan_of(RAIL, MACHINES, boards=(held,)))
    assert "the defects of board 1 (1500 mm) leave 0 mm at most" in text


def test_too_few_boards_for_all_of_it():
    rail = RAIL.replace("count = 2", "count = 40")
    plan = plan_of(rail, MACHINES, row(more="count = 1"))
    (line, *_) = cutting_lines(plan)
    assert plan.cutting.result.status == "infeasible"
    assert "the maple boards at hand do not suffice" in line
    assert "more of maple 52" in line


def test_a_saw_without_kerf_cuts_as_well():
    text = HEAD.replace("[shop]", "[shop]\nsaw_kerf = 0")
    plan = Plan(read(text + RAIL + LAMINATE + MACHINES + YARD))
    cutting = plan.cut_with(Stop(5.0, gap=0.1))
    assert (cutting.shop.kerf, cutting.shop.through_kerf) == (0.0, 0.0)
    assert verify(cutting.result.plan, cutting.demands, cutting.supply, cutting.shop) == ()
    assert verify_sheets(cutting.sheets.panels, cutting.panels, cutting.sheet, 0.0) == ()


def test_a_form_larger_than_a_sheet_says_so():
    text = HEAD.replace("[shop]", "[shop]\nsheet = [200, 150]")
    plan = Plan(read(text + LAMINATE + MACHINES + YARD))
    assert plan.cutting.sheet_count is None
    assert any(line.startswith("sheets for forms: not enough") for line in cutting_lines(plan))


def test_sizes_that_no_shop_has_are_an_error_of_ours():
    with pytest.raises(StockError):
        _ = plan_of(RAIL, MACHINES, YARD, "[shop.cutting]\nend_trim = 200000\n").to_cut


# -- in words ----------------------------------------------------------------------------
def test_prices_and_proofs_in_words():
    assert money(0.005, "GBP") == "0.01 GBP"
    assert proof_words(Solution(50.0, 50.0, 0.1, "optimal")) == "proven to be the least"
    assert proof_words(Solution(50.0, 48.5, 5.0, "feasible")).startswith("at most 3.0 % more")
    assert proof_words(Solution(None, 0.0, 5.0, "unknown")) == "none found"


def test_the_lines_name_boards_money_off_cuts_and_sheets():
    plan = Plan(
        read(
            HEAD.replace("[shop]", '[shop]\ncurrency = "GBP"')
            + LAMINATE + RAIL + MACHINES + YARD + "[shop.cutting]\nsheet_price = 41.5\n"
        ),
        shop_state=ShopState(boards=(replace(BOARD, length=800.0),)),
    )  # fmt: skip
    lines = cutting_lines(plan)
    assert (
        lines[0]
        == f"boards to buy: {_bought(plan)}, together {_cost(plan)}, proven to be the least"
    )
    assert any(line.startswith("of the wood cut up, ") for line in lines)
    assert lines[-1] == "sheets for forms: 1, 41.50 GBP"


def _bought(plan):
    used = plan.cutting.result.plan.bought()
    return ", ".join(f"{n} of {name}" for name, n in used.items() if name != "board 1")


def _cost(plan):
    return f"{plan.cutting.result.plan.cost:.2f} GBP"
