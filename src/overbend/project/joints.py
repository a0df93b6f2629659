"""Joint tables: kind, the two parts, and the sizes that are not left to rule."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from overbend.project.fields import Allowance, Flag, Noted, Positive, Reads, Size

__all__ = [
    "Coped",
    "Dowels",
    "Housed",
    "Joint",
    "Lapped",
    "MortiseTenon",
    "RoundTenon",
    "Screw",
    "Wedge",
]

Pegs = Annotated[int, Reads("number", 0, 100, whole=True)]


class _JointBase(Noted):
    """What every joint says. Where it is, on each part, follows from where the parts meet."""

    part: str = Field(
        description="The part that goes in or lies on: its name, for all its pieces, or one piece "
        "such as leg/left."
    )
    to: str = Field(description="The part it goes into or lies on.")
    reach: Allowance | None = Field(
        None,
        description="Widest gap that the joint bridges. Left out: 25 mm for a wedge, else 3 mm.",
    )
    friction: Positive | None = Field(
        None,
        description="Friction coefficient of the wet glue face. Left out: 0.15, assumed, between "
        "0.1 and 0.25.",
    )


class _Pegged(_JointBase):
    """A joint with dowels or screws."""

    diameter: Size | None = Field(None, description="Diameter. Left out: by rule.")
    count: Pegs | None = Field(None, description="How many. Left out: by rule.")
    spacing: Size | None = Field(
        None, description="Distance between the outermost. Left out: by rule."
    )


class MortiseTenon(_JointBase):
    """A rectangular tenon on an end of the first part."""

    kind: Literal["mortise-tenon"]
    thickness: Size | None = Field(None, description="Of the tenon. Left out: by rule.")
    width: Size | None = Field(None, description="Of the tenon. Left out: by rule.")
    length: Size | None = Field(None, description="Of the tenon. Left out: by rule.")
    through: Flag = Field(False, description="Whether the tenon goes right through.")


class RoundTenon(_JointBase):
    """A round tenon on an end of the first part."""

    kind: Literal["round-tenon"]
    diameter: Size | None = Field(None, description="Of the tenon. Left out: by rule.")
    length: Size | None = Field(None, description="Of the tenon. Left out: by rule.")
    through: Flag = Field(False, description="Whether the tenon goes right through.")


class Dowels(_Pegged):
    """Dowels between an end or a face of the first part and the second."""

    kind: Literal["dowels"]
    length: Size | None = Field(None, description="Into each part. Left out: by rule.")


class Housed(_JointBase):
    """An end of the first part let in with its whole section."""

    kind: Literal["housed"]
    length: Size | None = Field(
        None, description="How deep. Left out: as drawn, or a third of the way through."
    )


class Lapped(_Pegged):
    """A face of the first part glued on a face of the second, with dowels where counted."""

    kind: Literal["lapped"]
    length: Size | None = Field(None, description="Of dowels into each part. Left out: by rule.")


class Wedge(_Pegged):
    """An angled filler between a flat face and a bent part."""

    kind: Literal["wedge"]
    length: Size | None = Field(None, description="Of dowels into each part. Left out: by rule.")


class Coped(_Pegged):
    """An end of the first part shaped to the bend of the second, with dowels."""

    kind: Literal["coped"]
    length: Size | None = Field(None, description="Of dowels into each part. Left out: by rule.")


class Screw(_Pegged):
    """Screws through the first part into the second."""

    kind: Literal["screw"]
    length: Size | None = Field(None, description="Of the screw. Left out: by rule.")


Joint = Annotated[
    MortiseTenon | RoundTenon | Dowels | Housed | Lapped | Wedge | Coped | Screw,
    Field(discriminator="kind"),
]
