"""Cutting diagrams: names, marks, scale, what is hatched, and that every text can be read."""

from dataclasses import replace

import pytest

from overbend.draw.board_end import bars_of, end_drawing, end_scale, runs_of
from overbend.draw.board_face import crosscut_marks, face_drawing, face_scale
from overbend.draw.board_labels import Lettered, alike_boards, alike_ends, lettered, numbers_text
from overbend.draw.board_sheet import PAGE, board_drawings, end_drawings, face_drawings
from overbend.draw.board_text import fitted, setting
from overbend.draw.board_yield import wood_shares, yield_drawing
from overbend.draw.drawing import Area, Label, Layer, Stroke
from overbend.draw.legible import crossed_labels
from overbend.draw.svg import to_svg
from overbend.plan.cutting import Kept
from overbend.stock import BoardPlan, OffCut, Piece, SawnLength, Stock
from overbend.units import Display
from support.boards_to_cut import SHOP, by_hand, in_the_way, solved

BOTH = [Display(), Display("in")]


def items(drawing, kind, name=""):
    return [i for i in drawing.items if isinstance(i, kind) and (not name or i.name == name)]


def texts(drawing):
    return [label.text for label in items(drawing, Label)]


def box(area):
    xy = area.paths[0].vertices[:, :2]
    return (*xy.min(axis=0).tolist(), *xy.max(axis=0).tolist())


# -- names ---------------------------------------------------------------------------------
def test_equal_boards_are_drawn_once_and_all_are_named():
    groups = alike_boards(lettered(by_hand(4)))
    assert [[b.letter for b in g] for g in groups] == [["A", "B", "C"], ["D"]]
    (name, first), (last, _) = face_drawings(by_hand(4), Display())
    assert (name, last) == ("Boards A, B and C", "Board D")
    assert "A, B, C" in texts(first)
    assert any(t.startswith("3 boards alike: oak 27, no. 1 to 3") for t in texts(first))
    assert "A1, B1, C1\n900" in texts(first)


def test_equal_lengths_are_drawn_once_whatever_board_they_come_from():
    (ends,) = alike_ends(lettered(by_hand(3)))
    assert ends.names == ("A1", "A2", "B1", "B2", "C1")
    assert len(end_drawings(by_hand(3), Display())) == 1


def test_strips_are_numbered_as_they_leave_the_saw():
    for ends in alike_ends(lettered(solved())):
        numbers = [
            n for bar in bars_of(ends) for c in bar.cells for n in range(c.first, c.last + 1)
        ]
        assert numbers == list(range(1, len(ends.first.cut.pieces) + 1))


def test_runs_of_numbers_are_short():
    assert numbers_text([7, 1, 2, 3, 9, 8]) == "1 to 3 and 7 to 9"
    assert numbers_text([2]) == "2"


# -- faces ---------------------------------------------------------------------------------
def test_marks_give_the_lengths_back_when_each_cut_lies_beyond_its_mark():
    for board in (*lettered(solved()), *lettered(by_hand())):
        marks = crosscut_marks(board, SHOP)
        assert list(marks) == sorted(marks)
        starts = [0.0, *marks, *(m + SHOP.kerf for m in marks)]
        for length in board.board.lengths:
            assert min(abs(length.x - s) for s in starts) < 1e-6
            assert min(abs(length.x + length.length - m) for m in marks) < 1e-6


def test_marks_are_written_from_the_marked_end_in_the_readers_unit():
    group = alike_boards(lettered(by_hand()))[0]
    metric = texts(face_drawing(group, SHOP, Display(), 0.05))
    assert {"0", "25", "925", "1827.6"} <= set(metric)
    inches = texts(face_drawing(group, SHOP, Display("in"), 0.05))
    assert {"0", "31/32", "36-13/32", "71-15/16"} <= set(inches)


def test_boards_are_to_scale_and_saw_cuts_lie_in_the_waste():
    group = alike_boards(lettered(by_hand()))[0]
    scale = 0.05
    drawing = face_drawing(group, SHOP, Display(), scale)
    (outline,) = items(drawing, Stroke, "board")
    assert outline.path.bounds == pytest.approx(
        (0.0, -130.0 * scale, 2000.0 * scale, 0.0), abs=1e-3
    )
    cuts = sorted(box(a)[:3:2] for a in items(drawing, Area, "saw cut"))
    marks = [m * scale for m in crosscut_marks(group[0], SHOP)]
    assert cuts[0][1] == pytest.approx(marks[0])  # before the first length, in the end trim
    assert [c[0] for c in cuts[1:]] == pytest.approx(marks[1:])
    assert all(b - a >= 0.3 - 1e-9 for a, b in cuts)


