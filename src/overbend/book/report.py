"""The readable report of `overbend check`."""

from __future__ import annotations

from itertools import groupby

from overbend.book.say import Say
from overbend.book.us_units import names_of
from overbend.book.words import METHOD_WORDS
from overbend.plan import BentPlan, Plan, cutting_lines
from overbend.plan.verdicts import Judged

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
    say = Say(plan.display, names_of(plan.loaded.raw))
    lines = [plan.project.name, ""]
    for part in plan.bent.values():
        lines += map(say.words, _part(plan, part, say))
    good = all(judged.word != "fails" for judged in plan.verdicts)
    shop = [say.words(f"{j.what}: {j.word}: {j.text}") for j in plan.verdicts if not j.part]
    lines += [*shop, ""] if shop else []
    boards = [say.words(line) for line in cutting_lines(plan)]
    lines += [*boards, ""] if boards else []
    if plan.holds:
        lines += ["What waits for you", *(f"  - {say.words(hold.text)}" for hold in plan.holds)]
    return "\n".join(lines).rstrip(), good


def _part(plan: Plan, part: BentPlan, say: Say) -> list[str]:
    shape, off = part.shapes["form"], part.band
    lines = [
        f"{part.name}: {part.count} off, {METHOD_WORDS[part.part.method]}, "
        f"{_stack(part, say)}, "
        f"tightest radius {say.length(part.shapes['target'].radius)}",
        f"  relaxes by {say.share(part.springback)}: chord {say.length(shape.chord)} on the form, "
        f"{say.length(part.shapes['released'].chord)} released "
        f"({say.between(off.chord.low, off.chord.high)})",
    ]
    lines += [f"  {j.what}, {j.word}: {_reason(j)}" for j in plan.verdicts if j.part == part.name]
    lines.append(f"  {part.risk.worst.words()}")
    lines += [
        f"  mill {spares.mill or 'not known how many'} for {s.count} of {s.wood}, "
        f"{say.bare(s.length)} x {say.bare(s.width)} x {say.length(s.thickness)}"
        for s, spares in zip(part.strips, part.risk.spares, strict=True)
    ]
    lines += [f"  look at this: {warning}" for warning in part.form.warnings]
    return [*lines, ""]


def _reason(judged: Judged) -> str:
    """The reason without the verdict word that some begin with."""
    start = f"{judged.word.capitalize()}: "
    return judged.text.removeprefix(start)


def _stack(part: BentPlan, say: Say) -> str:
    """Thicknesses outside in, runs of like strips together."""
    runs = [(t, len(list(same))) for t, same in groupby(p.thickness for p in part.layup.plies)]
    return " + ".join(say.thick(t) if n == 1 else f"{n} x {say.thick(t)}" for t, n in runs)
