"""Sheets for forms: how many, where the panels lie, and the cuts in order."""

from __future__ import annotations

from collections.abc import Sequence

from overbend.book.blocks import Block, Heading, NewPage, Picture, Table, Text, Whole
from overbend.book.chapters.pictures import scale_words
from overbend.book.say import Say
from overbend.draw.board_sheet import SHEET, panel_letters, sheet_drawings
from overbend.draw.panel_sheet import PanelCut, alike_sheets, parted, sheet_scale
from overbend.draw.svg import to_svg
from overbend.plan import Cutting, money
from overbend.stock import Sheet

__all__ = ["sheet_blocks"]

_COLUMNS = 3  # of cuts beside each other in the table


def sheet_blocks(cutting: Cutting, currency: str, say: Say) -> list[Block]:
    """Sheets for the forms; nothing where no form is made of the shop's sheets.

    Parameters
    ----------
    cutting : the cutting plan.
    currency : printed with the price.
    say : how lengths are shown.
    """
    if cutting.sheets is None or cutting.sheet is None:
        return []
    blocks: list[Block] = [
        Heading("Sheets for forms"),
        *(Text(f"{r.part}: {r.why}. {r.todo}".strip(), "hold") for r in cutting.sheets.refusals),
    ]
    if cutting.sheet_count is not None:
        blocks.append(Text(_count(cutting, cutting.sheet, currency, say)))
    if cutting.other_sheets:
        names = ", ".join(cutting.other_sheets)
        blocks.append(
            Text(f"Not among them: {names}, whose sheets have another thickness.", "small")
        )
    drawn = _drawn(cutting, cutting.sheet, say)
    return [*([NewPage()] if drawn else []), *blocks, *drawn]


def _count(cutting: Cutting, sheet: Sheet, currency: str, say: Say) -> str:
    n, cost = cutting.sheet_count or 0, cutting.sheet_cost
    price = f", {money(cost, currency)}" if cost is not None else ""
    assert cutting.sheets is not None
    bound = cutting.sheets.solution
    proof = "No fewer would do." if bound.status == "optimal" else f"{bound.bound:.0f} might do."
    size = f"{say.bare(sheet.length)} x {say.length(sheet.width)}"
    return f"{n} {'sheet' if n == 1 else 'sheets'} of {size}{price}. {proof}"


def _drawn(cutting: Cutting, sheet: Sheet, say: Say) -> list[Block]:
    """The panels by letter, and every sheet with its cuts."""
    drawn = sheet_drawings(cutting, say.display)
    if not drawn or cutting.sheets is None:
        return []
    trim = f"Trim every edge by {say.length(sheet.trim)} first. " if sheet.trim else ""
    how = (
        f"Sheets {scale_words(sheet_scale(sheet, SHEET))}, in {say.unit_word}. {trim}Then make the "
        "cuts in the order of their numbers: each runs from edge to edge of the piece at hand. "
        "“Along” runs with the sheet's length, “across” square to it; it is set from the piece's "
        "lower or left edge, and the saw cut lies beyond."
    )
    blocks: list[Block] = [_panels(cutting, say), Text(how)]
    groups = alike_sheets(cutting.sheets.panels)
    for (name, drawing), (_, panels) in zip(drawn, groups, strict=True):
        svg = to_svg(drawing, margin=0.5, theme="print", wide=0.35)
        cuts = parted(panels, sheet, cutting.sheet_kerf).cuts
        picture = Whole([Heading(name, 3), Picture(svg)])
        blocks += [picture, _cuts(cuts, say)]
    return blocks


def _panels(cutting: Cutting, say: Say) -> Table:
    letters = panel_letters(cutting.panels)
    rows = [
        (letters[p.name], p.name, f"{say.bare(p.length)} x {say.bare(p.width)}", str(p.count))
        for p in cutting.panels
    ]
    return Table(("", "Panels", f"Size, {say.unit}", "How many"), rows, (3,), size=9.5)


def _cuts(cuts: Sequence[PanelCut], say: Say) -> Table:
    """Cuts in order, several beside each other, down each column first."""
    high = -(-len(cuts) // _COLUMNS)
    rows = []
    for k in range(high):
        row: list[str] = []
        for cut in (
            cuts[k + n * high] if k + n * high < len(cuts) else None for n in range(_COLUMNS)
        ):
            row += [str(cut.number), cut.way, say.bare(cut.setting)] if cut else ["", "", ""]
        rows.append(row)
    header = ("Cut", "", "Set to") * _COLUMNS
    return Table(header, rows, tuple(range(2, 3 * _COLUMNS, 3)), size=9.0)
