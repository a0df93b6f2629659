"""A bent part as trial bends know it: its kinds of strips, its form's radius, its trim marks."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from overbend.curve import Curve, Piece
from overbend.ledger.ends import Ends
from overbend.plan import BentPlan

__all__ = ["Strips", "ends_data", "ends_from", "ends_of", "strips_of", "trial_values"]


@dataclass(frozen=True)
class Strips:
    """Strips of one wood and thickness in a part.

    Parameters
    ----------
    key : names them within the part.
    species, dried, moisture, grain_slope : of their wood; moisture in %.
    thickness, form_radius : of a strip, and of the face it lies on at the tightest place [mm].
    count : in one part.
    """

    key: str
    species: str
    dried: str
    moisture: float
    grain_slope: float
    thickness: float
    form_radius: float
    count: int


def _line(part: BentPlan) -> Curve:
    """Middle line on the form on which the wood took its set."""
    return part.set_curve or part.glued


def strips_of(part: BentPlan) -> tuple[Strips, ...]:
    """Kinds of strips of a part, outside in; none for a straight one.

    A kind that lies in several places of the stack goes by its mean radius.
    """
    kappa = abs(_line(part).tightest[1])
    if kappa < 1e-6:
        return ()
    groups: dict[tuple[str, float], list[float]] = {}
    for strip, z in zip(part.strips_used, part.layup.z, strict=True):
        groups.setdefault((strip.wood, strip.thickness), []).append(float(z))
    sign = 1.0 if part.part.form.side == "concave" else -1.0
    out = []
    for (name, thickness), places in groups.items():
        middle = 1.0 / kappa - math.fsum(places) / len(places)
        wood = part.woods[name]
        species = next(s.species_id for s in part.strips_used if s.wood == name)
        slope = math.tan(part.project.wood[name].grain_slope)
        out.append(
            Strips(
                f"{name} {thickness:g}", species, wood.dried, wood.moisture.value, slope,
                thickness, middle - sign * 0.5 * thickness, len(places),
            )
        )  # fmt: skip
    return tuple(out)


def ends_of(part: BentPlan) -> Ends:
    """Trim marks of a part on its form, on the face that lies on it."""
    return Ends(_line(part), part.face_offset)


def ends_data(ends: Ends) -> dict[str, Any]:
    """Trim marks as plain data."""
    pieces = [[p.length, p.kappa0, p.kappa1] for p in ends.curve.pieces]
    return {"pieces": pieces, "offset": ends.offset}


def ends_from(data: Mapping[str, Any]) -> Ends:
    """Trim marks from plain data.

    Examples
    --------
    >>> arc = Ends(Curve((Piece(500.0, 0.001, 0.002),)), 4.0)
    >>> ends_from(ends_data(arc)).chord(0.1) == arc.chord(0.1)
    True
    """
    pieces = tuple(Piece(*map(float, values)) for values in data["pieces"])
    return Ends(Curve(pieces), float(data["offset"]))


def trial_values(strips: Strips, part: BentPlan) -> dict[str, Any]:
    """What a part says about a trial bend of one of its strips, by key of `Trial`."""
    return {
        "species": strips.species,
        "treatment": "cold" if part.part.method == "laminate" else "steam",
        "dried": strips.dried,
        "moisture": round(strips.moisture, 1),
        "grain_slope": strips.grain_slope,
        "thickness": strips.thickness,
        "form_radius": strips.form_radius,
        "side": part.part.form.side,
        "strap": part.part.form.strap > 0.0,
    }
