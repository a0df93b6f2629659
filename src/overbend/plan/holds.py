"""Hold points: what the plan never passes by itself and waits for the maker to do."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from overbend.plan.bent import BentPlan
from overbend.stock import cutting_holds

if TYPE_CHECKING:
    from overbend.plan.facade import Plan

__all__ = ["Hold", "holds_of"]


@dataclass(frozen=True)
class Hold:
    """Something that waits for the maker.

    Parameters
    ----------
    kind : "trial", "thickness", "moisture" or "machine".
    part : whose, "" when it is about the shop.
    text : what to do, in one sentence.
    """

    kind: str
    part: str
    text: str


def holds_of(plan: Plan) -> tuple[Hold, ...]:
    """Everything that waits, gate by gate.

    The gates are the recorded release of a trial bend, the measured thickness of milled
    strips, a moisture reading, and the least sizes of the machines.
    """
    parts = plan.bent.values()
    return (
        *(hold for part in parts for hold in _trial(part)),
        *(hold for part in parts for hold in _thickness(part)),
        *_release(plan),
        *_moisture(plan),
        *(
            Hold("machine", "", text)
            for text in cutting_holds(plan.strips, plan.machines, plan.length)
        ),
    )


def _machines(plan: Plan) -> Iterator[Hold]:
    for text in cutting_holds(plan.strips, plan.machines, plan.length):
        yield Hold("machine", "", text)


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
            )
