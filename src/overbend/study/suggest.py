"""Which stacks would do for a part: every one on the grid is worked out and compared."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cached_property

from overbend.bend import sample_release
from overbend.bend.breakage import break_risk, chance_words, governing
from overbend.bend.spares import Spares, spares_needed
from overbend.bend.strain import part_strain
from overbend.errors import CurveError, LayupError
from overbend.form import faces_of
from overbend.plan import BentPlan
from overbend.plan.bent import BAND_SEED
from overbend.study.ask import MOST_STRIPS, Ask, ask_for
from overbend.study.frontier import frontier
from overbend.study.records import Candidate, Figures, Fit, Suggestion
from overbend.study.stacks import Stack, pattern_words, present_stack, stacks_for
from overbend.study.variant import clamps_of, fit_of, set_words, variant
from overbend.units import format_length

__all__ = ["DRAWS", "STATIONS", "Step", "suggest"]

Step = Callable[[str, int, int], None]

DRAWS, STATIONS = 500, 50
"""Draws and stations behind a scatter; the plan itself takes 2000 and 200 of the same seed."""

_DRAWS_WORDS = (
    f"Scatter is drawn {DRAWS} times for each stack, where the plan draws more: about 5 % off "
    "either way."
)
_WOOD_WORDS = (
    "Wood is what the strips to mill take, spares, planing and one saw cut each counted; "
    "offcuts are not."
)
_FEW = 4  # ways to fail that are said by name


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
    work = _Work(variant(part, stack))
    try:
        faces_of(work.plan.glued, work.plan.depth, work.plan.form_spec)
        figures = work.figures(fit_of(work.plan, clamps) if stack.steamed else None)
    except (LayupError, CurveError) as error:
        return Candidate(stack, present, None, (f"it cannot be bent: {error.problem}",))
    reasons = (*_too_thin(part, stack, ask), *_reasons(part, figures, ask))
    return Candidate(stack, present, figures, reasons)


class _Work:
    """Figures of one stack; its form is computed once for all of them."""

    def __init__(self, plan: BentPlan) -> None:
        self.plan = plan

    def figures(self, fit: Fit | None) -> Figures:
        """Everything that is compared."""
        worst = governing(self._risks)
        mill = [spares.mill for spares in self._spares]
        counts = [count for count in mill if count is not None]
        enough = len(counts) == len(mill)
        return Figures(
            self.plan.springback,
            self._strain.verdict.word,
            worst.expected,
            worst.low,
            worst.high,
            self._scatter(),
            sum(row.count for row in self.plan.strips),
            sum(counts) if enough else None,
            self._wood(counts) if enough else None,
            fit,
        )
