"""Part tables: bent and straight parts, their forms and places."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, model_validator

from overbend.errors import ProjectError
from overbend.project.fields import (
    Allowance,
    Count,
    Flag,
    Force,
    Fraction01,
    Minutes,
    Noted,
    RefusedError,
    Size,
    SteamTemperature,
    Table,
    shown,
)
from overbend.project.places import Between, Place, Repeat, Stand

__all__ = [
    "BentPart",
    "FormTable",
    "Part",
    "Place",
    "Ply",
    "Repeat",
    "SetShare",
    "SteamTable",
    "StraightPart",
    "instances",
]


class Ply(Table):
    """One strip of a bent part, or several alike beside each other."""

    wood: str = Field(description="Name of a wood table.")
    thickness: Size = Field(description="Finished thickness of one strip.")
    count: Count = Field(1, description="How many alike, one on the other.")


class SetShare(Table):
    """Share of the bend the wood keeps by itself on release: 0 cold, towards 1 well steamed."""

    median: Fraction01 = Field(description="Middle value, from 0 to 1.")
    low: Fraction01 = Field(description="Exceeded by 95 in 100.")
    high: Fraction01 = Field(description="Exceeded by 5 in 100.")

    @model_validator(mode="after")
    def _in_order(self) -> SetShare:
        if not self.low <= self.median <= self.high:
            raise RefusedError(
                ProjectError(
                    f"low {self.low:g}, median {self.median:g}, high {self.high:g}",
                    allowed="low at most the median, the median at most high",
                )
            )
        return self


def _not_true(raw: object) -> object:
    """Keep true from passing for 1."""
    if isinstance(raw, bool):
        raise RefusedError(ProjectError(f"{shown(raw)} cannot be used", allowed="1 or 2"))
    return raw


class FormTable(Table):
    """The form a part is bent or glued on."""

    side: Literal["concave", "convex"] = Field(
        "concave", description="Which face of the part lies on the form, at the tightest place."
    )
    parts: Annotated[Literal[1, 2], BeforeValidator(_not_true)] = Field(
        1, description="1: one form and clamps; 2: a second half closes over the part."
    )
    run_out: Allowance = Field(
        60.0,
        description="Straight length of form beyond the part at each end. Common practice, no "
        "source: 60 mm.",
    )
    depth: Size | None = Field(
        None, description="Depth of the form's body. Left out: computed from the clamp force."
    )
    strap: Allowance = Field(0.0, description="Thickness of a strap round the outside of the bend.")
    strap_rating: Force | None = Field(
        None,
        description="Working load of strap, stops and fastenings together, as whoever made them "
        "states it. Left out: the strap sheet fails until it is stated.",
    )
    strap_width: Size | None = Field(None, description="Width of the strap. Left out: the blank's.")
    strap_bare_steel: Flag = Field(
        True, description="Bare steel touches the wood: it stains oak, walnut, cherry, chestnut."
    )
    lever: Size | None = Field(
        None, description="From the bend to the hands of whoever pulls. Left out: 900 mm, assumed."
    )
    liner: Allowance = Field(0.0, description="Thickness of a liner between form and part.")
    sheet: Size | None = Field(
        None, description="Thickness of this form's sheets. Left out: the shop's."
    )
    clamp_hole: Allowance | None = Field(
        None,
        description="Diameter of the clamp holes; 0: none. Left out: 35 to 50 mm where the clamps "
        "need them (common practice, no source).",
    )
    clamp_spacing: Size | None = Field(
        None, description="Distance between clamps along the face. Left out: computed."
    )
    count: Count = Field(
        1, description="How many of this form are built: each holds one part at a time."
    )
    steam_on: str = Field(
        "same",
        description="Curve of the bending form on which the steamed strips took their set, or "
        '"same" for the form they are glued on.',
    )


class SteamTable(Table):
    """How a part's wood is heated and carried to the form."""

    core: SteamTemperature = Field(
        90.0, description="Temperature its core has to reach [deg C]. Assumed: 90."
    )
    minutes: Minutes | None = Field(
        None, description="Minutes in the box. Left out: computed, and not below trade practice."
    )
    bundle: Flag = Field(
        False, description="Strips go into the box and to the form strapped together as one."
    )


