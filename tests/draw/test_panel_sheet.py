"""Panels on sheets: cuts from edge to edge in an order that works, nothing lost, all legible."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overbend.draw.board_sheet import panel_letters
from overbend.draw.drawing import Label
from overbend.draw.legible import crossed_labels
from overbend.draw.panel_sheet import alike_sheets, panel_drawing, parted, sheet_scale
from overbend.solver import Stop
from overbend.stock import Nested, Panel, Sheet, nest
from overbend.units import Display
from support.boards_to_cut import PANELS, SHEET, solved

KERF = 2.6


def pieces_of(panels, sheet, kerf):
    """Pieces that are left when a sheet is cut by the list, one cut after the other."""
    t = sheet.trim
    pieces = [(t, t, sheet.length - t, sheet.width - t)]
    for cut in parted(panels, sheet, kerf).cuts:
        axis = 1 if cut.way == "along" else 0
        (piece,) = [
            p
            for p in pieces
            if abs(p[1 - axis] - cut.start) < 1e-6
            and abs(p[3 - axis] - cut.end) < 1e-6
            and p[axis] <= cut.at < p[axis + 2]
            and abs(cut.at - p[axis] - cut.setting) < 1e-6
        ]
        pieces.remove(piece)
        low, high = list(piece), list(piece)
        low[axis + 2], high[axis] = cut.at, cut.at + kerf
        pieces.append(tuple(low))
        if high[axis + 2] - high[axis] > 1e-6:
            pieces.append(tuple(high))
    return pieces


def near(a, b):
    return all(abs(x - y) < 1e-6 for x, y in zip(a, b, strict=True))


@settings(max_examples=30, deadline=None)
@given(
    sizes=st.lists(
        st.tuples(st.integers(40, 900), st.integers(40, 500), st.integers(1, 4)),
        min_size=1,
        max_size=4,
    ),
    trim=st.sampled_from([0.0, 7.0]),
    kerf=st.sampled_from([0.0, 3.2]),
)
def test_the_cuts_in_their_order_leave_every_panel_and_the_waste(sizes, trim, kerf):
    sheet = Sheet("sheet", 1500.0, 1000.0, trim=trim)
    panels = [Panel(f"p{k}", float(a), float(b), n) for k, (a, b, n) in enumerate(sizes)]
    plan = nest(panels, sheet, kerf, Stop(0.2))
    for _, here in alike_sheets(plan.panels):
        pieces = pieces_of(here, sheet, kerf)
        boxes = [(p.x, p.y, p.x + p.length, p.y + p.width) for p in here]
        assert all(any(near(piece, box) for piece in pieces) for box in boxes)
        waste = parted(here, sheet, kerf).waste
        assert len(pieces) == len(boxes) + len(waste)
        assert all(any(near(piece, box) for piece in pieces) for box in waste)


def test_one_cut_frees_a_row_of_panels_of_one_height():
    row = [Nested("a", 1, 10.0 + 202.6 * k, 10.0, 200.0, 300.0, False) for k in range(4)]
    cuts = parted(row, SHEET, KERF).cuts
    assert [c.way for c in cuts] == ["along", *["across"] * 4]
    assert [c.setting for c in cuts] == pytest.approx([300.0, *[200.0] * 4])


def test_a_panel_as_large_as_the_sheet_needs_no_cut():
    sheet = Sheet("sheet", 900.0, 600.0, trim=5.0)
    found = parted([Nested("a", 1, 5.0, 5.0, 890.0, 590.0, False)], sheet, KERF)
    assert (found.cuts, found.waste) == ((), ())


def test_sheets_cut_alike_come_once():
    plan = nest([Panel("a", 1300.0, 900.0, 3)], Sheet("s", 1500.0, 1000.0), KERF)
    assert [numbers for numbers, _ in alike_sheets(plan.panels)] == [(1, 2, 3)]


def test_every_panel_and_every_cut_is_named_where_there_is_room():
    letters = panel_letters(PANELS)
    sheets = solved().sheets
    seen = []
    for _, here in alike_sheets(sheets.panels):
        for display in (Display(), Display("in")):
            drawing = panel_drawing(here, SHEET, KERF, display, letters)
            texts = [i.text for i in drawing.items if isinstance(i, Label)]
            numbers = {t for t in texts if t.isdigit()}
            assert numbers == {str(c.number) for c in parted(here, SHEET, KERF).cuts}
            assert crossed_labels(drawing, 1.0) == ()
            seen += texts
    assert any(t.startswith("a · arch form, layers\n1330 x 310") for t in seen)


def test_crowded_sheets_leave_numbers_out_rather_than_cross_them():
    tiny = [Nested("a", 1, 12.6 * i, 12.6 * j, 10.0, 10.0, False) for i in range(9) for j in (0, 1)]
    drawing = panel_drawing(tiny, Sheet("s", 2440.0, 1220.0), KERF, Display(), {"a": "a"})
    assert crossed_labels(drawing, 1.0) == ()


def test_scale_is_round_and_fits():
    assert sheet_scale(SHEET, 163.0) == 1 / 15
