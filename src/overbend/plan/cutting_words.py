"""The cutting plan in a few plain sentences."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from overbend.plan.cutting import Cutting
from overbend.solver import Solution

if TYPE_CHECKING:
    from overbend.plan.facade import Plan

__all__ = ["cutting_lines", "money", "proof_words"]

_ALL_PROVEN = 5e-4
"""Gap under which a cost is said to be the least [1]."""


def money(value: float, currency: str = "") -> str:
    """A price with its currency's word.

    Examples
    --------
    >>> money(101.165, "EUR"), money(12.0)
    ('101.17 EUR', '12.00')
    """
    return f"{value + 1e-9:.2f} {currency}".rstrip()


def proof_words(cost: Solution) -> str:
    """How near to the best a cost is, in words.

    Examples
    --------
    >>> proof_words(Solution(102.0, 100.0, 5.0, "feasible"))
    'at most 2.0 % more than the least that is possible'
    >>> proof_words(Solution(102.0, 102.0, 1.0, "optimal"))
    'proven to be the least'
    """
    if cost.objective is None:
        return "none found"
    if cost.status == "optimal" or cost.gap < _ALL_PROVEN:
        return "proven to be the least"
    return f"at most {100 * cost.gap:.1f} % more than the least that is possible"


def cutting_lines(plan: Plan) -> tuple[str, ...]:
    """Boards, off-cuts and sheets, a sentence each; none when no board is known."""
    cutting = plan.cutting
    if cutting is None:
        return ()
    currency = plan.project.shop.currency
    return (*_boards(cutting, currency), *_sheets(cutting, currency))


def _boards(cutting: Cutting, currency: str) -> Iterator[str]:
    result = cutting.result
    if result.holds:
        yield "boards: not chosen until what waits for you is typed"
        return
    if result.refusals:
        yield from (f"boards: not chosen. {r.part}: {r.why}. {r.todo}" for r in result.refusals)
        return
    if result.plan is None:
        yield "boards: none chosen in the time the search was given; give it more"
        return
    used = result.plan.bought()
    bought = {name: n for name, n in used.items() if name not in cutting.rack}
    taken = [name for name in used if name in cutting.rack]
    if bought:
        which = ", ".join(f"{n} of {name}" for name, n in bought.items())
        proof = proof_words(result.cost)
        yield f"boards to buy: {which}, together {money(result.plan.cost, currency)}, {proof}"
    elif used:
        yield "boards to buy: none"
    if taken:
        yield f"from the rack: {', '.join(taken)}"
    if used:
        yield _kept(cutting, result.plan.recovery)


def _kept(cutting: Cutting, recovery: float) -> str:
    count = len(cutting.kept)
    kept = {0: "no off-cut", 1: "one off-cut"}.get(count, f"{count} off-cuts")
    return f"of the wood cut up, {100 * recovery:.0f} % is in the parts; {kept} worth keeping"


def _sheets(cutting: Cutting, currency: str) -> Iterator[str]:
    if cutting.sheets is None:
        return
    count, cost = cutting.sheet_count, cutting.sheet_cost
    for r in cutting.sheets.refusals:
        yield f"sheets for forms: not enough. {r.part}: {r.why}. {r.todo}"
    if count is not None:
        price = "" if cost is None else f", {money(cost, currency)}"
        few = "" if cutting.sheets.solution.status == "optimal" else ", perhaps fewer would do"
        yield f"sheets for forms: {count}{price}{few}"
    if cutting.other_sheets:
        yield f"not in it, of other sheets: the forms of {', '.join(cutting.other_sheets)}"
