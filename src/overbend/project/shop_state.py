"""What the shop has and what it has learnt: plain data that the ledger fills in."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TypeVar

from overbend.bend.calibrate import (
    OTHER_WOODS,
    STEAMED,
    BreakLesson,
    Face,
    Lesson,
    SetLesson,
    Treatment,
    set_guess,
    thickness_class,
)
from overbend.bend.capacity import Capacity
from overbend.bend.spread import Spread, widening

__all__ = ["BoardHeld", "ClampsHeld", "FormHeld", "Learnt", "LearntStrain", "ShopState"]

L = TypeVar("L", bound=Lesson)

_SHARPEST = 1.9  # thickness over radius; at 2 the hollow face of one strip folds over
_BEYOND = 1.05  # as a factor on thickness over radius: less is not worth a word


@dataclass(frozen=True)
class BoardHeld:
    """A board in the rack; lengths in mm, moisture in %.

    `defects` are spans that cannot be used, from and to, measured from its marked end; `label` is
    what is written on it, `uid` its name in every ledger, `off_cut` whether it was sawn off
    another board.
    """

    name: str
    species: str
    length: float
    width: float
    thickness: float
    dried: str = ""
    moisture: float | None = None
    place: str = ""
    defects: tuple[tuple[float, float], ...] = ()
    surfaced: bool = False
    label: str = ""
    uid: str = ""
    off_cut: bool = False


@dataclass(frozen=True)
class FormHeld:
    """A form that stands in the shop; radius of its face in mm, where it has one."""

    name: str
    side: str
    radius: float | None = None
    note: str = ""


@dataclass(frozen=True)
class ClampsHeld:
    """Clamps of one kind: how many, widest opening [mm], force of one [N]."""

    name: str
    count: int
    opening: float
    force: float


@dataclass(frozen=True)
class Learnt:
    """Set to be expected of a strip, at ten days after release.

    Parameters
    ----------
    median : of the set fraction.
    sd_logit : standard deviation of logit(phi) of the next part, all levels, widened.
    trials : trial bends of this wood, treatment and class of thickness it rests on.
    others : other trial bends of the shop that bear on it.
    words : the same in words.
    sd_middle, sd_run, sd_strip : the levels of `sd_logit` before widening: how well the middle
        of this wood in this shop is known, between steam runs, between strips of one run.
    widening : factor on all three, for bends far from those tried.
    """

    median: float
    sd_logit: float
    trials: int
    others: int
    words: str
    sd_middle: float
    sd_run: float
    sd_strip: float
    widening: float

    def spread(self, base: Spread) -> Spread:
        """Return a spread with what was learnt of the set, the rest as in `base`.

        Examples
        --------
        >>> learnt = Learnt(0.9, 0.52, 3, 0, "3 trial bends", 0.2, 0.4, 0.26, 1.0)
        >>> round(learnt.spread(Spread()).set_sd, 2)
        0.52
        """
        return replace(
            base,
            set_species=self.sd_middle,
            set_run=self.sd_run,
            set_strip=self.sd_strip,
            widening=self.widening,
        )


@dataclass(frozen=True)
class LearntStrain:
    """What a face was found to stand, against what was thought.

    Parameters
    ----------
    shift : of the median's logarithm, in units of its doubt.
    doubt : what is left of that doubt, as a share of it, widened; it may exceed 1 far away from
        the strips tried.
    trials, others, words : as for :class:`Learnt`.
    """

    shift: float
    doubt: float
    trials: int
    others: int
    words: str

    def of(self, capacity: Capacity) -> Capacity:
        """Return what the face stands, the book's figure corrected by the trials.

        Examples
        --------
        >>> from overbend.bend.capacity import hot_tension
        >>> thought = hot_tension(kiln_dried=True)
        >>> found = LearntStrain(0.8, 0.6, 4, 0, "4 trial bends").of(thought)
        >>> print(f"{thought.median:.2%} {found.median:.2%}")
        1.40% 1.65%
        """
        return replace(
            capacity,
            median=capacity.median * math.exp(self.shift * capacity.doubt),
            doubt=capacity.doubt * self.doubt,
            sources=(*capacity.sources, f"corrected by {self.words}"),
        )


@dataclass(frozen=True)
class ShopState:
    """What a shop has and has learnt.

    Parameters
    ----------
    sets : what trial bends taught about set.
    breaks : what they taught about the strain strips stand.
    boards, forms, clamps : what there is.
    source : where it comes from, in words.

    Examples
    --------
    >>> ShopState().set_for("white-ash", "steam", 20.0, 0.05) is None
    True
    """

    sets: tuple[SetLesson, ...] = ()
    breaks: tuple[BreakLesson, ...] = ()
    boards: tuple[BoardHeld, ...] = ()
    forms: tuple[FormHeld, ...] = ()
    clamps: tuple[ClampsHeld, ...] = ()
    source: str = ""

    def set_for(
        self, species_id: str, treatment: Treatment, thickness: float, t_over_r: float
    ) -> Learnt | None:
        """Set of a strip, as far as trial bends say anything about it.

        Parameters
        ----------
        species_id : id of the wood.
        treatment : ``steam`` or ``soak-steam``; ``cold`` has no set to learn.
        thickness : of a strip [mm].
        t_over_r : thickness over mid radius at the tightest place.

        Returns
        -------
        Learnt or None
            None without any trial of steamed wood, and for a straight part.

        Notes
        -----
        Away from the thickness over radius tried the spread is widened by
        :func:`overbend.bend.spread.widening`, up to what the guess before any trial and the
        shift away from it span together.
        """
        lesson = _lesson(self.sets, species_id, treatment, thickness)
        if lesson is None or treatment not in STEAMED or not t_over_r > 0.0:
            return None
        usual = Spread()
        middle, scale = set_guess(min(t_over_r, _SHARPEST), thickness)
        own, run, strip = (scale * sd for sd in (lesson.sd, usual.set_run, usual.set_strip))
        total = math.hypot(own, run, strip)
        most = math.hypot(scale * usual.set_sd, scale * lesson.shift)
        wide = max(1.0, min(widening(t_over_r, lesson.tried), most / total))
        median = 1.0 / (1.0 + math.exp(-middle - scale * lesson.shift))
        words, trials, others = _words(lesson, species_id, t_over_r), lesson.trials, lesson.others
        return Learnt(median, wide * total, trials, others, words, own, run, strip, wide)

    def break_strain_for(
        self,
        species_id: str,
        treatment: Treatment,
        thickness: float,
        t_over_r: float,
        face: Face = "convex",
    ) -> LearntStrain | None:
        """What a face of a strip stands, as far as trial bends say anything about it.

        Parameters
        ----------
        species_id, treatment, thickness, t_over_r : as for :meth:`set_for`; cold bends count.
        face : ``convex`` (it tears) or ``concave`` (it crumples).

        Returns
        -------
        LearntStrain or None
            None without any trial, hot or cold as asked, in which this face was the likelier
            one to give way, and for a straight part.
        """
        of_face = tuple(lesson for lesson in self.breaks if lesson.face == face)
        lesson = _lesson(of_face, species_id, treatment, thickness)
        if lesson is None or not t_over_r > 0.0:
            return None
        wide = widening(t_over_r, lesson.tried)
        doubt = max(lesson.sd, min(wide * lesson.sd, math.hypot(1.0, lesson.shift)))
        words = _words(lesson, species_id, t_over_r)
        return LearntStrain(lesson.shift, doubt, lesson.trials, lesson.others, words)


def _lesson(lessons: tuple[L, ...], wood: str, treatment: Treatment, thickness: float) -> L | None:
    """Lesson of a wood, or that of all woods not tried; None when there is none."""
    size = thickness_class(thickness)
    found = {
        lesson.wood: lesson
        for lesson in lessons
        if lesson.treatment == treatment and lesson.thickness == size
    }
    return found.get(wood) or found.get(OTHER_WOODS)


def _words(lesson: Lesson, wood: str, t_over_r: float) -> str:
    """Say how many trials a figure rests on, and how far off they were."""
    told = f"{_trials(lesson.trials)} of {wood} ({lesson.treatment}, {lesson.thickness})"
    if lesson.others:
        told += f", {_trials(lesson.others)} of other woods, treatments or thicknesses"
    low, high = lesson.tried
    if t_over_r > _BEYOND * high:
        told += f"; {t_over_r / high:.1f} times sharper than any of them, so less sure"
    elif _BEYOND * t_over_r < low:
        told += f"; {low / t_over_r:.1f} times gentler than any of them, so less sure"
    return told


def _trials(count: int) -> str:
    return f"{count or 'no'} trial bend" + ("s" if count > 1 else "")
