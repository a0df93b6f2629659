"""The readable report of `overbend check`."""

from __future__ import annotations

from overbend.book.say import Say
from overbend.book.words import METHOD_WORDS
from overbend.plan import BentPlan, Plan

__all__ = ["check_report"]


def check_report(plan: Plan) -> tuple[str, bool]:
    """Say what was computed, what waits and what is amiss.

    Parameters
    ----------
    plan : the plan; everything it can compute is computed.

    Returns
    -------
    The report, and whether nothing fails.
    """
    say = Say(plan.display)
    lines = [plan.project.name, ""]
    for part in plan.bent.values():
        lines += _part(part, say)
    good = all(_good(part) for part in plan.bent.values())
    if plan.holds:
        lines += ["What waits for you", *(f"  - {hold.text}" for hold in plan.holds)]
    return "\n".join(lines).rstrip(), good


def _good(part: BentPlan) -> bool:
    """Whether neither the wood nor the strap fails."""
    strap = part.strap is None or part.strap.verdict != "fails"
    return strap and part.risk.strain.verdict.word != "fails"


def _part(part: BentPlan, say: Say) -> list[str]:
    shape, off = part.shapes["form"], part.band
    lines = [
        f"{part.name}: {part.count} off, {METHOD_WORDS[part.part.method]}, "
        f"{len(part.layup.plies)} x {say.length(part.depth / len(part.layup.plies))}, "
        f"tightest radius {say.length(part.shapes['target'].radius)}",
        f"  relaxes by {say.share(part.springback)}: chord {say.length(shape.chord)} on the form, "
        f"{say.length(part.shapes['released'].chord)} released "
        f"({say.between(off.chord.low, off.chord.high)})",
    ]
    if part.made.form is not None:
        lines.append(f"  the form is made: parts come off {say.fine(part.misfit)} from the drawing")
    lines.append(f"  {part.risk.strain.verdict.words(say.length)}")
    lines.append(f"  {part.risk.worst.words()}")
    lines += [f"  strap: {text}" for text in (part.strap.words(say.length, say.force) if part.strap else ())]
    lines += [
        f"  mill {spares.mill or 'not known how many'} for {s.count} strips of {s.wood}, "
        f"{say.bare(s.length)} x {say.bare(s.width)} x {say.length(s.thickness)}"
        for s, spares in zip(part.strips, part.risk.spares, strict=True)
    ]
    lines += [f"  look at this: {warning}" for warning in part.form.warnings]
    return [*lines, ""]
