"""The stacks to look at: every count and thickness that gives the depth asked for."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

from overbend.errors import InputError
from overbend.plan import BentPlan
from overbend.project import schema
from overbend.study.ask import MOST_STRIPS, Ask, Method

__all__ = ["Stack", "majority_wood", "pattern_words", "present_stack", "stacks_for"]

MOST_STACKS = 1500  # on one grid. Our choice: half a minute's work
_SAME = 1e-6  # mm


@dataclass(frozen=True)
class Stack:
    """A way to build a part up.

    Parameters
    ----------
    method : solid, laminate or steam-laminate.
    woods : wood of each strip, outside in.
    thickness : of each strip, outside in [mm].
    """

    method: Method
    woods: tuple[str, ...]
    thickness: tuple[float, ...]

    @property
    def count(self) -> int:
        """Strips of one part."""
        return len(self.thickness)

    @property
    def glue_lines(self) -> int:
        """Glue lines of one part."""
        return self.count - 1

    @property
    def depth(self) -> float:
        """Depth of the stack [mm]."""
        return math.fsum(self.thickness)

    @property
    def steamed(self) -> bool:
        """Whether its strips are bent hot."""
        return self.method != "laminate"

    @property
    def rows(self) -> tuple[tuple[str, float, int], ...]:
        """Wood, thickness and how many alike beside each other, outside in.

        Examples
        --------
        >>> Stack("laminate", ("ash", "ash", "oak"), (3.0, 3.0, 2.0)).rows
        (('ash', 3.0, 2), ('oak', 2.0, 1))
        """
        pairs = groupby(zip(self.woods, self.thickness, strict=True))
        return tuple((wood, t, len(list(same))) for (wood, t), same in pairs)


def present_stack(part: BentPlan) -> Stack:
    """Return the stack the part is drawn with."""
    plies = part.part.plies
    return Stack(part.part.method, tuple(p.wood for p in plies), tuple(p.thickness for p in plies))


def majority_wood(part: BentPlan) -> str:
    """Wood that most of the part's depth is made of."""
    present, share = present_stack(part), dict[str, float]()
    for wood, t in zip(present.woods, present.thickness, strict=True):
        share[wood] = share.get(wood, 0.0) + t
    return max(share, key=lambda name: share[name])


def pattern_words(part: BentPlan, ask: Ask) -> str:
    """Say how a stack of several woods or thicknesses was carried over; "" for a plain one."""
    present = present_stack(part)
    mixed = len(set(present.woods)) > 1
    if ask.woods or not (mixed or len(set(present.thickness)) > 1):
        return ""
    other = f"of {majority_wood(part)} alone, " if mixed else ""
    return (
        f"Stacks of {present.count} strips keep the order of the drawn one, their thicknesses "
        f"in proportion; stacks of other counts are {other}all strips alike."
    )


def stacks_for(part: BentPlan, ask: Ask) -> tuple[Stack, ...]:
    """Return every stack on the grid, the one drawn now first.

    Parameters
    ----------
    part : the part.
    ask : depth, steps, woods and ways of working.

    Raises
    ------
    InputError
        For a grid of more than 1500 stacks.

    Notes
    -----
    Like strips for every count, in every multiple of the step whose stack comes within the
    tolerance. A stack of several woods or thicknesses is scaled where the count is its own,
    see :func:`pattern_words`.
    """
    found = dict.fromkeys((present_stack(part),))
    for method in ask.methods:
        for wood in ask.woods or ("",):
            for count, t in _grid(ask, method):
                stack = _stack(part, ask, method, wood, count, t)
                if stack is not None:
                    found[stack] = None
                _check_size(len(found), ask)
    return tuple(found)


def _check_size(count: int, ask: Ask) -> None:
    if count > MOST_STACKS:
        raise InputError(
            f"more than {MOST_STACKS} stacks of {ask.depth:g} mm, give or take "
            f"{ask.tolerance:g} mm, in steps of {ask.step:g} mm",
            allowed=f"{MOST_STACKS} at most",
            todo="ask for a coarser step, a smaller tolerance or fewer woods",
        )


def _grid(ask: Ask, method: Method) -> Iterator[tuple[int, float]]:
    """Counts and thicknesses of like strips that give the depth."""
    low, high = ask.depth - ask.tolerance, ask.depth + ask.tolerance
    most = 1 if method == "solid" else min(MOST_STRIPS, math.floor(high / ask.least + _SAME))
    for count in range(1 if method == "solid" else 2, most + 1):
        first = math.ceil(max(low / count, ask.least) / ask.step - _SAME)
        last = math.floor(high / count / ask.step + _SAME)
        for k in range(first, last + 1):
            yield count, k * ask.step


def _stack(
    part: BentPlan, ask: Ask, method: Method, wood: str, count: int, t: float
) -> Stack | None:
    """Like strips of a wood, or the drawn order scaled; None when that leaves the limits."""
    present = present_stack(part)
    if wood or count != present.count:
        return Stack(method, (wood or majority_wood(part),) * count, (_exact(t),) * count)
    by = count * t / present.depth
    scaled = tuple(_exact(ask.step * round(own * by / ask.step)) for own in present.thickness)
    stack = Stack(method, present.woods, scaled)
    within = abs(stack.depth - ask.depth) <= ask.tolerance + _SAME
    return stack if within and min(scaled) >= ask.least - _SAME else None


def _exact(mm: float) -> float:
    """Thickness without the dust of multiplication [mm]."""
    return round(mm, 9)


def table_of(stack: Stack) -> tuple[schema.Ply, ...]:
    """Return a stack as the lines of a part's table."""
    return tuple(
        schema.Ply.model_construct(wood=wood, thickness=t, count=count)
        for wood, t, count in stack.rows
    )
