"""Lists of a cutting plan for a spreadsheet or a yard: what to buy, every cut, every panel."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Sequence

from overbend.draw.board_labels import lettered
from overbend.draw.board_sheet import panel_letters
from overbend.plan import Cutting, money

__all__ = ["board_lists", "safe_cell"]


def board_lists(cutting: Cutting | None, currency: str = "") -> Iterator[tuple[str, bytes]]:
    """Files of a cutting plan, by name; sizes in mm.

    Parameters
    ----------
    cutting : the cutting plan; nothing is listed without boards and cuts.
    currency : of the prices.
    """
    if cutting is None:
        return
    if cutting.result.plan is not None:
        yield "lists/buying.csv", _csv(_buying(cutting, currency))
        yield "lists/cuts.csv", _csv(_cuts(cutting))
    if cutting.sheets is not None and cutting.sheets.panels and not cutting.result.holds:
        yield "lists/sheet-cuts.csv", _csv(_panels(cutting))


def safe_cell(text: str) -> str:
    """A text that no spreadsheet takes for a formula.

    Examples
    --------
    >>> safe_cell("ash 52"), safe_cell("=1+1"), safe_cell("-3")
    ('ash 52', "'=1+1", "'-3")
    """
    return f"'{text}" if text.lstrip().startswith(("=", "+", "-", "@")) else text


def _csv(rows: Iterable[Sequence[str]]) -> bytes:
    text = io.StringIO(newline="")
    csv.writer(text).writerows([safe_cell(cell) for cell in row] for row in rows)
    return text.getvalue().encode()


def _buying(cutting: Cutting, currency: str) -> Iterator[list[str]]:
    yield [
        "board", "wood", "from", "length_mm", "width_mm", "thickness_mm", "pieces", "price_each",
        "price", "currency",
    ]  # fmt: skip
    assert cutting.result.plan is not None
    counts = cutting.result.plan.bought()
    for stock in cutting.supply:
        n = counts.get(stock.name, 0)
        if n:
            sizes = (stock.length, stock.width, stock.thickness)
            yield [
                stock.name, stock.wood, "rack" if stock.name in cutting.rack else "yard",
                *(f"{v:.2f}" for v in sizes), str(n), money(stock.cost), money(n * stock.cost),
                currency,
            ]  # fmt: skip


def _cuts(cutting: Cutting) -> Iterator[list[str]]:
    """A row for each strip and blank: its name, its board, where it lies, its sizes, its stack."""
    yield [
        "name", "board", "stock", "stock_number", "length", "is", "wood", "way", "x_mm", "y_mm",
        "z_mm", "length_mm", "across_mm", "through_mm", "planed_thickness_mm", "stack", "extra",
    ]  # fmt: skip
    kinds = {d.name: d for d in cutting.demands}
    for board in lettered(cutting):
        for length in board.lengths:
            for place, p in enumerate(length.cut.pieces):
                kind = kinds[p.demand]
                sizes = (p.x, p.y, p.z, p.length, p.across, p.through, kind.thickness)
                yield [
                    length.strip(place), board.letter, board.stock.name, str(board.board.number),
                    length.name, p.demand, kind.wood, p.way, *(f"{v:.3f}" for v in sizes),
                    str(p.stack or ""), "yes" if p.extra else "",
                ]  # fmt: skip


def _panels(cutting: Cutting) -> Iterator[list[str]]:
    yield ["sheet", "letter", "panel", "x_mm", "y_mm", "length_mm", "width_mm", "turned"]
    letters = panel_letters(cutting.panels)
    assert cutting.sheets is not None
    for p in cutting.sheets.panels:
        places = (p.x, p.y, p.length, p.width)
        yield [
            str(p.sheet), letters[p.panel], p.panel, *(f"{v:.2f}" for v in places),
            "yes" if p.turned else "",
        ]  # fmt: skip
