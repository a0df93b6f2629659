"""Boards and cuts: what to buy, what it costs, where the wood goes, then the cuts themselves."""

from __future__ import annotations

import math

from overbend.book.blocks import Block, Heading, NewPage, Picture, Table, Text
from overbend.book.chapters.boards_cuts import cut_blocks
from overbend.book.chapters.boards_sheets import sheet_blocks
from overbend.book.say import Say
from overbend.draw.board_labels import lettered
from overbend.draw.board_text import sold_size
from overbend.draw.board_yield import Share, wood_shares, yield_drawing
from overbend.draw.svg import to_svg
from overbend.plan import BentPlan, Plan, money
from overbend.plan.cutting import Cutting
from overbend.solver import Solution
from overbend.stock import SawPlan, Stock

__all__ = ["boards_chapter", "saving_words", "spare_strips"]

_UNKNOWN = 0.995  # of the cost: a gap this wide says nothing


def boards_chapter(plan: Plan, say: Say) -> list[Block]:
    """Boards, cuts and sheets; nothing where no board is known."""
    cutting = plan.cutting
    if cutting is None:
        return []
    blocks: list[Block] = [NewPage(), Heading("Boards and cuts", 1)]
    saw_plan = cutting.result.plan
    if saw_plan is None:
        blocks += _in_the_way(cutting, plan)
    else:
        blocks += _buying(cutting, saw_plan, plan, say)
        blocks += _where_it_goes(cutting, say)
        blocks += _off_cuts(cutting, say)
        blocks += cut_blocks(cutting, saw_plan, say)
    return [*blocks, *sheet_blocks(cutting, plan.project.shop.currency, say)]


# -- what is in the way --------------------------------------------------------------------
def _in_the_way(cutting: Cutting, plan: Plan) -> list[Block]:
    """Why there is no cutting plan, and what would do."""
    result = cutting.result
    if result.holds:
        lead = "No cutting instruction yet: least sizes of the machines are in the way."
        return [Text(lead, "lead"), *(Text(hold, "hold") for hold in result.holds)]
    if result.refusals:
        lead = "Not everything can be cut from the boards in the list and on the rack."
        rows = [f"{r.part}: {_sentence(r.why)} {r.todo}".strip() for r in result.refusals]
        return [Text(lead, "lead"), *(Text(row, "hold") for row in rows)]
    seconds = plan.project.shop.cutting.seconds
    text = (
        f"The search found no cutting plan in the {seconds:g} s it was given. Give it more under "
        "[shop.cutting], key seconds, and make the book again."
    )
    return [Text(text, "hold")]


def _sentence(text: str) -> str:
    return text if text.endswith(".") else f"{text}."


# -- what to buy ---------------------------------------------------------------------------
def _buying(cutting: Cutting, saw_plan: SawPlan, plan: Plan, say: Say) -> list[Block]:
    currency = plan.project.shop.currency
    return [
        Text(_headline(cutting, saw_plan, currency), "lead"),
        Text(f"{_what_for(cutting, plan)} {saving_words(cutting.result.cost)}"),
        _buying_list(cutting, saw_plan, currency, say),
        Text(_wood_words(cutting.result.wood, saw_plan.cost), "small"),
        *(Text(note, "small") for note in cutting.result.notes),
    ]


def _headline(cutting: Cutting, saw_plan: SawPlan, currency: str) -> str:
    counts = saw_plan.bought()
    rack = sum(n for name, n in counts.items() if name in cutting.rack)
    buy = sum(counts.values()) - rack
    if not buy:
        return f"Nothing to buy: {_boards(rack)} from the rack give{_s(rack)} everything."
    lead = f"Buy {_boards(buy)} for {money(saw_plan.cost, currency)}."
    return f"{lead} {_boards(rack).capitalize()} come{_s(rack)} from the rack." if rack else lead


def _boards(n: int) -> str:
    return "one board" if n == 1 else f"{n} boards"


def _s(n: int) -> str:
    """Ending of a verb."""
    return "s" if n == 1 else ""


def _what_for(cutting: Cutting, plan: Plan) -> str:
    count, spares = sum(d.count for d in cutting.demands), spare_strips(plan)
    text = f"That is the cost for {count} strips and blanks"
    return (
        f"{text}, of which {spares} {'is' if spares == 1 else 'are'} spare."
        if spares
        else f"{text}."
    )


def spare_strips(plan: Plan) -> int:
    """Strips that are milled only because some break; those that are milled already left out.

    Parameters
    ----------
    plan : the plan.
    """
    return sum(_spares(part) for part in plan.bent.values())


