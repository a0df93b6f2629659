"""What is asked of a form, what it is sawn from and what it has to carry."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from overbend.errors import InputError

__all__ = ["MDF", "PLYWOOD", "End", "FormMaterial", "FormSpec", "Loads", "Side"]

Side = Literal["concave", "convex"]
End = Literal["start", "end"]


def _positive(where: str, value: float, unit: str = "mm") -> None:
    if not (math.isfinite(value) and value > 0):
        raise InputError(f"{value:g} {unit}", where, "above zero")


def _not_negative(where: str, value: float | None, unit: str = "mm") -> None:
    if value is not None and not (math.isfinite(value) and value >= 0):
        raise InputError(f"{value:g} {unit}", where, "zero or more")


def _one_of(where: str, value: object, allowed: tuple[object, ...]) -> None:
    if value not in allowed:
        raise InputError(f"{value!r}", where, " or ".join(repr(a) for a in allowed))


@dataclass(frozen=True)
class FormMaterial:
    """Sheet that the form is sawn from, loaded on edge.

    Parameters
    ----------
    name : what the maker calls it.
    modulus, shear_modulus : in the plane of the sheet [MPa].
    bending, shear : stress allowed in the plane of the sheet [MPa].
    source : where the numbers come from.
    """

    name: str
    modulus: float
    shear_modulus: float
    bending: float
    shear: float
    source: str = "assumed"

    def __post_init__(self) -> None:
        for name in ("modulus", "shear_modulus", "bending", "shear"):
            _positive(f"form.material.{name}", getattr(self, name), "MPa")


PLYWOOD = FormMaterial("plywood", 6000.0, 500.0, 12.0, 3.0, "assumed: plain building plywood")
MDF = FormMaterial("MDF", 2500.0, 900.0, 6.0, 2.5, "assumed: plain dry-process fibreboard")


@dataclass(frozen=True)
class Loads:
    """What presses on the form.

    Parameters
    ----------
    pressure : on the glue lines, or what holds a steamed part down [MPa]. Assumed: 1.
    strip_stiffness : sum over the strips of modulus times own second moment of area,
        less what their set takes away, ``b sum (1 - phi) E t^3 / 12`` [N mm2]; times the
        curvature it is the moment with which the bent strips push back.
    clamp_force : what one clamp gives [N]; None when not known.
    clamp_count : how many clamps the shop has; None when not known.
    """

    pressure: float = 1.0
    strip_stiffness: float = 0.0
    clamp_force: float | None = None
    clamp_count: int | None = None

    def __post_init__(self) -> None:
        _positive("form.loads.pressure", self.pressure, "MPa")
        _not_negative("form.loads.strip_stiffness", self.strip_stiffness, "N mm2")
        if self.clamp_force is not None:
            _positive("form.loads.clamp_force", self.clamp_force, "N")


@dataclass(frozen=True)
class FormSpec:
    """What is asked of a form.

    Parameters
    ----------
    side : face of the part that lies on the form, named at the tightest place.
    parts : 1, a form and clamps with cauls; 2, a second half closes over the part.
    run_out : how far the face runs on straight beyond each finished end [mm]. Lengthened
        where it does not carry the trim and, at the reference end, the stop.
    depth : least depth of the body behind its face [mm]; None, worked out.
    strap : thickness of the strap on the convex side of the wood [mm].
    liner : thickness of the liner between the (first) form and what lies on it [mm].
    sheet_thickness : of the layers [mm].
    reference : end of the part that is pushed against the stop and measured from.
    clamp_spacing : along the mid-depth line [mm]; None, worked out.
    clamp_hole : diameter [mm]; None, bored where the clamps need them; 0, none.
    trim : wood left beyond each finished end while it is on the form [mm].
    caul : thickness of the cauls [mm]; None, one sheet.
    material : what the form is sawn from.
    stock_sheet : length and width of the sheets bought [mm]. Assumed: 2440 x 1220.
    """

    side: Side = "concave"
    parts: Literal[1, 2] = 1
    run_out: float = 60.0
    depth: float | None = None
    strap: float = 0.0
    liner: float = 0.0
    sheet_thickness: float = 18.0
    reference: End = "start"
    clamp_spacing: float | None = None
    clamp_hole: float | None = None
    trim: float = 30.0
    caul: float | None = None
    material: FormMaterial = PLYWOOD
    stock_sheet: tuple[float, float] = (2440.0, 1220.0)

    def __post_init__(self) -> None:
        _one_of("form.side", self.side, ("concave", "convex"))
        _one_of("form.parts", self.parts, (1, 2))
        _one_of("form.reference", self.reference, ("start", "end"))
        _positive("form.sheet_thickness", self.sheet_thickness)
        for name in ("run_out", "strap", "liner", "trim", "clamp_hole", "caul"):
            _not_negative(f"form.{name}", getattr(self, name))
        for name in ("depth", "clamp_spacing"):
            if getattr(self, name) is not None:
                _positive(f"form.{name}", getattr(self, name))
        for size in self.stock_sheet:
            _positive("form.stock_sheet", size)

    @property
    def sign(self) -> float:
        """Side of the wood the first form lies on: 1 left (concave), -1 right (convex)."""
        return 1.0 if self.side == "concave" else -1.0

    @property
    def caul_thickness(self) -> float:
        """Thickness of the cauls [mm]."""
        return self.sheet_thickness if self.caul is None else self.caul

    @property
    def between(self) -> float:
        """What lies between the first form's face and the wood: liner and strap [mm]."""
        return self.liner + (self.strap if self.side == "convex" else 0.0)
