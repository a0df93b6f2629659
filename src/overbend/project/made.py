"""Tables of what has been made already, with what was measured on it."""

from __future__ import annotations

import datetime
from typing import Annotated, Literal, cast

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
    """A trial bend and what it released to: radius of the face, or its chord and rise.

    Chord and rise are those of the part's face that lies on the form, from trim mark to
    trim mark, as the bench page asks for them.
    """

    kind: Literal["trial"]
    form_radius: Size | None = Field(
        None, description="Radius of the form's face it was bent on, for a bend of one radius."
    )
    released_radius: Size | None = Field(None, description="Radius of the same face after release.")
    form_chord: Size | None = Field(None, description="Chord of the face on the form.")
    form_rise: Size | None = Field(None, description="Rise of the face on the form.")
    released_chord: Size | None = Field(None, description="Chord of the face after release.")
    released_rise: Size | None = Field(None, description="Rise of the face after release.")
    after_days: Number = Field(0.0, description="Days between release and measuring.")
    broken: Flag = Field(False, description="Whether it broke.")

    @property
    def radii(self) -> tuple[float, float] | None:
        """Radius of the face on the form and off it, when given [mm]."""
        if self.form_radius is None or self.released_radius is None:
            return None
        return self.form_radius, self.released_radius

    @property
    def shapes(self) -> tuple[tuple[float, float], tuple[float, float]] | None:
        """Chord and rise on the form and off it, when given [mm]."""
        form, off = (self.form_chord, self.form_rise), (self.released_chord, self.released_rise)
        if None in form or None in off:
            return None
        return cast("tuple[float, float]", form), cast("tuple[float, float]", off)

    @model_validator(mode="after")
    def _measured_or_broken(self) -> MadeTrial:
        sizes = (self.form_chord, self.form_rise, self.released_chord, self.released_rise)
        complete = [self.radii is not None, self.shapes is not None]
        partly = any(v is not None for v in (*sizes, self.released_radius))
        if self.broken and not partly:
            return self
        if self.broken or sum(complete) != 1 or (self.shapes and self.released_radius):
            raise RefusedError(
                ProjectError(
                    "a broken trial with measurements"
                    if self.broken
                    else "a trial that is not measured in one way",
                    allowed="form_radius and released_radius; or form_chord, form_rise, "
                    "released_chord and released_rise; or broken = true",
                )
            )
        return self


Made = Annotated[MadeForm | MadeStrips | MadeTrial, Field(discriminator="kind")]