def test_defects_are_crossed_and_no_length_is_hatched():
    board = next(b for b in lettered(solved()) if b.stock.defects)
    drawing = face_drawing([board], SHOP, Display(), 0.05)
    (defect,) = items(drawing, Area, "defect")
    assert defect.fill == "cross"
    assert box(defect)[:3:2] == pytest.approx((1400.0 * 0.05, 1480.0 * 0.05))
    used = [(n.x * 0.05, (n.x + n.length) * 0.05) for n in board.board.lengths]
    for waste in items(drawing, Area, "waste"):
        x0, _, x1, _ = box(waste)
        assert all(x1 <= a + 1e-6 or x0 >= b - 1e-6 for a, b in used)


def test_off_cuts_carry_the_name_that_is_written_on_them():
    named = {one.name for one in solved().kept}
    assert named
    seen = {t for _, d in board_drawings(solved(), Display()) for t in texts(d)}
    assert named <= seen


def test_a_board_too_narrow_for_letters_is_named_above():
    stock = Stock("lath", "ash", 2400.0, 45.0, 20.0, count=1)
    piece = Piece("lath", "flat", 25.0, 1.5, 1.0, 2000.0, 40.0, 12.0)
    board = Lettered("A", BoardPlan("lath", 1, (SawnLength(25.0, 2000.0, (piece,)),), ()), stock)
    drawing = face_drawing([board], SHOP, Display(), 0.05)
    assert any(label.text == "A1" and label.y > 0 for label in items(drawing, Label))
    assert crossed_labels(drawing, 1.0) == ()


# -- ends ----------------------------------------------------------------------------------
def test_ends_are_to_scale_with_every_strip_in_its_place():
    (ends,) = alike_ends(lettered(by_hand()))
    drawing = end_drawing(ends, SHOP, Display())
    scale = end_scale(ends, 150.0)
    strips = [i.path.bounds for i in items(drawing, Stroke, "strip")]
    wanted = [
        (p.y * scale, -(p.z + p.through) * scale, (p.y + p.across) * scale, -p.z * scale)
        for p in ends.first.cut.pieces
    ]
    assert strips == [pytest.approx(w, abs=1e-3) for w in wanted]
    assert {"1", "2", "3", "4"} <= set(texts(drawing))
    assert "2 x 60\neach 2 x 8.2" in texts(drawing)


def test_fences_of_all_bars_are_written():
    for ends in alike_ends(lettered(solved())):
        runs = runs_of(bars_of(ends))
        assert sum(len(run.bars) for run in runs) == len({p.y for p in ends.first.cut.pieces})
        drawing = end_drawing(ends, SHOP, Display())
        for run in runs:
            start = f"{len(run.bars)} x {setting(run.bars[0].across, Display())}\neach"
            assert any(t.startswith(start) for t in texts(drawing))


def test_strips_too_thin_for_numbers_are_numbered_by_runs():
    pieces = tuple(
        Piece("veneer", "edge", 0.0, 1.5 + 4.0 * k, 1.0, 900.0, 1.4, 45.0) for k in range(30)
    )
    stock = Stock("plank", "ash", 1000.0, 300.0, 48.0)
    board = Lettered("A", BoardPlan("plank", 1, (SawnLength(0.0, 900.0, pieces),), ()), stock)
    (ends,) = alike_ends([board])
    drawing = end_drawing(ends, SHOP, Display())
    assert "1 to 30" in texts(drawing)
    assert "17" not in texts(drawing)
    assert crossed_labels(drawing, 1.0) == ()


# -- all of them ---------------------------------------------------------------------------
@pytest.mark.parametrize("display", BOTH)
@pytest.mark.parametrize("cutting", [solved, by_hand])
def test_no_line_runs_through_a_text_and_all_fits_the_page(display, cutting):
    drawn = board_drawings(cutting(), display)
    assert drawn
    for name, drawing in drawn:
        assert crossed_labels(drawing, 1.0) == (), name
        x0, _, x1, _ = drawing.extent(1.0)
        assert x1 - x0 <= 170.0, name
        assert min(label.size for label in items(drawing, Label)) >= 1.8
        assert to_svg(drawing, theme="page").startswith("<svg")


def test_without_a_plan_nothing_is_drawn():
    assert board_drawings(in_the_way(holds=("Type the saw's least sizes.",)), Display()) == []


def test_one_scale_for_all_faces_fits_the_longest_board():
    boards = lettered(solved())
    scale = face_scale(boards, PAGE)
    assert scale * max(b.stock.length for b in boards) <= PAGE
    assert 1 / scale == pytest.approx(round(1 / scale))


# -- wood ----------------------------------------------------------------------------------
def test_shares_of_the_wood_add_up_to_the_boards():
    for cutting in (solved(), by_hand()):
        boards = [b.stock.volume for b in lettered(cutting)]
        assert sum(s.volume for s in wood_shares(cutting)) == pytest.approx(sum(boards))


