"""What the ledger's trial bends teach, set beside the guess before them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from overbend.bend.band import Range
from overbend.bend.calibrate import (
    BreakTrial,
    Face,
    SetTrial,
    Thickness,
    Treatment,
    learn_breaks,
    learn_set,
    set_guess,
    thickness_class,
)
from overbend.bend.capacity import Capacity
from overbend.bend.spread import Spread
from overbend.ledger.evidence import break_trial, release_of, set_trials
from overbend.ledger.records import Trial
from overbend.ledger.store import Ledger
from overbend.project.shop_state import Learnt, ShopState

__all__ = ["BreakFit", "Fit", "LeftOut", "SetFit", "fitted", "lost_at_ten_days", "set_range"]

_Z90 = 1.6448536269514722


@dataclass(frozen=True)
class SetFit:
    """Set of one wood, treatment and class of thickness.

    Parameters
    ----------
    wood, treatment, thickness : of the cell.
    sizes : least and greatest thickness of its trials [mm].
    tried : least and greatest thickness over radius of its trials.
    guess : logit(phi) of the next part before any trial: middle and standard deviation.
    learnt : the same from the trials.
    trials : number of each trial, and the share of its bend that one of its strips has lost at
        ten days.
    """

    wood: str
    treatment: Treatment
    thickness: Thickness
    sizes: tuple[float, float]
    tried: tuple[float, float]
    guess: tuple[float, float]
    learnt: Learnt
    trials: tuple[tuple[int, Range], ...]


@dataclass(frozen=True)
class BreakFit:
    """Strain that a face of one wood, treatment and class of thickness stands.

    Parameters
    ----------
    wood, treatment, thickness, face : of the cell.
    trials, broken : how many were bent, and broke.
    guess, learnt : what it was thought to stand, and what the trials make of it.
    """

    wood: str
    treatment: Treatment
    thickness: Thickness
    face: Face
    trials: int
    broken: int
    guess: Capacity
    learnt: Capacity


@dataclass(frozen=True)
class LeftOut:
    """A measurement left out of the set: of which trial, how long after, why."""

    number: int
    after_hours: float
    why: str


@dataclass(frozen=True)
class Fit:
    """What trial bends teach.

    Parameters
    ----------
    trials : how many there are.
    sets, breaks : one for each cell with trials.
    creep : opening after release per unit of ln(time), in logit(phi), with its error.
    left_out : measurements that could not speak for the set.
    """

    trials: int
    sets: tuple[SetFit, ...]
    breaks: tuple[BreakFit, ...]
    creep: tuple[float, float]
    left_out: tuple[LeftOut, ...]


def fitted(ledger: Ledger) -> Fit:
    """Fit the trial bends of a ledger.

    Raises
    ------
    LedgerError
        When it cannot be read.
    """
    trials = ledger.all_of(Trial)
    numbers = {trial.uid: number for number, trial in trials}
    used = set_trials(trial for _, trial in trials)
    said = [s for _, s in used]
    lessons = learn_set(said)
    broke = [b for _, trial in trials if (b := break_trial(trial)) is not None]
    state = ShopState(lessons.cells, learn_breaks(broke))
    marks = [
        (numbers[t.uid], s, Range(*(v / s.lost_cold for v in rest)))
        for (t, s), rest in zip(used, lessons.at_ten_days, strict=True)
    ]
    return Fit(
        len(trials),
        tuple(_set_fits(state, marks)),
        tuple(_break_fits(state, broke)),
        lessons.creep,
        tuple(_left_out(trials)),
    )


def lost_at_ten_days(ledger: Ledger) -> dict[int, Range]:
    """Share of its bend that each measured trial has lost at ten days, by its number.

    Raises
    ------
    LedgerError
        When the ledger cannot be read.
    """
    trials = ledger.all_of(Trial)
    numbers = {trial.uid: number for number, trial in trials}
    used = set_trials(trial for _, trial in trials)
    lessons = learn_set([s for _, s in used])
    rest = zip(used, lessons.at_ten_days, strict=True)
    return {numbers[trial.uid]: lost for (trial, _), lost in rest}


def set_range(middle: float, sd: float) -> Range:
    """Set fraction from logit(phi): 5, 50 and 95 %.

    Examples
    --------
    >>> [round(v, 2) for v in set_range(2.44, 0.85)]
    [0.74, 0.92, 0.98]
    """
    low, high = middle - _Z90 * sd, middle + _Z90 * sd
    return Range(*(1.0 / (1.0 + math.exp(-v)) for v in (low, middle, high)))


def _set_fits(state: ShopState, marks: Sequence[tuple[int, SetTrial, Range]]) -> Iterator[SetFit]:
    usual = Spread().set_sd
    cells = dict.fromkeys((s.wood, s.treatment, thickness_class(s.thickness)) for _, s, _ in marks)
    for wood, treatment, size in cells:
        mine = [
            (n, s, lost)
            for n, s, lost in marks
            if (s.wood, s.treatment, thickness_class(s.thickness)) == (wood, treatment, size)
        ]
        ratios, sizes = ([f(s) for _, s, _ in mine] for f in (_ratio, _size))
        ratio, thickness = math.sqrt(min(ratios) * max(ratios)), sorted(sizes)[len(sizes) // 2]
        learnt = state.set_for(wood, treatment, thickness, ratio)
        if learnt is not None:
            middle, scale = set_guess(ratio, thickness)
            yield SetFit(
                wood,
                treatment,
                size,
                (min(sizes), max(sizes)),
                (min(ratios), max(ratios)),
                (middle, scale * usual),
                learnt,
                tuple((number, lost) for number, _, lost in mine),
            )


def _ratio(trial: SetTrial) -> float:
    return trial.t_over_r


def _size(trial: SetTrial) -> float:
    return trial.thickness


def _break_fits(state: ShopState, trials: Sequence[BreakTrial]) -> Iterator[BreakFit]:
    for lesson in state.breaks:
        mine = [
            t
            for t in trials
            if (t.wood, t.treatment, thickness_class(t.thickness), t.face)
            == (lesson.wood, lesson.treatment, lesson.thickness, lesson.face)
        ]
        if mine:
            guess = mine[-1].capacity
            found = state.break_strain_for(
                lesson.wood, lesson.treatment, mine[-1].thickness, mine[-1].t_over_r, lesson.face
            )
            learnt = guess if found is None else found.of(guess)
            yield BreakFit(
                lesson.wood,
                lesson.treatment,
                lesson.thickness,
                lesson.face,
                lesson.trials,
                lesson.broken,
                guess,
                learnt,
            )


def _left_out(trials: Sequence[tuple[int, Trial]]) -> Iterator[LeftOut]:
    for number, trial in trials:
        if trial.treatment == "cold" or trial.broken:
            continue
        for measured in trial.measurements:
            doubt = release_of(trial, measured).doubt
            if doubt:
                yield LeftOut(number, measured.after_hours, doubt)