def _spares(part: BentPlan) -> int:
    lines = [line for line, ply in enumerate(part.part.ply, 1) for _ in range(ply.count)]
    total = 0
    for strip, spares in zip(part.strips, part.risk.spares, strict=True):
        left = sum(lines[p - 1] not in part.made.strips for p in strip.plies) / strip.per_part
        mill = math.ceil((spares.mill or strip.count) * left - 1e-9)
        total += mill - math.ceil(strip.count * left - 1e-9)
    return total


def saving_words(cost: Solution) -> str:
    """How far from the cheapest possible, in words.

    Examples
    --------
    >>> saving_words(Solution(100.0, 100.0, 1.0, "optimal"))
    'No cheaper choice of boards exists.'
    >>> saving_words(Solution(100.0, 98.25, 5.0, "feasible"))
    'At most 1.8 % could still be saved; the search ended after 5 s.'
    """
    if cost.status == "optimal":
        return "No cheaper choice of boards exists."
    ended = f"the search ended after {max(cost.runtime, 1.0):.0f} s."
    if cost.gap >= _UNKNOWN:
        return f"How much could still be saved is not known; {ended}"
    return f"At most {_percent_up(cost.gap)} could still be saved; {ended}"


def _percent_up(share: float) -> str:
    """A share in per cent, rounded up: never less than it is."""
    return f"{math.ceil(1000 * share - 1e-6) / 10:.1f} %"


def _wood_words(wood: Solution, cost: float) -> str:
    same = "for that cost" if cost else "without buying"
    if wood.status == "optimal":
        return f"No choice {same} takes less wood."
    return f"Of the wood taken at most {_percent_up(wood.gap)} could still be saved {same}."


def _buying_list(cutting: Cutting, saw_plan: SawPlan, currency: str, say: Say) -> Table:
    counts = saw_plan.bought()
    used = [stock for stock in cutting.supply if stock.name in counts]
    rows = [_row(stock, counts[stock.name], stock.name in cutting.rack, say) for stock in used]
    if saw_plan.cost:
        rows.append(("Together", "", "", str(len(saw_plan.boards)), "", money(saw_plan.cost)))
    price = f"Each, {currency}" if currency else "Each"
    header = ("Board", "Wood", "Size as sold", "Pieces", price, "Together")
    return Table(header, rows, (3, 4, 5))


def _row(stock: Stock, count: int, rack: bool, say: Say) -> tuple[str, ...]:
    price = ("on the rack", "") if rack else (money(stock.cost), money(count * stock.cost))
    return (stock.name, stock.wood, sold_size(stock, say.display), str(count), *price)


# -- where the wood goes -------------------------------------------------------------------
def _where_it_goes(cutting: Cutting, say: Say) -> list[Block]:
    shares = wood_shares(cutting)
    svg = to_svg(yield_drawing(shares), margin=1.0, theme="print", wide=0.4)
    whole = sum(share.volume for share in shares)
    rows = [(_SHARES[s.name], _volume(s.volume, say), _share(s, whole)) for s in shares]
    rows.append(("All boards", _volume(whole, say), ""))
    return [
        Heading("Where the wood goes"),
        Picture(svg),
        Table(("", "Wood", "Share"), rows, (1, 2), size=9.5),
    ]


_SHARES = {
    "strips": "In the strips and blanks asked for, planed",
    "more strips": "In strips beyond those, which the cuts give anyway",
    "off-cuts kept": "Off-cuts for the rack",
    "dust and shavings": "Saw dust and shavings",
    "waste": "Waste: ends, defects, pieces too small to keep",
}


def _share(share: Share, whole: float) -> str:
    return f"{100 * share.volume / whole:.1f} %"


def _volume(mm3: float, say: Say) -> str:
    if say.unit == "in":
        return f"{mm3 / 25.4**3 / 144:.2f} board feet"
    return f"{mm3 / 1e6:.2f} litres"


def _off_cuts(cutting: Cutting, say: Say) -> list[Block]:
    if not cutting.kept:
        return []
    letters = {(b.stock.name, b.board.number): b for b in lettered(cutting)}
    rows = []
    for one in cutting.kept:
        board, cut = letters[one.stock, one.number], one.offcut
        size = f"{say.bare(cut.thickness)} x {say.bare(cut.width)} x {say.bare(cut.length)}"
        rows.append((one.name, f"{board.letter}, {one.stock}", board.stock.wood, size))
    size = f"Thickness x width x length, {say.unit}"
    caption = "The rest is waste. overbend rack commit books them into the ledger."
    return [
        Heading("Off-cuts for the rack"),
        Table(("Write on it", "Left of board", "Wood", size), rows, (), caption, 9.5),
    ]
