"""Buying and cutting: the boards, how sure that they cost least, their cuts, the yard's list."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from overbend.plan import BentPlan, Cutting, ToCut, money
from overbend.solver import Solution
from overbend.stock import SawPlan, machine_holds, refusals
from overbend.web.sawing import Sawn, key_of
from overbend.web.sections.at import At, register
from overbend.web.sections.cutting_more import (
    diagrams,
    lists,
    machine_numbers,
    offcuts,
    rules,
    setups,
    yard,
    yard_form,
)
from overbend.web.sentence import Pieces, block, sentence
from overbend.web.words import words

__all__ = ["section"]

_LEAST = 5e-4
"""Gap under which a cost is said to be the least [1]."""
_MORE_SECONDS = 30

Block = dict[str, Any]


@register("cutting", quick=False)
def section(at: At, part: BentPlan) -> dict[str, Any]:  # noqa: ARG001 - boards are for all parts
    """What to buy and why; diagrams, settings, the yard's list and the shop's numbers below."""
    asked = at.plan.to_cut
    if asked is None:
        return {"lead": [block("lead", words("cutting.none")), yard_form(at)], "more": []}
    waits = list(_waits(at, asked))
    key = "" if waits else key_of(asked)
    sawn = at.sawn if key and at.sawn.key == key else Sawn(key)
    lead = waits or list(_found(at, sawn))
    return {"lead": lead, "more": list(_more(at, sawn.cutting, bool(waits))), "saw": key}


def _waits(at: At, asked: ToCut) -> Iterator[Block]:
    """What is in the way of any plan: machines that are not known, parts no board gives."""
    unknown = [m for m in at.plan.machines if not m.known]
    if unknown:
        yield block("hold", words("cutting.none.machines"))
        yield from machine_numbers(at)
        return
    for text in machine_holds(asked.demands, asked.shop, at.say.length):
        yield block("hold", text)
    for r in refusals(asked.demands, asked.supply, asked.shop, at.say.length):
        yield block("hold", words("cutting.refused", part=r.part, why=r.why, todo=r.todo))


# -- the plan ------------------------------------------------------------------------------
def _found(at: At, sawn: Sawn) -> Iterator[Block]:
    """The plan in sentences, and how the search stands."""
    if sawn.cutting is not None:
        yield from _plan(at, sawn.cutting, sawn)
    yield _search(at, sawn)


def _search(at: At, sawn: Sawn) -> Block:
    """How the search stands, with what can be done about it."""
    currency = at.plan.project.shop.currency
    text, acts = "", []
    if sawn.phase == "none":
        text = words("cutting.waiting")
    elif sawn.phase == "busy":
        text = _so_far(sawn, currency)
        acts = [_act("stop", "cutting.stop")] if sawn.cost is not None else []
    elif sawn.phase == "trouble":
        why = sawn.trouble or words("cutting.failed.unknown")
        text = words("cutting.failed", why=why)
    if sawn.phase in ("stopped", "trouble") or not _proven(sawn):
        acts = acts or ([] if sawn.phase in ("none", "busy") else [_longer()])
    return {"kind": "sawing", "busy": sawn.phase in ("none", "busy"), "text": text, "acts": acts}


def _so_far(sawn: Sawn, currency: str) -> str:
    if sawn.cost is None:
        return words("cutting.begun")
    if sawn.cost == 0:
        return words("cutting.better.free")
    cost, bound = money(sawn.cost, currency), money(min(sawn.bound or 0.0, sawn.cost), currency)
    return words("cutting.better", cost=cost, bound=bound)


def _proven(sawn: Sawn) -> bool:
    if sawn.cutting is None:
        return False
    cost = sawn.cutting.result.cost
    return cost.status == "optimal" or cost.gap < _LEAST


def _act(act: str, key: str, **values: object) -> dict[str, str]:
    return {"act": act, "text": words(key, **values)}


def _longer() -> dict[str, str]:
    return _act("longer", "cutting.longer", seconds=_MORE_SECONDS)


def _plan(at: At, cutting: Cutting, sawn: Sawn) -> Iterator[Block]:
    plan = cutting.result.plan
    if plan is None:
        yield block("lead", words("cutting.unfound"))
    else:
        yield block("lead", _boards(at, cutting, plan))
        yield block("text", _how_sure(cutting, plan, sawn))
    if cutting.sheets is not None:
        yield block("text", _sheets(at, cutting))


def _boards(at: At, cutting: Cutting, plan: SawPlan) -> Pieces:
    """What to buy, and what lies there already."""
    used = plan.bought()
    bought = [_times(n, name) for name, n in used.items() if name not in cutting.rack]
    taken = [name for name in used if name in cutting.rack]
    cost = money(plan.cost, at.plan.project.shop.currency)
    pieces: Pieces = (
        sentence("cutting.buy", boards=", ".join(bought), cost=cost)
        if bought
        else [words("cutting.buy.none")]
    )
    return [*pieces, *([" ", words("cutting.rack", boards=", ".join(taken))] if taken else [])]


def _times(count: int, name: str) -> str:
    return words("cutting.board", count=count, name=name)


def _how_sure(cutting: Cutting, plan: SawPlan, sawn: Sawn) -> str:
    """How near to the cheapest, what it is for, what becomes of the wood."""
    cost = cutting.result.cost
    said = [] if plan.cost == 0 else [_proof(cost)]
    if sawn.phase == "stopped" and not _proven(sawn):
        said.append(words("cutting.proof.stopped"))
    every = sum(d.count for d in cutting.demands)
    said.append(words("cutting.for", all=every))
    count = len(cutting.kept)
    few = {0: "none", 1: "one"}.get(count, "many")
    kept = words(f"cutting.kept.{few}", count=count)
    said.append(words("cutting.yield", parts=f"{100 * plan.recovery:.0f} %", kept=kept))
    return " ".join(said)


def _proof(cost: Solution) -> str:
    if cost.status == "optimal" or cost.gap < _LEAST:
        return words("cutting.proof.least")
    return words("cutting.proof.gap", gap=f"{100 * cost.gap:.1f} %")


def _sheets(at: At, cutting: Cutting) -> str:
    """How many sheets the forms take."""
    count, cost, sheets = cutting.sheet_count, cutting.sheet_cost, cutting.sheets
    said = []
    for r in sheets.refusals if sheets else ():
        said.append(words("cutting.refused", part=r.part, why=r.why, todo=r.todo))
    if count is not None and cutting.sheet is not None:
        many = words("cutting.sheets.one" if count == 1 else "cutting.sheets.many", count=count)
        size = f"{at.say.bare(cutting.sheet.length)} × {at.say.length(cutting.sheet.width)}"
        currency = at.plan.project.shop.currency
        price = "" if cost is None else words("cutting.sheets.price", price=money(cost, currency))
        said.append(words("cutting.sheets", count=many, size=size, price=price))
        if sheets and sheets.solution.status != "optimal":
            said.append(words("cutting.sheets.few"))
    if cutting.other_sheets:
        said.append(words("cutting.sheets.other", parts=", ".join(cutting.other_sheets)))
    return " ".join(said)


# -- below ---------------------------------------------------------------------------------
def _more(at: At, cutting: Cutting | None, waits: bool) -> Iterator[Block]:
    if cutting is not None and cutting.result.plan is not None:
        yield from diagrams(cutting, at.say.display)
        yield block("caution", words("cutting.caution"))
        yield from setups(at, cutting, cutting.result.plan)
        yield from offcuts(at, cutting)
        yield from lists(cutting)
    yield block("heading", words("cutting.yard"))
    yield yard(at)
    yield yard_form(at)
    if not waits:
        yield from machine_numbers(at)
    yield from rules(at)
