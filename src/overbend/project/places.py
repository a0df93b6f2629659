"""Place tables: where a part stands in the piece, alone, on another part or between two."""

from __future__ import annotations

from typing import Annotated, Literal, TypeAlias

from pydantic import Field, model_validator

from overbend.errors import ProjectError
from overbend.project.fields import (
    Angle,
    Count,
    Flag,
    Fraction01,
    Length,
    RefusedError,
    Size,
    StationName,
    Table,
)

__all__ = ["Along", "Between", "Place", "Repeat", "Spot"]

Direction: TypeAlias = Literal["normal", "x", "y", "z", "-x", "-y", "-z"]


class Repeat(Table):
    """Several of the same part, evenly spaced."""

    count: Annotated[Count, Field(description="How many, 2 or more.")]
    span: Size = Field(
        description="Length they are spread over; what its ends are, fit says. Along the normal "
        "of the part's plane, or along the parts it is between."
    )
    fit: Literal["middles", "faces", "gaps"] = Field(
        "middles",
        description="What the ends of the span are: middles of the first and last part, their "
        "outer faces, or gaps as wide as those between them.",
    )
    centred: Flag = Field(
        False, description="Whether the part's own place is the middle of the row, not its start."
    )
    along: Direction = Field(
        "normal",
        description="Direction of the row: normal to the part's plane, or x, y, z, -x, -y, -z.",
    )

    @model_validator(mode="after")
    def _several(self) -> Repeat:
        if self.count < 2:
            raise RefusedError(ProjectError(f"repeat of {self.count}", allowed="2 or more"))
        return self


class Along(Table):
    """A place along a part's middle line, said one way."""

    station: StationName | None = Field(None, description="A named station of its curve.")
    at: Length | None = Field(
        None, description="Distance along its middle line from the start of its curve."
    )
    from_end: Length | None = Field(None, description="Distance from the end of its curve.")
    share: Fraction01 | None = Field(
        None, description="Part of its length, 0 at the start, 1 at the end; 0.5 is the middle."
    )

    @property
    def given(self) -> list[str]:
        """Keys that say where."""
        keys = ("station", "at", "from_end", "share", "height")
        return [key for key in keys if getattr(self, key, None) is not None]

    @model_validator(mode="after")
    def _one_way(self) -> Along:
        if type(self) is Along and len(self.given) != 1:
            raise RefusedError(_one_of(self.given, "station, at, from_end, share"))
        return self


class Spot(Along):
    """A point in the piece: on another part, or a fixed point."""

    part: str | None = Field(
        None, description="Name of the other part, or of one of its pieces such as leg/left."
    )
    height: Length | None = Field(
        None, description="Where that part's middle line has this height above the floor."
    )
    nth: Count = Field(
        1, description="Which of several places of that height, counted along its curve."
    )
    face: Literal["middle", "left", "right", "outside", "inside"] = Field(
        "middle",
        description="Which face, seen along its curve as drawn. Outside is the convex one at "
        "the tightest place.",
    )
    off: Length = Field(
        0.0,
        description="Distance beyond that face; from the middle line, to the left of the curve.",
    )
    across: Length = Field(0.0, description="Distance from the middle, across that part's plane.")
    point: tuple[Length, Length, Length] | None = Field(
        None, description="A fixed point [x, y, z] instead of a part."
    )

    shift: tuple[Length, Length, Length] = Field(
        (0.0, 0.0, 0.0),
        description="Moves the point off the part [x, y, z], such as straight up; what ends there "
        "is free.",
    )

    @model_validator(mode="after")
    def _part_or_point(self) -> Spot:
        if (self.part is None) == (self.point is None):
            given = [key for key in ("part", "point") if getattr(self, key) is not None]
            raise RefusedError(_one_of(given, "part, point"))
        if self.part is not None and len(self.given) != 1:
            raise RefusedError(_one_of(self.given, "station, at, from_end, share, height"))
        if self.point is not None and self.given:
            raise RefusedError(ProjectError(f"{self.given[0]} of a fixed point", allowed="a part"))
        return self


def _one_of(given: list[str], choices: str) -> ProjectError:
    problem = f"{' and '.join(given)} together" if given else "it does not say where"
    return ProjectError(problem, allowed=f"exactly one of {choices}")


class _Stand(Table):
    """What both kinds of place share."""

    mirror: Flag = Field(
        False, description="Make a second one on the other side of the piece: left and right."
    )
    repeat: Repeat | None = Field(None, description="Make several, evenly spaced.")

    @property
    def number(self) -> int:
        """How many this place makes of the part."""
        return (2 if self.mirror else 1) * (self.repeat.count if self.repeat else 1)


class Place(_Stand):
    """Where the part stands in the piece. x to the front, y to the left, z up from the floor.

    A straight part runs from its origin along the first axis of the plane, its width across
    the plane.
    """

    plane: Literal["side", "front", "plan"] = Field(
        description="Plane the part's curve lies in: side (x, z), front (y, z) or plan (x, y)."
    )
    origin: tuple[Length, Length, Length] = Field(
        (0.0, 0.0, 0.0),
        description="Where the curve's own origin goes [x, y, z]; counted from the place on "
        "another part, if it stands on one.",
    )
    turn: Angle = Field(0.0, description="Turn of the curve within its plane, to the left.")
    tilt: Angle = Field(
        0.0,
        description="Turn of the plane about a level line: about y what points up leans to the "
        "front, about x to the right; below zero the other way.",
    )
    tilt_about: Literal["x", "y"] | None = Field(
        None, description="That line. Left out: x for the side plane, y for the others."
    )
    swing: Angle = Field(
        0.0, description="Turn of the tilted plane about the upright, to the left seen from above."
    )
    floor: Flag = Field(
        False, description="Lift or lower the part until its lowest point is on the floor."
    )
    on: Spot | None = Field(None, description="Another part it stands on.")
    own: Along | None = Field(
        None,
        description="Which place of the part itself goes to the origin. Left out: the curve's "
        "own origin; its start when it stands on another part.",
    )

    @model_validator(mode="after")
    def _one_height(self) -> Place:
        if self.floor and self.on is not None:
            raise RefusedError(
                ProjectError("on and floor together", allowed="one of them: both set the height")
            )
        return self


class Between(_Stand):
    """A part between two places on other parts.

    A straight part without a length ends at the faces of both parts; its length is computed.
    Any other is laid along the line between the two places, middle on middle.
    """

    start: Spot = Field(alias="from", description="Where its start goes.")
    end: Spot = Field(alias="to", description="Where its end goes.")
    lie: Literal["upright", "along"] = Field(
        "upright",
        description="Which way its width runs: as upright as it can, or along the part at its "
        "start.",
    )
    roll: Angle = Field(0.0, description="Turn about its own line, clockwise seen from its start.")
    overhang: Length | None = Field(
        None,
        description="How far it runs past both places. Left out: it ends at the parts' faces.",
    )
    own: tuple[Along, Along] | None = Field(
        None,
        description="Which places of a bent part go there. Left out: the ends of its curve.",
    )


Stand: TypeAlias = Place | Between
"""Either way of saying where a part stands."""