class _PartBase(Noted):
    """What bent and straight parts share."""

    given_count: Count | None = Field(
        None,
        alias="count",
        description="How many of the part. Left out: what mirror and repeat make, else 1.",
    )
    place: Place | None = Field(None, description="Where it stands; needed only to draw the piece.")
    between: Between | None = Field(
        None, description="Two places it is between, instead of a place of its own."
    )

    @property
    def stand(self) -> Stand | None:
        """Where it stands, said either way; None where it is not said."""
        return self.place or self.between

    @property
    def count(self) -> int:
        """How many of the part the piece needs."""
        return self.given_count or (self.stand.number if self.stand else 1)

    @model_validator(mode="after")
    def _counts_agree(self) -> _PartBase:
        if self.place is not None and self.between is not None:
            raise RefusedError(
                ProjectError("place and between together", allowed="one of them, or neither")
            )
        made = self.stand.number if self.stand else 1
        if self.given_count is not None and made not in (1, self.given_count):
            raise RefusedError(
                ProjectError(
                    f"count is {self.given_count}, mirror and repeat make {made}",
                    allowed="the same number in both, or no count",
                    todo="take count out",
                )
            )
        return self


class BentPart(_PartBase):
    """A part bent to a curve: solid, laminated cold, or steamed and then laminated."""

    kind: Literal["bent"]
    curve: str = Field(description="Name of a curve table.")
    line: Literal["middle", "outside", "inside"] = Field(
        "middle",
        description="Which line of the part the curve draws. Outside is the convex face at the "
        "tightest place.",
    )
    width: Size = Field(description="Finished width, across the strips.")
    method: Literal["solid", "laminate", "steam-laminate"] = Field(
        description="solid: one piece, steamed; laminate: cold strips glued; steam-laminate: "
        "strips steamed, dried on a form, then glued."
    )
    adhesive: str | None = Field(None, description="Name of an adhesive table; not for solid.")
    ply: tuple[Ply, ...] = Field(
        min_length=1, description="Strips from the outside (convex face) in."
    )
    reference: Literal["start", "end"] = Field(
        "start", description="End of the curve that sits against the stop and is measured from."
    )
    set: SetShare | None = Field(
        None, description="Set, from your own trials. Left out: a wide guess for the method."
    )
    form: FormTable = Field(FormTable(), description="The form.")
    steam: SteamTable = Field(SteamTable(), description="Heating and carrying; not for cold work.")

    @property
    def plies(self) -> tuple[Ply, ...]:
        """One entry for every strip, outside in."""
        return tuple(ply for ply in self.ply for _ in range(ply.count))

    @property
    def depth(self) -> float:
        """Thickness of the whole stack [mm]."""
        return sum(ply.thickness * ply.count for ply in self.ply)

    @model_validator(mode="after")
    def _method_fits(self) -> BentPart:
        strips = sum(ply.count for ply in self.ply)
        if strips > 200:
            raise RefusedError(ProjectError(f"{strips} strips", allowed="200 at most"))
        if self.method == "solid" and strips != 1:
            raise RefusedError(
                ProjectError(
                    f"a solid part of {strips} strips",
                    allowed="one strip of count 1",
                    todo='use method = "laminate" or "steam-laminate" for several',
                )
            )
        if self.method != "solid" and strips < 2:
            raise RefusedError(
                ProjectError(
                    "a laminated part of one strip",
                    allowed="two strips or more",
                    todo='add strips or use method = "solid"',
                )
            )
        if (self.method == "solid") == (self.adhesive is not None):
            needs = "no adhesive" if self.method == "solid" else "the name of an adhesive table"
            given = f"adhesive {self.adhesive!r}" if self.adhesive else "no adhesive"
            raise RefusedError(ProjectError(f"{given} for method {self.method!r}", allowed=needs))
        return self


class StraightPart(_PartBase):
    """A straight part."""

    kind: Literal["straight"]
    wood: str = Field(description="Name of a wood table.")
    section: tuple[Size, Size] = Field(description="Width and thickness.")
    length: Size | None = Field(
        None,
        description="Finished length. Left out: for a part between two places, from face to face.",
    )

    @model_validator(mode="after")
    def _length_known(self) -> StraightPart:
        if self.length is None and self.between is None:
            raise RefusedError(
                ProjectError(
                    "the key 'length' is missing",
                    allowed="a length, or the two places the part is between",
                    todo="write length = ...",
                )
            )
        if self.length is not None and self.between and self.between.overhang is not None:
            raise RefusedError(ProjectError("length and overhang together", allowed="one of them"))
        return self


Part = Annotated[BentPart | StraightPart, Field(discriminator="kind")]


def instances(name: str, part: BentPart | StraightPart) -> tuple[str, ...]:
    """Stable ids of the single pieces made of one part table.

    Examples
    --------
    >>> rail = StraightPart.model_validate(
    ...     {"kind": "straight", "wood": "ash", "section": [40, 20], "length": 500, "count": 2})
    >>> instances("rail", rail)
    ('rail/1', 'rail/2')
    """
    stand = part.stand
    sides = [f"{name}/left", f"{name}/right"] if stand and stand.mirror else [name]
    each = part.count // len(sides)
    if each == 1:
        return tuple(sides)
    return tuple(f"{side}/{i}" for side in sides for i in range(1, each + 1))
