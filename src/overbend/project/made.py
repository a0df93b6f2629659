"""Tables of what has been made already, with what was measured on it."""

from __future__ import annotations

import datetime
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, model_validator

from overbend.errors import ProjectError
from overbend.project.fields import Count, Flag, Noted, Number, RefusedError, Size
from overbend.project.shapes import Point

__all__ = ["Made", "MadeForm", "MadeStrips", "MadeTrial"]


def _iso_date(raw: object) -> object:
    return raw.isoformat() if isinstance(raw, datetime.date) else raw


def _as_list(raw: object) -> object:
    return raw if isinstance(raw, list | tuple) else [raw]


class _MadeBase(Noted):
    """What every made thing has."""

    part: str = Field(description="Name of the part it was made for.")
    date: Annotated[str, BeforeValidator(_iso_date)] = Field("", description="When, as you like.")


class MadeForm(_MadeBase):
    """A form already built, as measured: chord and rise, or points of its face."""

    kind: Literal["form"]
    chord: Size | None = Field(
        None, description="Straight distance between the marks at the part's two ends on the face."
    )
    rise: Size | None = Field(
        None, description="Greatest distance of the face from that chord, square to it."
    )
    points: tuple[Point, ...] | None = Field(
        None, min_length=3, description="Points [x, y] measured along the face, in order."
    )

    @model_validator(mode="after")
    def _one_way(self) -> MadeForm:
        given = [key for key in ("chord", "rise", "points") if getattr(self, key) is not None]
        if given not in (["chord", "rise"], ["points"]):
            raise RefusedError(
                ProjectError(
                    f"a form with {' and '.join(given) or 'nothing'} measured",
                    allowed="chord and rise together, or points alone",
                )
            )
        return self


class MadeStrips(_MadeBase):
    """Strips already milled, as measured."""

    kind: Literal["strips"]
    ply: Count = Field(1, description="Which line of the part's plies, counted from 1.")
    thickness: Annotated[tuple[Size, ...], BeforeValidator(_as_list)] = Field(
        min_length=1, description="Thickness of each strip, or their mean with count."
    )
    given_count: Count | None = Field(
        None, alias="count", description="How many; needed with a mean thickness."
    )

    @property
    def count(self) -> int:
        """How many strips."""
        return self.given_count or len(self.thickness)

    @property
    def mean(self) -> float:
        """Mean thickness [mm]."""
        return sum(self.thickness) / len(self.thickness)

    @model_validator(mode="after")
    def _counts_agree(self) -> MadeStrips:
        several = len(self.thickness) > 1
        if (several and self.given_count not in (None, len(self.thickness))) or (
            not several and self.given_count is None
        ):
            raise RefusedError(
                ProjectError(
                    f"{len(self.thickness)} thickness given, count {self.given_count}",
                    allowed="a list of thicknesses, or one mean thickness with count",
                )
            )
        return self


class MadeTrial(_MadeBase):
    """A trial bend and what it released to."""

    kind: Literal["trial"]
    form_radius: Size = Field(description="Radius of the form's face it was bent on.")
    released_radius: Size | None = Field(
        None, description="Radius of the same face after release; not for a broken one."
    )
    after_days: Number = Field(0.0, description="Days between release and measuring.")
    broken: Flag = Field(False, description="Whether it broke.")

    @model_validator(mode="after")
    def _measured_or_broken(self) -> MadeTrial:
        if self.broken == (self.released_radius is not None):
            raise RefusedError(
                ProjectError(
                    "a broken trial with a released radius"
                    if self.broken
                    else "a trial without its released radius",
                    allowed="released_radius, or broken = true",
                )
            )
        return self


Made = Annotated[MadeForm | MadeStrips | MadeTrial, Field(discriminator="kind")]
