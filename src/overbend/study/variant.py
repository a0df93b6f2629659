"""The same part with another stack, and what loading its form takes."""

from __future__ import annotations

import math

from overbend.errors import CurveError, LayupError
from overbend.plan import BentPlan
from overbend.plan.made import MadeThings
from overbend.plan.steam import way_to_form
from overbend.project import schema
from overbend.steam.loading import judge, loading_seconds
from overbend.study.records import Fit
from overbend.study.stacks import Stack, table_of

__all__ = ["clamps_of", "fit_of", "set_words", "variant"]

_PITCH = 100.0  # mm between clamps where the drawn form cannot be worked out. Assumed


def variant(part: BentPlan, stack: Stack) -> BentPlan:
    """Plan the part with another stack; what was made for the drawn one is left out.

    Parameters
    ----------
    part : as drawn. Its curve is not computed again.
    stack : what it is to be built up from.
    """
    table = part.part.model_copy(update=_changes(part, stack))
    parts = {**part.project.part, part.name: table}
    project = part.project.model_copy(update={"part": parts})
    other = BentPlan(
        part.name, project, part.woods, MadeThings(), part.folder, part.display, part.where,
        part.shop_state,
    )  # fmt: skip
    other.drawn = part.drawn
    if part.part.line == "middle":
        other.target = part.target
    return other


def _changes(part: BentPlan, stack: Stack) -> dict[str, object]:
    """What the stack changes in the part's table."""
    changes: dict[str, object] = {"ply": table_of(stack), "method": stack.method}
    changes["set"] = _typed_set(part) if stack.steamed else None
    if stack.method != "steam-laminate":
        changes["form"] = part.part.form.model_copy(update={"steam_on": "same"})
    if stack.method == "solid":
        changes["adhesive"] = None
    return changes


def _typed_set(part: BentPlan) -> schema.SetShare | None:
    """The set the maker typed or a trial bend showed; None for the usual guess."""
    if part.part.method == "laminate":
        return None
    if part.part.set is not None or part.made.trial is None:
        return part.part.set
    low, high = part.set.range90
    return schema.SetShare.model_construct(low=low, median=part.set.median, high=high)


def set_words(part: BentPlan) -> str:
    """Say where the set of steamed strips comes from."""
    if _typed_set(part) is None:
        whence = "what your ledger taught" if part.shop_state.sets else "a guess, assumed"
        return f"How much of the bend steamed strips keep is {whence}, for each thickness anew."
    typed = part.part.set is not None
    whence = "typed in the project file" if typed else "known from your trial bend"
    return f"Steamed strips keep what is {whence}, whatever their thickness: assumed."


def clamps_of(part: BentPlan) -> tuple[int, str]:
    """Clamps to close while the wood is hot, and where the number comes from.

    Parameters
    ----------
    part : as drawn; its form's clamps are counted for every stack.
    """
    try:
        count = len(part.form.clamps)
    except (LayupError, CurveError):
        count = max(1, math.ceil(part.drawn.length / _PITCH))
        return count, f"Loading counts {count} clamps, one every {_PITCH:g} mm: assumed."
    return count, f"Loading counts the {count} clamps of the form as drawn now."


def fit_of(part: BentPlan, clamps: int) -> Fit:
    """Lay the time to load the form against the working window, as the plan does.

    Parameters
    ----------
    part : a steamed one.
    clamps : to close while the wood is hot.

    Raises
    ------
    SteamError, WoodError
        Wood wetter than fibre saturation, air no shop has.
    """
    way = way_to_form(part, clamps)
    window, seconds = way.window, loading_seconds(way.load, way.hands)
    return Fit(seconds, window.low, window.high, judge(seconds, window.low, window.high))
