"""The strips of one part, and of the whole piece."""

from __future__ import annotations

from overbend.book.blocks import Block, Heading, NewPage, Table, Text
from overbend.book.say import Say
from overbend.plan import BentPlan, Plan
from overbend.stock import Strip, cutting_holds, total_wood

__all__ = ["strip_rows", "strip_table", "strips_chapter"]


def strip_table(part: BentPlan, say: Say) -> Table:
    """Strips of one part: finished and sawn sizes, how many."""
    rows = [
        (
            s.wood,
            f"{spares.mill or 'not known'} for {s.count}",
            say.bare(s.length),
            say.bare(s.width),
            say.thick(s.thickness),
            say.thick(s.sawn_thickness),
            say.bare(s.net_length),
        )
        for s, spares in zip(part.strips, part.risk.spares, strict=True)
    ]
    header = ("Wood", "Mill", "Length", "Width", "Thickness", "Before planing", "On the form")
    shop = part.project.shop
    caption = (
        f"In {say.unit_word}. Length holds {say.length(shop.trim)} of trim at each end, width "
        f"{say.length(shop.width_allowance)} for cleaning up, “before planing” "
        f"{say.length(shop.planer_allowance)} for the planer. “On the form” is the longest "
        "strip between the part's ends. Strips that break are counted, cutting waste is not."
    )
    return Table(header, rows, (1, 2, 3, 4, 5, 6), caption)


def strips_chapter(plan: Plan, say: Say) -> list[Block]:
    """All strips of the piece, wood needed, and why no cutting is instructed yet."""
    blocks: list[Block] = [NewPage(), Heading("All strips", 1)]
    holds = cutting_holds(plan.strips, plan.machines, say.length)
    blocks += [Text(hold, "hold") for hold in holds]
    rows = [
        (
            s.part,
            s.wood,
            _plies(s),
            f"{spares.mill or 'not known'} for {s.count}",
            f"{say.bare(s.length)} x {say.bare(s.width)} x {say.thick(s.thickness)}",
        )
        for part in plan.bent.values()
        for s, spares in zip(part.strips, part.risk.spares, strict=True)
    ]
    header = ("Part", "Wood", "Place in stack", "Mill", f"Length x width x thickness, {say.unit}")
    blocks.append(Table(header, rows, (3, 4)))
    woods = [
        (wood, plan.woods[wood].species.name, _volume(mm3, say))
        for wood, mm3 in total_wood(plan.strips_to_mill).items()
    ]
    caption = "Wood in all strips to mill, before planing; saw kerf and waste come on top."
    blocks.append(Table(("Wood", "Species", "In the strips"), woods, (2,), caption))
    return blocks


def _plies(strip: Strip) -> str:
    places = strip.plies
    if places == tuple(range(places[0], places[-1] + 1)) and len(places) > 1:
        return f"{places[0]} to {places[-1]}"
    return ", ".join(str(p) for p in places)


def _volume(mm3: float, say: Say) -> str:
    """Volume of wood; in metric also by the measure it is sold by."""
    more = f" ({mm3 / 1e9:.4f} m³)" if say.unit == "mm" else ""
    return say.timber(mm3) + more


def strip_rows(plan: Plan) -> list[list[str]]:
    """Rows of the strips list for CSV, in mm, with a header."""
    header = [
        "part", "wood", "places_in_stack", "good", "mill", "length_mm", "width_mm", "thickness_mm",
        "sawn_thickness_mm", "length_on_form_mm",
    ]  # fmt: skip
    rows = [
        [
            s.part,
            s.wood,
            " ".join(str(p) for p in s.plies),
            str(s.count),
            str(spares.mill or ""),
            f"{s.length:.1f}",
            f"{s.width:.2f}",
            f"{s.thickness:.3f}",
            f"{s.sawn_thickness:.3f}",
            f"{s.net_length:.2f}",
        ]
        for part in plan.bent.values()
        for s, spares in zip(part.strips, part.risk.spares, strict=True)
    ]
    return [header, *rows]
