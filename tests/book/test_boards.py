"""The chapter of boards and cuts, and its lists: what is said when, and that the numbers agree."""

import csv
import io
from dataclasses import replace

import pypdfium2 as pdfium
import pytest

from overbend.book.blocks import Heading, Pair, Picture, Table, Text, Whole
from overbend.book.boards_csv import board_lists, safe_cell
from overbend.book.chapters.boards import boards_chapter, saving_words, spare_strips
from overbend.book.pdf import pdf_bytes
from overbend.book.say import Say
from overbend.book.write import book_blocks
from overbend.draw.board_labels import lettered
from overbend.plan import Plan, cutting_lines, open_plan
from overbend.project import read
from overbend.solver import Solution
from overbend.stock import Demand, Refusal, Stock, cut
from overbend.stock.setups import setups_of
from overbend.units import Display
from support.boards_to_cut import SHEET, SHOP, by_hand, in_the_way, solved
from support.pieces import EXAMPLES, HEAD, LAMINATE


def plan_with(cutting, units="mm"):
    """A plan of a bent part whose cutting plan is this one."""
    text = HEAD.replace("trim = 28", 'trim = 28\ncurrency = "EUR"')
    plan = Plan(read(text + LAMINATE), Display(units))
    plan.__dict__["cutting"] = cutting
    return plan


def chapter(cutting, units="mm"):
    return boards_chapter(plan_with(cutting, units), Say(Display(units)))


def flat(blocks):
    for block in blocks:
        if isinstance(block, Pair):
            yield from flat([*block.left, *block.right])
        elif isinstance(block, Whole):
            yield from flat(block.blocks)
        else:
            yield block


def texts(blocks, kind=None):
    return [b.text for b in flat(blocks) if isinstance(b, Text) and kind in (None, b.kind)]


def headings(blocks):
    return [b.text for b in flat(blocks) if isinstance(b, Heading)]


def table(blocks, first):
    (found,) = [b for b in flat(blocks) if isinstance(b, Table) and first in b.header]
    return found


# -- what to buy ---------------------------------------------------------------------------
def test_the_answer_comes_first():
    assert texts(chapter(solved()), "lead") == [
        "Buy one board for 9.72 EUR. One board comes from the rack."
    ]
    spares = spare_strips(plan_with(solved()))
    (what_for, *_) = texts(chapter(solved()), "body")
    assert what_for.startswith(f"That is the cost for 22 strips and blanks, of which {spares} ")
    assert what_for.endswith("No cheaper choice of boards exists.")


def test_half_a_cent_is_rounded_as_everywhere_else():
    found = solved()
    plan = replace(found.result.plan, cost=112.875)
    odd = replace(found, result=replace(found.result, plan=plan))
    (lead,) = texts(chapter(odd), "lead")
    assert "for 112.88 EUR." in lead
    assert any("together 112.88 EUR" in line for line in cutting_lines(plan_with(odd)))


def test_spares_are_what_is_milled_over_the_good_ones():
    plan = plan_with(solved())
    mill = sum(strip.count for strip in plan.strips_to_mill)
    assert spare_strips(plan) == mill - sum(strip.count for strip in plan.strips)
    assert spare_strips(plan) > 0


def test_what_is_not_proven_is_said_never_too_little():
    cost = Solution(100.0, 98.199, 5.0, "feasible")
    assert saving_words(cost).startswith("At most 1.9 % could still be saved")
    assert "not known" in saving_words(Solution(100.0, 0.0, 5.0, "feasible"))
    assert any("At most 5.0 % could still" in t for t in texts(chapter(by_hand())))


def test_a_proven_cost_is_not_doubted_for_a_rounding():
    proven = Solution(42.94464, 42.9446, 1.0, "optimal")
    assert saving_words(proven) == "No cheaper choice of boards exists."


def test_the_buying_list_adds_up():
    rows = table(chapter(by_hand(4)), "Size as sold").rows
    assert rows == [
        ("oak 27", "oak", "27 x 130 x 2000 mm", "4", "20.00", "80.00"),
        ("Together", "", "", "4", "", "80.00"),
    ]
    rack = table(chapter(solved()), "Size as sold").rows[0]
    assert (rack[0], rack[4:]) == ("board 7", ("on the rack", ""))


def test_boards_of_the_rack_alone_cost_nothing():
    cutting = by_hand(2)
    free = replace(cutting.supply[0], price=0.0)
    saw_plan = replace(cutting.result.plan, cost=0.0)
    result = replace(cutting.result, plan=saw_plan, cost=Solution(0.0, 0.0, 1.0, "optimal"))
    own = replace(cutting, supply=(free,), result=result, rack=frozenset({"oak 27"}))
    assert texts(chapter(own), "lead") == [
        "Nothing to buy: 2 boards from the rack give everything."
    ]


