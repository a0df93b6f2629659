"""The project file's tables as frozen models; every number in them is a core number.

The tables of each subject live in their own module and are gathered here.
"""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from overbend.project.fields import AnyQuantity, DimensionName, Name, Noted
from overbend.project.joints import Joint
from overbend.project.made import Made, MadeForm, MadeStrips, MadeTrial
from overbend.project.materials import CUSTOM, Adhesive, Override, Wood
from overbend.project.parts import (
    BentPart,
    FormTable,
    Part,
    Place,
    Ply,
    Repeat,
    SetShare,
    StraightPart,
    instances,
)
from overbend.project.places import Along, Between, Spot
from overbend.project.shapes import Arc, CurveTable, Easement, Segment
from overbend.project.shop import Boiler, Clamp, Climate, Machine, Machines, Saw, Shop, SteamBox
from overbend.project.yard import Cutting, YardBoard

__all__ = [
    "CUSTOM",
    "SCHEMA_VERSION",
    "Adhesive",
    "Along",
    "Arc",
    "BentPart",
    "Between",
    "Boiler",
    "Clamp",
    "Climate",
    "CurveTable",
    "Cutting",
    "Easement",
    "FormTable",
    "Joint",
    "Machine",
    "Machines",
    "Made",
    "MadeForm",
    "MadeStrips",
    "MadeTrial",
    "Override",
    "Part",
    "Place",
    "Ply",
    "Project",
    "Repeat",
    "Saw",
    "Segment",
    "SetShare",
    "Shop",
    "Spot",
    "SteamBox",
    "StraightPart",
    "Wood",
    "YardBoard",
    "instances",
]

SCHEMA_VERSION = 1


class Project(Noted):
    """A whole project file."""

    schema_version: Literal[1] = Field(
        alias="schema", description="Version of the file's layout: 1."
    )
    name: str = Field(min_length=1, max_length=120, description="What the piece is called.")
    units: Literal["mm", "in"] = Field(
        description="Unit of every length typed as a bare number, and of what is printed."
    )
    dimensions: dict[DimensionName, AnyQuantity] = Field(
        {}, description='Named values for expressions such as "= seat_height - 60".'
    )
    shop: Shop = Field(Shop(), description="The shop.")
    wood: dict[Name, Wood] = Field({}, description="Woods of the piece, by name.")
    adhesive: dict[Name, Adhesive] = Field({}, description="Adhesives, by name.")
    curve: dict[Name, CurveTable] = Field({}, description="Curves, by name.")
    part: dict[Name, Part] = Field({}, description="Parts, by name.")
    joint: dict[Name, Joint] = Field({}, description="Joints, by name.")
    made: dict[Name, Made] = Field({}, description="What has been made already, by name.")

    @property
    def bent(self) -> dict[str, BentPart]:
        """Bent parts by name, in the file's order."""
        return {name: part for name, part in self.part.items() if isinstance(part, BentPart)}

    @property
    def straight(self) -> dict[str, StraightPart]:
        """Straight parts by name, in the file's order."""
        return {name: part for name, part in self.part.items() if isinstance(part, StraightPart)}
