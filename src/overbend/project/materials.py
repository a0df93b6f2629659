"""Wood and adhesive tables."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, model_validator

from overbend.errors import ProjectError
from overbend.project.fields import (
    Angle,
    Density,
    Hours,
    Minutes,
    Noted,
    Percent,
    Positive,
    Pressure,
    RefusedError,
    Stiffness,
    Table,
)

__all__ = ["CUSTOM", "Adhesive", "Override", "Wood"]

CUSTOM = "custom"
_CUSTOM_NEEDS = ("modulus", "density", "bending_strength")


class Override(Table):
    """Values that replace the species table's, at 12 % moisture. All optional."""

    modulus: Stiffness | None = Field(
        None,
        description="Modulus of elasticity along the grain; a bare number is in GPa [MPa inside].",
    )
    modulus_spread: Percent | None = Field(
        None, description="Coefficient of variation of the modulus from board to board [%]."
    )
    density: Density | None = Field(None, description="Density [kg/m3].")
    bending_strength: Pressure | None = Field(None, description="Modulus of rupture [MPa].")
    compression_strength: Pressure | None = Field(
        None, description="Crushing strength along the grain [MPa]."
    )
    shrinkage_radial: Percent | None = Field(
        None, description="Radial shrinkage from green to oven-dry [%]."
    )
    shrinkage_tangential: Percent | None = Field(
        None, description="Tangential shrinkage from green to oven-dry [%]."
    )


class Wood(Noted):
    """A wood of the piece: which species, and how its boards were dried."""

    species: str = Field(
        min_length=1,
        description='Species, as the trade calls it, or "custom" with its own values in override.',
    )
    dried: Literal["kiln", "air", "green"] = Field(
        description="How the boards were dried: kiln, air, or green (not dried)."
    )
    moisture: Percent | None = Field(
        None, description="Moisture content measured [%]; leave it out when unknown."
    )
    grain_slope: Angle = Field(
        0.0,
        description="Slope of grain against the length of the strips, worst expected: an angle "
        'or a slope such as "1 in 20". Left out: straight grain.',
    )
    override: Override = Field(Override(), description="Values you know better than the table.")

    @model_validator(mode="after")
    def _custom_is_complete(self) -> Wood:
        missing = [name for name in _CUSTOM_NEEDS if getattr(self.override, name) is None]
        if self.species == CUSTOM and missing:
            raise RefusedError(
                ProjectError(
                    f'species = "custom" without {", ".join(missing)}',
                    allowed=f"override with {', '.join(_CUSTOM_NEEDS)}",
                    todo="type the missing values under override, or name a species",
                )
            )
        return self


class Adhesive(Noted):
    """A glue, and what its own data sheet says. What is left out comes from the table."""

    kind: str = Field(min_length=1, description="Kind of adhesive, by its id in the table.")
    open_minutes: Minutes | None = Field(
        None, description="Time from spreading to bringing the faces together [min]."
    )
    closed_minutes: Minutes | None = Field(
        None, description="Time from bringing together to full pressure [min]."
    )
    clamp_hours: Hours | None = Field(None, description="Time under pressure [h].")
    spread_g_m2: Positive | None = Field(None, description="Spread for one glue line [g/m2].")
    pressure: Pressure | None = Field(None, description="Clamp pressure asked for [MPa; psi].")