# -- what is in the way --------------------------------------------------------------------
def test_without_least_sizes_no_cutting_instruction_at_all():
    blocks = chapter(in_the_way(holds=("Type the least length of the saw from its manual.",)))
    assert texts(blocks, "hold") == ["Type the least length of the saw from its manual."]
    assert not any(isinstance(b, Picture) for b in flat(blocks))
    assert "Set-ups, in this order" not in headings(blocks)
    assert list(board_lists(in_the_way(holds=("Type it.",)))) == []


def test_a_part_that_cannot_be_cut_says_why_and_what_would_do():
    refusal = Refusal("arch", "2600 mm is longer than any board", "A board 2650 mm long would do.")
    blocks = chapter(in_the_way(refusals=(refusal,)))
    (hold,) = texts(blocks, "hold")
    assert hold == "arch: 2600 mm is longer than any board. A board 2650 mm long would do."
    assert "Sheets for forms" in headings(blocks)


def test_a_search_without_result_says_what_to_do():
    (hold,) = texts(chapter(in_the_way()), "hold")
    assert "in the 5 s it was given" in hold


def test_nothing_without_boards():
    assert chapter(None) == []
    plan = plan_with(None)
    assert "Boards and cuts" not in [b.text for b in book_blocks(plan) if isinstance(b, Heading)]


# -- at the saw ----------------------------------------------------------------------------
def test_every_setting_has_a_box_and_is_held_against_its_machine():
    cutting = solved()
    rows = table(chapter(cutting), "Machine takes").rows
    assert [row[0] for row in rows] == ["☐"] * len(cutting.result.plan.setups)
    assert [row[1] for row in rows if row[1]] == [
        "Crosscut", "Surface", "Rip", "Split", "Plane", "Cut to length",
    ]  # fmt: skip
    assert sum(int(r[3]) for r in rows) == sum(s.count for s in cutting.result.plan.setups)
    assert {row[6] for row in rows} == {"holds", ""}
    plane = rows[[row[1] for row in rows].index("Plane") :]
    assert any(row[4] == "1290 x 56 x 3.2" and row[5] == "310 x 18 x 3" for row in plane)


def test_a_machine_that_does_not_take_a_piece_is_named():
    planer = replace(SHOP.thicknessing, least_thickness=7.5)
    cutting = by_hand()
    weak = replace(cutting, shop=replace(SHOP, thicknessing=planer))
    rows = table(chapter(weak), "Machine takes").rows
    assert [row[6] for row in rows if row[2] == "7"] == ["fails"]


def test_boards_bought_planed_are_not_surfaced_again():
    cutting = by_hand()
    supply = (replace(cutting.supply[0], surfaced=True),)
    plan = cutting.result.plan
    setups = setups_of(plan.boards, cutting.demands, supply, cutting.shop)
    result = replace(cutting.result, plan=replace(plan, setups=setups))
    planed = replace(cutting, supply=supply, result=result)
    assert "Surface" not in [row[1] for row in table(chapter(planed), "Machine takes").rows]


def test_a_piece_as_thick_as_its_planed_board_is_crosscut_and_ripped_only():
    slat = Demand("slat", "oak", 700.0, 60.0, 19.0, 4)
    board = Stock("planed 19", "oak", 1500.0, 130.0, 19.0, 20.0, surfaced=True)
    result = cut([slat], [board], SHOP)
    made = replace(by_hand(), demands=(slat,), supply=(board,), result=result)
    blocks = chapter(made)
    assert [row[1] for row in table(blocks, "Machine takes").rows] == ["Crosscut", "Rip"]
    (row,) = table(blocks, "Planed to").rows
    assert row[1:] == ("slat", "60 x 19", "not planed")


def test_every_strip_is_named_once_and_stacks_are_whole():
    blocks = chapter(solved())
    stacks = table(blocks, "Stack")
    assert [row[0] for row in stacks.rows] == ["arch 1", "arch 2"]
    assert stacks.header[1:] == ("arch, 3.2 mm strips", "arch, 5 mm strips")
    named = [n for t in (stacks, table(blocks, "Others")) for r in t.rows for c in r[1:]
             for n in strips_of(c)]  # fmt: skip
    wanted = [n.strip(k) for b in lettered(solved()) for n in b.lengths
              for k in range(len(n.cut.pieces))]  # fmt: skip
    assert sorted(named) == sorted(wanted)
    assert all(len(strips_of(row[1])) == 4 for row in stacks.rows)


def test_strips_in_no_stack_say_what_they_are():
    count = {row[0]: len(strips_of(row[1])) for row in table(chapter(solved()), "Others").rows}
    pieces = [p for b in solved().result.plan.boards for p in b.pieces]
    more = sum(p.extra for p in pieces if p.demand == "arch, 3.2 mm strips")
    assert count["arch, 3.2 mm strips, spare"] == 9 - 2 * 4
    assert count["arch, 5 mm strips, spare"] == 3 - 2 * 1
    assert count["peg, blanks"] == 8
    assert count.get("arch, 3.2 mm strips, more than asked for", 0) == more


def test_without_stacks_none_are_spoken_of():
    assert any("one stack" in t for t in texts(chapter(solved())))
    assert not any("one stack" in t for t in texts(chapter(by_hand())))


