"""Hold points: what the plan never passes by itself and waits for the maker to do."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from overbend.plan.bent import BentPlan
from overbend.stock import cutting_holds, machine_holds, refusals

if TYPE_CHECKING:
    from overbend.plan.facade import Plan

__all__ = ["Hold", "holds_of"]


_MACHINES = {
    "surfacing machine": "surfacing",
    "thicknessing machine": "thicknessing",
    "saw": "saw",
}


@dataclass(frozen=True)
class Hold:
    """Something that waits for the maker.

    Parameters
    ----------
    kind : "trial", "thickness", "moisture", "machine" or "boards".
    part : whose, "" when it is about the shop.
    text : what to do, in one sentence.
    key : dotted key of the first value that answers it; "" when no value of the file does.
    """

    kind: str
    part: str
    text: str
    key: str = ""


def holds_of(plan: Plan) -> tuple[Hold, ...]:
    """Everything that waits, gate by gate.

    The gates are the recorded release of a trial bend, the measured thickness of milled
    strips, a moisture reading, the least sizes of the machines, and boards that give every part.
    """
    parts = plan.bent.values()
    return (
        *(hold for part in parts for hold in _trial(part)),
        *(hold for part in parts for hold in _thickness(part)),
        *_release(plan),
        *_moisture(plan),
        *_boards(plan),
    )


def _boards(plan: Plan) -> Iterator[Hold]:
    """What is in the way of cutting: machines first, then parts that no board gives."""
    asked = plan.to_cut
    if asked is None:
        for text in cutting_holds(plan.strips, plan.machines, plan.length):
            yield Hold("machine", "", text, _machine_key(text))
        return
    unknown = [m.name for m in plan.machines if not m.known]
    if unknown:
        names = " and ".join(f"the {name}" for name in unknown)
        text = (
            f"Boards: type the least length, width and thickness of {names} from "
            f"{'its manual' if len(unknown) == 1 else 'their manuals'}; until then no boards are "
            "chosen and no cuts are given."
        )
        yield Hold("machine", "", text, _machine_key(text))
        return
    small = machine_holds(asked.demands, asked.shop, plan.length, asked.supply)
    if small:
        yield Hold("machine", "", f"Boards: no cuts are given. {' '.join(small)}")
        return
    if None in (asked.shop.rip_depth, asked.shop.resaw_depth):
        text = (
            "Boards: type the thickest plank the saw rips and the widest piece it resaws, from its "
            "manual; until then cuts may be deeper than it reaches."
        )
        yield Hold("machine", "", text, "shop.machine.saw.depth")
    for r in refusals(asked.demands, asked.supply, asked.shop, plan.length):
        yield Hold("boards", "", f"Boards, {r.part}: {r.why}. {r.todo}")


def _machine_key(text: str) -> str:
    """Key of the least length of the first machine that a text names."""
    found = {text.find(name): key for name, key in _MACHINES.items() if name in text}
    return f"shop.machine.{found[min(found)]}.least_length" if found else ""


def _trial(part: BentPlan) -> Iterator[Hold]:
    if not part.set.proven:
        yield Hold(
            "trial",
            part.name,
            f"{part.name}: the form is a trial form. Bend one, measure what comes off and record "
            'it, with a table [made.NAME] of kind = "trial" or with overbend trial add. Then make '
            "the book again, before you cut the rest.",
        )


def _thickness(part: BentPlan) -> Iterator[Hold]:
    missing = [line for line in range(1, len(part.part.ply) + 1) if line not in part.made.strips]
    if missing:
        yield Hold(
            "thickness",
            part.name,
            f"{part.name}: measure the milled strips and record their thickness before the form "
            "is cut for good.",
        )


def _release(plan: Plan) -> Iterator[Hold]:
    for name, steam in plan.steamed.items():
        yield Hold(
            "moisture",
            name,
            f"{name}: release it by a moisture reading of {steam.release_at:.0f} % or less, or by "
            "the mass of a witness strip, not by the day.",
        )


def _moisture(plan: Plan) -> Iterator[Hold]:
    used = {strip.wood for part in plan.bent.values() for strip in part.strips_used}
    for name in sorted(used):
        if plan.project.wood[name].moisture is None:
            yield Hold(
                "moisture",
                "",
                f"{name}: its moisture is not known and was taken as "
                f"{plan.woods[name].moisture}; read a meter or dry a test piece.",
                f"wood.{name}.moisture",
            )
