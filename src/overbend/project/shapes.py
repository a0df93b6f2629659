"""Curve tables: segments, points to run through, or a drawing file."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import ConfigDict, Field, model_validator

from overbend.errors import ProjectError
from overbend.project.fields import (
    Angle,
    Flag,
    Length,
    Noted,
    RefusedError,
    SignedRadius,
    Size,
    StationName,
    Table,
)

__all__ = ["Arc", "CurveTable", "Easement", "Point", "Segment"]

Point = tuple[Length, Length]


def _one_of(*keys: str) -> dict[str, Any]:
    """Part of the JSON Schema that asks for exactly one of some keys."""
    return {"oneOf": [{"required": [key]} for key in keys]}


class Arc(Table):
    """A circular arc."""

    radius: Size = Field(description="Radius of the line that is drawn.")
    angle: Angle = Field(description="Angle turned: above zero turns left, below zero right.")

    @model_validator(mode="after")
    def _turns(self) -> Arc:
        if self.angle == 0.0:
            raise RefusedError(
                ProjectError("an arc of angle 0", allowed="an angle other than zero")
            )
        return self


class Easement(Table):
    """A stretch whose curvature changes evenly along its length (a clothoid).

    A radius is signed: above zero turns left, below zero turns right. "straight" is no
    curvature. Left out, the curvature carries on from the neighbouring line or arc, and is
    straight at an end of the curve.
    """

    length: Size = Field(description="Length along the curve.")
    from_radius: SignedRadius | None = Field(
        None,
        description='Radius at its start: above zero turns left, below zero right, or "straight". '
        "Left out: that of the segment before, straight when there is none.",
    )
    to_radius: SignedRadius | None = Field(
        None,
        description='Radius at its end: above zero turns left, below zero right, or "straight". '
        "Left out: that of the segment after, straight when there is none.",
    )


class Segment(Table):
    """One stretch of a curve: a line, an arc or an easement."""

    model_config = ConfigDict(json_schema_extra=_one_of("line", "arc", "easement"))

    line: Size | None = Field(None, description="A straight line of this length.")
    arc: Arc | None = Field(None, description="An arc: { radius, angle }.")
    easement: Easement | None = Field(
        None, description="An easement: { length, from_radius, to_radius }."
    )
    name: StationName | None = Field(
        None, description="StationNames the station at the segment's end."
    )

    @model_validator(mode="after")
    def _one_kind(self) -> Segment:
        given = [key for key in ("line", "arc", "easement") if getattr(self, key) is not None]
        if len(given) != 1:
            raise RefusedError(_exactly_one(given, "line, arc, easement"))
        return self


_SOURCES = ("segment", "through", "file")
_ONLY_WITH = {
    "start": ("segment", "file"),
    "heading": ("segment", "file"),
    "start_heading": ("through",),
    "end_heading": ("through",),
    "unit": ("file",),
    "layer": ("file",),
    "reverse": ("file",),
}


class CurveTable(Noted):
    """A plane curve, drawn one of three ways: segment, through or file.

    Positions are in the curve's own plane, x to the right and y up, read along the curve
    from its start; left is to the left of that way.
    """

    model_config = ConfigDict(json_schema_extra=_one_of("segment", "through", "file"))

    segment: tuple[Segment, ...] | None = Field(
        None, min_length=1, description="Lines, arcs and easements, end to end."
    )
    through: tuple[Point, ...] | None = Field(
        None, min_length=2, description="Points [x, y] that a fair curve runs through."
    )
    file: str | None = Field(
        None, min_length=1, description="A DXF or SVG drawing, beside the project file."
    )
    start: Point | None = Field(
        None,
        description="Where the curve starts [x, y]. Left out: [0, 0] for segments, as drawn for "
        "a file.",
    )
    heading: Angle | None = Field(
        None,
        description="Direction at the start, from the x axis, turning left. Left out: 0 for "
        "segments, as drawn for a file.",
    )
    start_heading: Angle | None = Field(
        None, description="Direction asked at the first point; left out, it is free."
    )
    end_heading: Angle | None = Field(
        None, description="Direction asked at the last point; left out, it is free."
    )
    unit: Literal["mm", "cm", "m", "in", "ft", "px"] | None = Field(
        None,
        description="Unit of the drawing, needed where the file does not say; px: 96 to the inch.",
    )
    layer: str | None = Field(None, description="Layer of the drawing that holds the curve.")
    reverse: Flag = Field(False, description="Run the drawing's curve from its other end.")
    stations: dict[StationName, Length] = Field(
        {}, description="StationNamed places: distance along the curve from its start."
    )

    @model_validator(mode="after")
    def _one_source(self) -> CurveTable:
        given = [key for key in _SOURCES if getattr(self, key) is not None]
        if len(given) != 1:
            raise RefusedError(_exactly_one(given, ", ".join(_SOURCES)))
        for key, sources in _ONLY_WITH.items():
            if key in self.model_fields_set and given[0] not in sources:
                raise RefusedError(
                    ProjectError(
                        f"{key} does not go with {given[0]}",
                        allowed=f"{key} with {' or '.join(sources)}",
                        todo=f"take {key} out",
                    )
                )
        return self

    @property
    def source(self) -> Literal["segment", "through", "file"]:
        """Which of the three ways the curve is drawn."""
        if self.segment is not None:
            return "segment"
        return "through" if self.through is not None else "file"


def _exactly_one(given: list[str], choices: str) -> ProjectError:
    problem = f"{' and '.join(given)} together" if given else "nothing is drawn"
    return ProjectError(problem, allowed=f"exactly one of {choices}")
