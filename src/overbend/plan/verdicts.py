"""What holds, is close or fails, gathered from every stage, each with its reason."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from overbend.plan.bent import BentPlan
from overbend.units import format_length

if TYPE_CHECKING:
    from overbend.plan.facade import Plan

__all__ = ["Judged", "Word", "clamps_judged", "verdicts_of"]

Word = Literal["holds", "close", "fails"]

_FAR = 0.02  # of the part's length: a made form whose parts come off further away is another form
_NEAR = 0.003


@dataclass(frozen=True)
class Judged:
    """One verdict.

    Parameters
    ----------
    word : "holds", "close" or "fails".
    what : "bend", "strap", "clamps", "loading", "made form", "joints" or "boiler".
    part : whose, "" when it is about the shop.
    text : the reason, with its numbers.
    """

    word: Word
    what: str
    part: str
    text: str


def verdicts_of(plan: Plan) -> tuple[Judged, ...]:
    """Everything that was judged, part by part in the file's order."""
    parts = (
        judged
        for name, part in plan.bent.items()
        for judged in (*_of_part(part), *_of_steam(plan, name))
    )
    return (*parts, *_of_piece(plan), *_of_boiler(plan))


def _of_part(part: BentPlan) -> Iterator[Judged]:
    def length(mm: float) -> str:
        return format_length(mm, part.display)

    verdict = part.risk.strain.verdict
    yield Judged(verdict.word, "bend", part.name, verdict.words(length))
    if part.strap is not None:
        yield Judged(part.strap.verdict, "strap", part.name, part.strap.words(length)[0])
    clamps = clamps_judged(part)
    if clamps is not None:
        yield clamps
    if part.made.form is not None:
        yield _made_form(part, length)


def clamps_judged(part: BentPlan) -> Judged | None:
    """Clamps the form needs against those the shop owns; None when none were described."""
    owned, needed = part.project.shop.clamp, part.form_used.clamps
    if not owned or not needed:
        return None
    opening = max(c.opening for c in needed)
    wide = sum(c.count for c in owned if c.opening >= opening)
    asked = f"needs {len(needed)} clamps that open {format_length(opening, part.display)}"
    if wide >= len(needed):
        return Judged("holds", "clamps", part.name, f"{asked}; you have {wide}")
    have = ", ".join(f"{c.count} of {format_length(c.opening, part.display)}" for c in owned)
    return Judged("fails", "clamps", part.name, f"{asked}; you have {have}")


def _made_form(part: BentPlan, length: Callable[[float], str]) -> Judged:
    share = part.misfit / part.target.curve.length
    word: Word = "holds" if share <= _NEAR else "close" if share <= _FAR else "fails"
    text = f"parts come off the form that is made up to {length(part.misfit)} from the drawing"
    return Judged(word, "made form", part.name, text)


def _of_steam(plan: Plan, name: str) -> Iterator[Judged]:
    steam = plan.steamed.get(name)
    if steam is not None:
        yield Judged(steam.loading.verdict, "loading", name, steam.loading.reason)


def _of_piece(plan: Plan) -> Iterator[Judged]:
    """The joints of the piece, with the checks that do not hold."""
    joints = plan.piece.joints
    if not joints:
        return
    bad = {
        f"{joint.spec.name}: {check.what}"
        for joint in joints
        for check in joint.checks
        if check.word != "holds"
    }
    text = f"{len(joints)} joints" + (f"; look at {', '.join(sorted(bad))}" if bad else "")
    yield Judged(plan.piece.word, "joints", "", text)


def _of_boiler(plan: Plan) -> Iterator[Judged]:
    run = plan.steam_run
    if run is not None and run.boiler is not None:
        yield Judged(run.boiler.verdict, "boiler", "", run.boiler.reason)
