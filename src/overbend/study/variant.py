"""The same part with another stack, and what loading its form takes."""

from __future__ import annotations

import math

from overbend.errors import CurveError, LayupError
from overbend.plan import BentPlan
from overbend.plan.made import MadeThings
from overbend.plan.steam import climate_of
from overbend.project import BentPart, schema
from overbend.steam.air import Air
from overbend.steam.loading import (
    FormLoad,
    Hands,
    Surroundings,
    judge,
    loading_seconds,
)
from overbend.steam.section import Section
from overbend.study.records import Fit
from overbend.study.stacks import Stack, table_of
from overbend.wood import basic_gravity
from overbend.wood.thermal import ThermalWood

__all__ = ["clamps_of", "fit_of", "set_words", "variant"]

_BOX = 98.0  # deg C without a steam box in the project, as in the plan
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
    shop, strips = part.project.shop, part.strips_used
    hot = shop.steam_box.temperature if shop.steam_box else _BOX
    climate = climate_of(shop.climate, "shop.climate")
    around = Surroundings(hot, Air(climate.temperature, 100.0 * climate.humidity), shop.softening)
    load = _load(part, clamps)
    wood = part.woods[max(strips, key=lambda s: s.thickness).wood]
    thermal = ThermalWood(basic_gravity(wood.species).value, wood.moisture.value)
    window, seconds = around.window(load.carried, thermal), loading_seconds(load, _hands(part))
    return Fit(seconds, window.low, window.high, judge(seconds, window.low, window.high))


def _load(part: BentPlan, clamps: int) -> FormLoad:
    table: BentPart = part.part
    thin = min(s.thickness for s in part.strips_used)
    count = len(part.strips_used)
    bundle = table.steam.bundle and count > 1
    width = table.width + part.project.shop.width_allowance
    return FormLoad(Section(width, thin), count, clamps, bundle or table.form.strap > 0.0)


def _hands(part: BentPlan) -> Hands:
    given, people = part.project.shop.hands, part.project.shop.people
    return Hands(people, given.out, given.per_strip, given.strap, given.bend, given.per_clamp)
