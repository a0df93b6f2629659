"""What has to come out of the boards: strips, blanks of straight parts, layers of forms."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from overbend.form.layers import GAP
from overbend.plan.bent import BentPlan
from overbend.project import MadeStrips
from overbend.stock import Demand, Panel
from overbend.units import Display, format_length

if TYPE_CHECKING:
    from overbend.plan.facade import Plan

__all__ = ["demands_of", "other_sheets", "panels_of", "thick"]


def demands_of(plan: Plan) -> tuple[Demand, ...]:
    """Strips to mill, with spares, and blanks of straight parts, each with a name of its own.

    Strips that are milled already are left out. A blank is longer than its piece by the trim at
    both ends, and wider and thicker by what planing takes off.
    """
    strips = [d for part in plan.bent.values() for d in _strips(part, plan)]
    return _told_apart([*strips, *_blanks(plan)])


def thick(mm: float, display: Display) -> str:
    """A thickness: 0.1 mm, or a 64th of an inch where it is one, else thousandths.

    Examples
    --------
    >>> thick(3.2, Display()), thick(25.4 * 5 / 64, Display("in")), thick(2.2, Display("in"))
    ('3.2 mm', '5/64 in', '0.087 in')
    """
    if display.system == "mm":
        return format_length(mm, display)
    sixtyfourths = mm / 25.4 * 64
    if abs(sixtyfourths - round(sixtyfourths)) < 0.05:
        return format_length(mm, replace(display, inch_denominator=64))
    return f"{mm / 25.4:.3f} in"


# -- strips --------------------------------------------------------------------------------
def _strips(part: BentPlan, plan: Plan) -> Iterator[Demand]:
    """Strips of a part that are not milled yet."""
    places = [line for line, ply in enumerate(part.part.ply, 1) for _ in range(ply.count)]
    stack = len(places) > 1
    for strip, spares in zip(part.strips, part.risk.spares, strict=True):
        to_do = sum(places[p - 1] not in part.made.strips for p in strip.plies)
        if not to_do:
            continue
        count = math.ceil((spares.mill or strip.count) * to_do / strip.per_part - 1e-9)
        what = ("strip" if stack else "blank") + ("s" if count > 1 else "")
        name = f"{part.name}, {thick(strip.thickness, plan.display)} {what}"
        together = (part.name, to_do) if stack else ("", 0)
        yield Demand(
            name, strip.wood, strip.length, strip.width, strip.thickness, count, "any", *together
        )


# -- blanks --------------------------------------------------------------------------------
@dataclass(frozen=True)
class _Size:
    """Size of a blank as milled, and what its width is then planed to [mm]."""

    wood: str
    length: float
    width: float
    thickness: float
    finished: float


def _blanks(plan: Plan) -> Iterator[Demand]:
    """Blanks of straight parts; those of one size together."""
    found: dict[_Size, dict[str, int]] = {}
    for name, cuts in plan.piece.straight.items():
        milled = _milled(plan, name)
        for cut in cuts:
            left = max(0, len(cut.ids) - milled)
            milled -= len(cut.ids) - left
            if left:
                parts = found.setdefault(_size(plan, name, cut.cut_length), {})
                parts[name] = parts.get(name, 0) + left
    for size, parts in found.items():
        count = sum(parts.values())
        yield Demand(
            f"{_listed(list(parts))} blank{'s' if count > 1 else ''}",
            size.wood, size.length, size.width, size.thickness, count,
            finished_width=size.finished,
        )  # fmt: skip


def _milled(plan: Plan, name: str) -> int:
    """How many of a straight part's blanks are milled already."""
    made = (m for m in plan.project.made.values() if isinstance(m, MadeStrips))
    return sum(m.count for m in made if m.part == name)


def _size(plan: Plan, name: str, cut_length: float) -> _Size:
    """Size of a part's blank: its wide face first, so that it may lie either way in a plank."""
    part, shop = plan.project.straight[name], plan.project.shop
    step = 5.0 if plan.project.units == "mm" else 6.35
    length = math.ceil((cut_length + 2 * shop.trim) / step - 1e-9) * step
    wide, thin = max(part.section), min(part.section)
    sizes = (length, wide + shop.planer_allowance, thin, wide)
    return _Size(part.wood, *(round(size, 6) for size in sizes))


def _listed(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def _told_apart(demands: list[Demand]) -> tuple[Demand, ...]:
    """Names that come twice get the wood, else the length, else a number to them."""
    for more in (lambda d: d.wood, lambda d: f"{d.length:.0f} mm long"):
        names = [d.name for d in demands]
        demands = [
            replace(d, name=f"{d.name}, {more(d)}") if names.count(d.name) > 1 else d
            for d in demands
        ]
    seen: dict[str, int] = {}
    out = []
    for demand in demands:
        seen[demand.name] = number = seen.get(demand.name, 0) + 1
        out.append(demand if number == 1 else replace(demand, name=f"{demand.name} ({number})"))
    return tuple(out)


# -- layers of forms -----------------------------------------------------------------------
def panels_of(plan: Plan) -> tuple[Panel, ...]:
    """Layers of all forms still to be made of the shop's sheets, as rectangles to saw them from."""
    return tuple(
        panel
        for part in plan.bent.values()
        if part.made.form is None and _sheet_of(part) == plan.project.shop.sheet_thickness
        for panel in _panels(part)
    )


def other_sheets(plan: Plan) -> tuple[str, ...]:
    """Parts whose form is made of sheets of another thickness."""
    thickness = plan.project.shop.sheet_thickness
    return tuple(
        name
        for name, part in plan.bent.items()
        if part.made.form is None and _sheet_of(part) != thickness
    )


def _sheet_of(part: BentPlan) -> float:
    return part.form_spec.sheet_thickness


def _panels(part: BentPlan) -> Iterator[Panel]:
    """Layers of each body of a form, with room to saw round the shape."""
    bodies = part.form.parts
    for number, body in enumerate(bodies, 1):
        long, short = body.layers.box
        name = f"{part.name} form" + (f" {number}" if len(bodies) > 1 else "")
        count = body.layers.count * part.part.form.count
        yield Panel(f"{name}, layers", long + GAP, short + GAP, count)
