"""Which stacks would do for a part: every one on the grid is worked out and compared."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from overbend.bend import sample_release
from overbend.bend.breakage import chance_words
from overbend.errors import CurveError, LayupError
from overbend.form import faces_of
from overbend.plan import BentPlan
from overbend.plan.bent import BAND_DRAWS, BAND_SEED
from overbend.stock import Strip
from overbend.study.ask import MOST_STRIPS, Ask, ask_for
from overbend.study.frontier import frontier
from overbend.study.records import Candidate, Figures, Fit, Reason, Suggestion
from overbend.study.stacks import Stack, pattern_words, present_stack, stacks_for
from overbend.study.variant import clamps_of, fit_of, set_words, variant
from overbend.units import format_length

__all__ = ["STATIONS", "Step", "suggest"]

Step = Callable[[str, int, int], None]

_SAME = 1e-6  # mm

STATIONS = 30
"""Stations behind a scatter; the plan itself takes 200. Draws and seed are the plan's own, so
that the drawn stack has the plan's figure."""

_DRAWS_WORDS = (
    f"Scatter is drawn {BAND_DRAWS} times for each stack, as in the plan: by chance it may be 5 % "
    "off either way."
)
_WOOD_WORDS = (
    "Wood is what the strips to mill take, spares, planing and one saw cut each counted; "
    "offcuts are not."
)


def suggest(part: BentPlan, ask: Ask | None = None, step: Step | None = None) -> Suggestion:
    """Work out every stack that gives a part its depth, and which are worth a look.

    Parameters
    ----------
    part : the part. What was made for it already is left out of account, but for a trial bend.
    ask : limits and grid; None: what the project gives, see :func:`ask_for`.
    step : called with what is being done, stacks done and stacks in all.

    Returns
    -------
    Every stack with its figures, the reasons of those that do not meet what was asked, and
    marks on those that no other beats in wood, glue lines, chance of breaking and scatter.

    Raises
    ------
    InputError
        A curve that cannot be drawn, wood that is not known, a grid too large.

    Notes
    -----
    Each stack gets its own form, because it springs back by its own amount: strain and breakage
    come from that form. Loading and window of steamed stacks are those of the steam plan.
    """
    asked = ask or ask_for(part)
    stacks = stacks_for(part, asked)
    clamps, clamp_words = clamps_of(part) if any(s.steamed for s in stacks) else (0, "")
    found = []
    for done, stack in enumerate(stacks):
        if step is not None:
            step(f"stacks for {part.name}", done, len(stacks))
        found.append(_candidate(part, stack, asked, clamps))
    if step is not None:
        step("done", len(stacks), len(stacks))
    marked = tuple(_marked(found))
    return Suggestion(part.name, asked, marked, tuple(_notes(part, asked, marked, clamp_words)))


def _marked(found: list[Candidate]) -> Iterator[Candidate]:
    """The same candidates, the unbeaten ones marked."""
    costs = [c.costs for c in found]
    known = [row for row in costs if row is not None]
    best = iter(frontier(known) if known else ())
    for candidate, row in zip(found, costs, strict=True):
        yield candidate if row is None else replace(candidate, unbeaten=bool(next(best)))


def _notes(
    part: BentPlan, ask: Ask, found: tuple[Candidate, ...], clamp_words: str
) -> Iterator[str]:
    yield from ask.notes
    yield _DRAWS_WORDS
    yield _WOOD_WORDS
    if words := pattern_words(part, ask):
        yield words
    if clamp_words:
        yield clamp_words
        yield set_words(part)
    if max(c.stack.count for c in found) == MOST_STRIPS:
        yield f"Stacks of more than {MOST_STRIPS} strips were not looked at."
    made = part.made.form is not None or bool(part.made.strips)
    if made:
        yield "Strips and form already made are left out of account: every stack is a new start."


def _candidate(part: BentPlan, stack: Stack, ask: Ask, clamps: int) -> Candidate:
    present = stack == present_stack(part)
    plan = variant(part, stack)
    try:
        faces_of(plan.glued, plan.depth, plan.form_spec)
        figures = _figures(plan, fit_of(plan, clamps) if stack.steamed else None)
    except (LayupError, CurveError) as error:
        reason = Reason("bend", f"it cannot be bent: {error.problem}")
        return Candidate(stack, present, None, (reason,))
    return Candidate(stack, present, figures, tuple(_reasons(part, stack, figures, ask)))


def _figures(plan: BentPlan, fit: Fit | None) -> Figures:
    """Everything that is compared."""
    risk, rows = plan.risk, plan.strips
    counts = [spares.mill for spares in risk.spares]
    known = [count for count in counts if count is not None]
    enough = len(known) == len(counts)
    return Figures(
        plan.springback,
        risk.strain.verdict.word,
        risk.worst.expected,
        risk.worst.low,
        risk.worst.high,
        _scatter(plan),
        sum(row.count for row in rows),
        sum(known) if enough else None,
        _wood(rows, known, plan.project.shop.saw_kerf) if enough else None,
        fit,
    )


def _scatter(plan: BentPlan) -> float:
    """Width of the range of tips off one form [mm]."""
    band = sample_release(
        plan.layup, plan.glued, plan.spread, set_curve=plan.set_curve, stations=STATIONS,
        draws=BAND_DRAWS, seed=BAND_SEED,
    )  # fmt: skip
    return band.tip.one_form


def _wood(rows: Sequence[Strip], mill: Sequence[int], kerf: float) -> float:
    """Wood that milling takes, one saw cut to a strip [mm3]."""
    return math.fsum(
        count * row.length * row.width * (row.sawn_thickness + kerf)
        for row, count in zip(rows, mill, strict=True)
    )


# -- reasons ------------------------------------------------------------------------------


def _reasons(part: BentPlan, stack: Stack, figures: Figures, ask: Ask) -> Iterator[Reason]:
    """Why a stack does not meet what was asked."""

    def say(mm: float) -> str:
        return format_length(mm, fine)

    fine = replace(part.display, inch_denominator=64)
    if min(stack.thickness) < ask.least - _SAME:
        thin = say(min(stack.thickness))
        yield Reason("thin", f"a strip of {thin} is thinner than the {say(ask.least)} allowed")
    if abs(stack.depth - ask.depth) > ask.tolerance + _SAME:
        yield Reason("depth", f"it is {say(stack.depth)} deep")
    if figures.breaks > ask.risk:
        often, asked = chance_words(figures.breaks), chance_words(ask.risk)
        yield Reason("breaks", f"{often} breaks, more than {asked}")
    if figures.mill is None:
        yield Reason("spares", "no number of spares is enough")
    if figures.scatter > ask.scatter:
        yield Reason(
            "scatter", f"tips scatter by {say(figures.scatter)}, more than {say(ask.scatter)}"
        )
    if figures.fit is not None and figures.fit.verdict == "fails":
        yield Reason("window", _late(figures.fit))


def _late(fit: Fit) -> str:
    """Say that the wood stiffens before it is clamped."""
    return (
        f"loading takes about {math.ceil(fit.seconds)} s, the wood is too stiff after "
        f"{math.floor(fit.low)} to {math.floor(fit.high)} s"
    )