def strips_of(cell):
    """Names of strips in a cell, one by one."""
    found = []
    for run in filter(None, cell.split("; ")):
        length, numbers = run.split("-")
        for span in numbers.replace(" and ", ", ").split(", "):
            first, _, last = span.partition(" to ")
            found += [f"{length}-{n}" for n in range(int(first), int(last or first) + 1)]
    return found


def test_off_cuts_are_listed_with_name_and_size():
    rows = table(chapter(solved()), "Write on it").rows
    assert [row[0] for row in rows] == [one.name for one in solved().kept]
    cut = solved().kept[0].offcut
    assert rows[0][3] == f"{cut.thickness:g} x {cut.width:.1f} x {cut.length:g}"


# -- sheets --------------------------------------------------------------------------------
def test_sheets_are_counted_and_their_cuts_listed():
    blocks = chapter(solved())
    count = solved().sheet_count
    assert any(t.startswith(f"{count} sheet") and "No fewer would do." in t for t in texts(blocks))
    assert any("rail, whose sheets have another thickness" in t for t in texts(blocks, "small"))
    tables = [b for b in flat(blocks) if isinstance(b, Table) and b.header[0] == "Cut"]
    assert len(tables) == len({p.sheet for p in solved().sheets.panels})
    numbers = [[int(row[k]) for k in (0, 3, 6) for row in t.rows if row[k]] for t in tables]
    assert all(row == list(range(1, len(row) + 1)) for row in numbers)


def test_sheets_too_small_are_refused_with_a_reason():
    refusal = Refusal("arch form", "3000 by 310 mm does not fit the sheet", "A sheet would do.")
    sheets = replace(solved().sheets, panels=(), refusals=(refusal,),
                     solution=Solution(None, 0.0, 0.1, "infeasible"))  # fmt: skip
    blocks = chapter(replace(solved(), sheets=sheets))
    assert any(t.startswith("arch form: 3000 by 310") for t in texts(blocks, "hold"))


# -- on paper ------------------------------------------------------------------------------
@pytest.mark.parametrize(("units", "paper"), [("mm", "a4"), ("in", "letter"), ("mm", "letter")])
def test_it_can_be_set(units, paper):
    pdf = pdf_bytes(chapter(solved(), units), "Stool", "", paper)
    document = pdfium.PdfDocument(pdf)
    text = "\n".join(page.get_textpage().get_text_range() for page in document)
    assert 3 <= len(document) <= 7
    for word in ("Set-ups, in this order", "Crosscut the boards", "Strips by name", "off-cut 1"):
        assert word in text


def test_it_stands_after_the_strips():
    plan = open_plan(next(p for p in EXAMPLES if p.stem == "low-stool"))
    plan.__dict__["cutting"] = by_hand()
    chapters = [b.text for b in book_blocks(plan) if isinstance(b, Heading) and b.level == 1]
    at = chapters.index("All strips")
    assert chapters[at + 1] == "Boards and cuts"


# -- lists ---------------------------------------------------------------------------------
def rows_of(cutting, name):
    files = dict(board_lists(cutting, "EUR"))
    return list(csv.DictReader(io.StringIO(files[f"lists/{name}.csv"].decode())))


def test_the_lists_are_the_plan():
    cuts = rows_of(solved(), "cuts")
    pieces = [p for b in solved().result.plan.boards for p in b.pieces]
    assert len(cuts) == len(pieces)
    assert len({row["name"] for row in cuts}) == len(cuts)
    by_size = sum(float(r["length_mm"]) * float(r["across_mm"]) * float(r["through_mm"])
                  for r in cuts)  # fmt: skip
    assert by_size == pytest.approx(sum(p.length * p.across * p.through for p in pieces), rel=1e-6)
    assert {(r["is"], r["stack"]) for r in cuts} == {(p.demand, str(p.stack or "")) for p in pieces}
    buying = rows_of(solved(), "buying")
    assert sum(float(r["price"]) for r in buying) == pytest.approx(9.72)
    assert [r["from"] for r in buying] == ["rack", "yard"]
    panels = rows_of(solved(), "sheet-cuts")
    assert len(panels) == sum(p.count for p in solved().panels)
    assert max(float(r["x_mm"]) + float(r["length_mm"]) for r in panels) <= SHEET.length


def test_no_cell_is_a_formula():
    name = '=HYPERLINK("x")'
    cutting = by_hand()
    board = replace(cutting.supply[0], name=name)
    boards = tuple(replace(b, stock=name) for b in cutting.result.plan.boards)
    result = replace(cutting.result, plan=replace(cutting.result.plan, boards=boards))
    evil = replace(cutting, supply=(board,), result=result)
    assert rows_of(evil, "buying")[0]["board"] == f"'{name}"
    assert {row["stock"] for row in rows_of(evil, "cuts")} == {f"'{name}"}
    assert [safe_cell(t) for t in (" +1", "@a", "", "3.5")] == ["' +1", "'@a", "", "3.5"]
