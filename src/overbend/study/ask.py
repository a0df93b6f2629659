"""What is asked of a stack: its depth, the steps it comes in, and the limits it must keep."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, get_args

from overbend.bend.breakage import HOLDS_CHANCE
from overbend.errors import InputError
from overbend.plan import BentPlan
from overbend.units import System, format_length

__all__ = ["MOST_STRIPS", "Ask", "Method", "ask_for"]

Method = Literal["solid", "laminate", "steam-laminate"]

STEP: dict[System, float] = {"mm": 0.1, "in": 25.4 / 64.0}
"""Finest step of a thicknessing machine [mm]: 0.1 mm, 1/64 in. Assumed."""

LEAST: dict[System, float] = {"mm": 1.0, "in": 3.0 * 25.4 / 64.0}
"""Thinnest strip when no machine's least thickness is typed [mm]: 1 mm, 3/64 in. Assumed."""

SCATTER: dict[System, float] = {"mm": 5.0, "in": 3.0 * 25.4 / 16.0}
"""Scatter of the tip to stay within when none is given [mm]: 5 mm, 3/16 in. Our choice."""

TOLERANCE = 0.05  # of the depth, when none is given. Our choice
MOST_STRIPS = 40  # in a stack. Our choice

_TRIED: dict[Method, tuple[Method, ...]] = {
    "solid": ("solid",),
    "laminate": ("laminate",),
    "steam-laminate": ("laminate", "steam-laminate"),
}


@dataclass(frozen=True)
class Ask:
    """What is asked of a stack.

    Parameters
    ----------
    depth, tolerance : depth of the stack and how far it may be off, either way [mm].
    step : thicknesses are whole multiples of this [mm].
    least : thinnest strip [mm].
    methods : ways of working to try.
    woods : woods to try, each by itself; empty: the woods the part is drawn with.
    risk : greatest chance of breaking of the strip likeliest to.
    scatter : greatest width of the range that holds nine in ten tips of one form [mm].
    notes : where values come from that the maker did not give, in sentences.
    """

    depth: float
    tolerance: float
    step: float
    least: float
    methods: tuple[Method, ...]
    woods: tuple[str, ...]
    risk: float
    scatter: float
    notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        _above_zero("depth", self.depth)
        _above_zero("step", self.step)
        _above_zero("least thickness", self.least)
        _above_zero("scatter", self.scatter)
        if not 0.0 <= self.tolerance < self.depth:
            raise InputError(
                f"a tolerance of {self.tolerance:g} mm",
                "tolerance",
                f"0 to below the depth, {self.depth:g} mm",
            )
        if not 0.0 < self.risk < 1.0:
            raise InputError(
                f"a chance of breaking of {self.risk:g}", "risk", "above 0, below 1, such as 0.05"
            )


def _above_zero(name: str, value: float) -> None:
    if not (math.isfinite(value) and value > 0.0):
        raise InputError(f"a {name} of {value:g} mm", name, "above zero")


def ask_for(
    part: BentPlan,
    *,
    depth: float | None = None,
    tolerance: float | None = None,
    step: float | None = None,
    methods: Sequence[str] = (),
    woods: Sequence[str] = (),
    risk: float = HOLDS_CHANCE,
    scatter: float | None = None,
) -> Ask:
    """Fill in what the maker left out from the project, and say where it came from.

    Parameters
    ----------
    part : the part.
    depth : of the stack [mm]; None: as drawn.
    tolerance : either way [mm]; None: 5 % of the depth.
    step : of the thicknessing machine [mm]; None: 0.1 mm or 1/64 in.
    methods : ways of working; none: the part's own, and cold beside steamed laminations.
    woods : the project's names of woods; none: the part's own.
    risk : greatest chance of breaking.
    scatter : greatest scatter of the tip [mm]; None: 5 mm or 3/16 in.

    Raises
    ------
    InputError
        For a wood or way of working that there is not, or a number that cannot be meant.
    """
    system = part.project.units
    _known("wood", woods, tuple(part.woods))
    _known("method", methods, get_args(Method))
    least, why = _least(part)
    if step is None:
        step = STEP[system]
        why += (f"Thicknesses come in steps of {_said(step, system)}: assumed.",)
    drawn = part.part.depth if depth is None else depth
    return Ask(
        drawn,
        TOLERANCE * drawn if tolerance is None else tolerance,
        step,
        least,
        tuple(m for m in get_args(Method) if m in (methods or _TRIED[part.part.method])),
        tuple(dict.fromkeys(woods)),
        risk,
        SCATTER[system] if scatter is None else scatter,
        why,
    )


def _known(what: str, given: Sequence[str], known: Sequence[str]) -> None:
    for name in given:
        if name not in known:
            raise InputError(f"no {what} {name!r}", what, ", ".join(known))


def _least(part: BentPlan) -> tuple[float, tuple[str, ...]]:
    """Thinnest finished strip the machines take, and who says so.

    The thicknessing machine has it at its finished thickness, the others before planing.
    """
    shop, system = part.project.shop, part.project.units
    given, planing = shop.machine, shop.planer_allowance
    typed = {
        "saw": (given.saw.least_thickness, planing),
        "surfacing machine": (given.surfacing.least_thickness, planing),
        "thicknessing machine": (given.thicknessing.least_thickness, 0.0),
    }
    limits = {name: value - less for name, (value, less) in typed.items() if value is not None}
    name = max(limits, key=lambda key: limits[key], default="")
    if not name or limits[name] <= 0.0:
        least = LEAST[system]
        why = "your machines take thinner still" if name else "no machine's least is typed"
        return least, (f"No strip is thinner than {_said(least, system)}: assumed, as {why}.",)
    before = "" if typed[name][1] == 0.0 else " once planing is added"
    return limits[name], (
        f"No strip is thinner than {_said(limits[name], system)}: the {name} takes no less"
        f"{before}.",
    )


def _said(mm: float, system: System) -> str:
    from overbend.units import Display

    return format_length(mm, Display(system, inch_denominator=64))
