"""Sentences that belong on the sheet of a steam day, where the hands are."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

__all__ = ["CAUTIONS", "Caution", "cautions_for"]

Heat = Literal["electric", "fuel", "unknown"]


@dataclass(frozen=True)
class Caution:
    """A caution and what it is about.

    Parameters
    ----------
    topic : ``fire``, ``electric``, ``box``, ``scalds``, ``spring``, ``wood``, ``mill``, ``always``.
    text : one or two short sentences.
    """

    topic: str
    text: str


CAUTIONS = (
    Caution("fire", "Fuel burners outdoors only: carbon monoxide kills unseen. Keep a bucket by."),
    Caution("electric", "Electric boiler behind a residual-current device, plug and lead dry."),
    Caution("box", "Never seal a steam box or boiler: a vent and a drain stay open."),
    Caution("box", "Slope the box so that water drains out."),
    Caution("box", "Watch the water: never let the boiler boil dry. Top up with hot water."),
    Caution("scalds", "Stand aside when opening the box: let the steam out before reaching in."),
    Caution("scalds", "Steam, condensate and hot wood scald: dry heat-proof gloves, sleeves down."),
    Caution("spring", "Nobody stands in line with a bend, a strap or a clamp that may let go."),
    Caution("spring", "Stay within the strap's stated rating; check its end stops each time."),
    Caution("wood", "Reclaimed wood: search it for metal before it is sawn."),
    Caution("wood", "Never saw, sand or steam painted or treated wood."),
    Caution("mill", "Thin strips: keep to the machine's least sizes, push blocks and guards."),
    Caution("always", "Children and animals out; somebody within call."),
)  # fmt: skip
"""Every caution of the steam day, in the order of the day."""


def cautions_for(source: Heat = "unknown") -> tuple[str, ...]:
    """Sentences for a sheet; an electric boiler leaves out fuel's, and the other way round.

    Examples
    --------
    >>> any("residual-current" in s for s in cautions_for("fuel"))
    False
    """
    left_out = {"electric": "fire", "fuel": "electric", "unknown": ""}[source]
    return tuple(c.text for c in CAUTIONS if c.topic != left_out)
