"""The strap of a steamed bend: where its stops go, what it carries, who pulls how hard."""

from __future__ import annotations

from collections.abc import Mapping

from overbend.bend.strap import Blank, Crew, Strap, StrapSheet, strap_sheet
from overbend.curve import Curve
from overbend.plan.risk import hot_wood
from overbend.project import BentPart, Shop
from overbend.stock import Strip
from overbend.wood import Wood

__all__ = ["LEVER", "strap_of"]

LEVER = 900.0
"""Length of a lever when none is typed [mm]. Assumed."""


def strap_of(
    part: BentPart, form: Curve, strips: tuple[Strip, ...], woods: Mapping[str, Wood], shop: Shop
) -> StrapSheet | None:
    """Work out the strap sheet of a part; None when it is bent without a strap.

    A bundle of strips in one strap is taken as one solid, the worst case for the strap.

    Parameters
    ----------
    part : as read.
    form : its middle line on the form.
    strips : what is milled; the longest and widest count.
    woods : by the project's names; the strongest of the stack counts.
    shop : people and their levers.
    """
    table = part.form
    if part.method == "laminate" or not table.strap > 0.0:
        return None
    wood = max((woods[p.wood] for p in part.plies), key=lambda w: hot_wood(w).crushing)
    width = max(s.width for s in strips)
    blank = Blank(
        hot_wood(wood), part.depth, width, max(s.length for s in strips), wood.species.name
    )
    strap = Strap(
        table.strap, table.strap_width or width, table.strap_rating, table.strap_bare_steel
    )
    crew = Crew(shop.people, table.lever or LEVER)
    return strap_sheet(blank, strap, crew, form.tightest[1])