def test_dust_is_what_the_saw_and_the_planer_take():
    """One length of 900 mm: summed up by hand from the places of its cuts."""
    cutting = by_hand(1)
    shares = {s.name: s.volume for s in wood_shares(cutting)}
    crosscuts = 2 * 2.6 * 130.0 * 27.0  # before the length and after it; the off-cut ends the board
    crosscuts += 2.6 * 130.0 * 27.0  # the far end of the off-cut
    surfaced = 900.0 * (130.0 * 27.0 - 127.0 * 25.0)
    rips = 900.0 * 25.0 * (2.6 + 2.6)  # 60 + 2.6 + 60 of 127 mm: 4.4 mm are left for the second
    resaws = 2 * 900.0 * 60.0 * (2.0 + 2.0)  # 8.2 + 2 + 8.2 of 25 mm: 6.6 mm are left
    planed = 4 * 900.0 * 60.0 * 1.2
    assert shares["dust and shavings"] == pytest.approx(
        crosscuts + surfaced + rips + resaws + planed
    )
    assert shares["strips"] == pytest.approx(4 * 900.0 * 60.0 * 7.0)
    assert shares["off-cuts kept"] == pytest.approx(1047.4 * 130.0 * 27.0)


def test_cuts_to_length_are_dust_too():
    """Three pieces of 298.2 mm end to end give two cuts of 2.6 mm in a strip of 60 x 8.2 mm."""
    ends = tuple(
        Piece("strip", "flat", 25.0 + k * 300.8, 1.5, 1.0, 298.2, 60.0, 8.2) for k in range(3)
    )
    cutting = by_hand(1)
    demand = replace(cutting.demands[0], length=298.2, count=3)

    def dust(pieces, kind):
        board = BoardPlan("oak 27", 1, (SawnLength(25.0, 900.0, pieces),), ())
        result = replace(cutting.result, plan=replace(cutting.result.plan, boards=(board,)))
        shares = wood_shares(replace(cutting, demands=(kind,), result=result))
        return next(s.volume for s in shares if s.name == "dust and shavings")

    one = Piece("strip", "flat", 25.0, 1.5, 1.0, 900.0, 60.0, 8.2)
    planed_more = (900.0 - 3 * 298.2) * 60.0 * 1.2
    more = dust(ends, demand) - dust((one,), replace(demand, length=900.0))
    assert more == pytest.approx(2 * 2.6 * 60.0 * 8.2 - planed_more)


def test_the_bar_is_as_long_as_its_shares():
    shares = wood_shares(solved())
    drawing = yield_drawing(shares, 150.0)
    whole = sum(s.volume for s in shares)
    bars = {i.name: i.path.bounds for i in items(drawing, Stroke) if i.layer == Layer.PART}
    for share in shares:
        if share.name in bars:
            x0, _, x1, _ = bars[share.name]
            assert x1 - x0 == pytest.approx(150.0 * share.volume / whole, abs=1e-2)
    assert crossed_labels(drawing, 1.0) == ()


# -- texts ---------------------------------------------------------------------------------
def test_a_fitted_text_stays_in_its_field():
    for wide, high in ((30.0, 9.0), (9.0, 30.0), (12.0, 3.0), (2.9, 8.0)):
        label = fitted((0.0, 0.0, wide, high), ["A1 to F1\n1290", "A1 · 1290", "A1"])
        assert label is not None
        (x0, y0), (x1, y1) = label.box(1.0).min(axis=0), label.box(1.0).max(axis=0)
        assert x0 >= 0.0
        assert y0 >= 0.0
        assert x1 <= wide
        assert y1 <= high


def test_a_better_text_upright_goes_first_only_when_asked():
    field, texts = (0.0, 0.0, 4.0, 40.0), ["rail form, layers", "a"]
    assert fitted(field, texts).text == "a"
    assert fitted(field, texts, turned=True).text == "rail form, layers"


def test_settings_in_inches_are_fractions_where_they_are_ones():
    assert setting(25.4 * 3 / 32, Display("in")) == "3/32"
    assert setting(4.0, Display("in")) == "0.157"
    assert setting(56.0, Display("in")) == "2-13/64"


def test_an_off_cut_along_an_edge_belongs_to_its_length():
    stock = Stock("ash 34", "ash", 2000.0, 130.0, 34.0)
    edge = OffCut(25.0, 66.7, 900.0, 61.8, 34.0)
    end = OffCut(927.6, 0.0, 1047.4, 130.0, 34.0)
    kept = [Kept(f"off-cut {n}", "ash 34", 1, o) for n, o in ((1, edge), (2, end))]
    plan = BoardPlan("ash 34", 1, (SawnLength(25.0, 900.0, ()),), (edge, end))
    one = Lettered("A", plan, stock, tuple(kept))
    assert one.lengths[0].beside is kept[0]
    assert one.ends == (kept[1],)
