"""What the ledger keeps, as frozen records; every number is a core number (mm, N, %, h)."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from typing import Annotated, Any, Literal, TypeVar
from uuid import uuid4

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    Field,
    ValidationError,
    ValidationInfo,
    field_validator,
)

from overbend.bend.calibrate import Treatment
from overbend.errors import LedgerError
from overbend.ledger.measured import LEAST_POINTS, MOST_POINTS

__all__ = [
    "KINDS",
    "Adhesive",
    "Board",
    "Build",
    "Clamps",
    "Cut",
    "Form",
    "Measurement",
    "Record",
    "Run",
    "RunEvent",
    "Trial",
    "read_record",
]


def _day(text: str) -> str:
    try:
        if text and datetime.date.fromisoformat(text).isoformat() == text:
            return text
    except ValueError:
        pass
    if text:
        raise ValueError("a day such as 2026-05-17")
    return text


Size = Annotated[float, Field(gt=0.0, le=1e6)]
Amount = Annotated[float, Field(ge=0.0, le=1e9)]
Percent = Annotated[float, Field(ge=0.0, le=300.0)]
Count = Annotated[int, Field(ge=1, le=10000)]
Text = Annotated[str, Field(max_length=2000)]
Name = Annotated[str, Field(min_length=1, max_length=120)]
Day = Annotated[str, AfterValidator(_day)]
Point = Annotated[tuple[float, float], Field(strict=False)]
Span = Annotated[tuple[float, float], Field(strict=False)]
Uid = Annotated[str, Field(pattern=r"^[0-9a-f]{32}$")]
Uids = Annotated[tuple[Uid, ...], Field(strict=False, max_length=10000)]
Dried = Literal["", "kiln", "air", "green"]
Side = Literal["concave", "convex"]


def _fresh() -> str:
    return uuid4().hex


class Record(BaseModel):
    """A record of the ledger; `uid` is its name in every ledger it is copied to."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False)

    uid: Uid = Field(default_factory=_fresh)


class Board(Record):
    """A board: bought, measured, and out of the rack once `out_on` is set.

    `name` is what is written on it. `defects` are spans that cannot be used, from and to, from its
    marked end [mm]. `off_cut_of` says which board and project it is left of; `cut_from` is that
    board where it lay on the rack.
    """

    species: Name
    length: Size
    width: Size
    thickness: Size
    dried: Dried = ""
    moisture: Percent | None = None
    place: Text = ""
    in_on: Day = ""
    out_on: Day = ""
    cost: Amount | None = None
    note: Text = ""
    name: Annotated[str, Field(max_length=200)] = ""
    surfaced: bool = False
    defects: Annotated[tuple[Span, ...], Field(strict=False, max_length=100)] = ()
    off_cut_of: Text = ""
    cut_from: Uid | None = None

    @field_validator("defects")
    @classmethod
    def _on_the_board(
        cls, spans: tuple[tuple[float, float], ...], info: ValidationInfo
    ) -> tuple[tuple[float, float], ...]:
        length = info.data.get("length", 1e6)
        if any(not 0.0 <= a < b or a >= length for a, b in spans):
            raise ValueError("spans from a smaller to a larger length, on the board")
        return spans


class Form(Record):
    """A form that was built; `radius` is that of its face, where the face is one arc."""

    name: Name
    side: Side = "concave"
    radius: Size | None = None
    chord: Size | None = None
    rise: Amount | None = None
    made_on: Day = ""
    gone_on: Day = ""
    note: Text = ""


class Clamps(Record):
    """Clamps of one kind: how many, widest opening, force of one."""

    name: Name
    count: Count
    opening: Size
    force: Annotated[float, Field(gt=0.0, le=1e6)]
    note: Text = ""


class Adhesive(Record):
    """An adhesive on the shelf, in grams."""

    kind: Name
    name: Text = ""
    grams: Amount | None = None
    bought_on: Day = ""
    use_by: Day = ""
    note: Text = ""


class Measurement(BaseModel):
    """What was measured on a trial bend some time after its release.

    One of `radius`, `chord` with `rise`, or `points`, on the face that lay on the form.
    `error` is the standard error of those lengths [mm]; None: the assumed one.
    """

    model_config = Record.model_config

    after_hours: Annotated[float, Field(ge=0.0, le=1e6)]
    radius: Size | None = None
    chord: Size | None = None
    rise: Amount | None = None
    past_half: bool = False
    points: (
        Annotated[
            tuple[Point, ...],
            Field(min_length=LEAST_POINTS, max_length=MOST_POINTS, strict=False),
        ]
        | None
    ) = None
    error: Annotated[float, Field(gt=0.0, le=1000.0)] | None = None


class Trial(Record):
    """A trial bend, with what was measured on it."""

    species: Name
    treatment: Treatment
    steam_minutes: Amount | None = None
    soak_hours: Amount | None = None
    dried: Dried = ""
    moisture: Percent | None = None
    grain_slope: Annotated[float, Field(ge=0.0, le=1.0)] = 0.0
    thickness: Size
    plies: Annotated[int, Field(ge=1, le=200)] = 1
    form_radius: Size
    side: Side = "concave"
    strap: bool = False
    broken: bool = False
    bent_on: Day = ""
    run: Text = ""
    board: Uid | None = None
    form: Uid | None = None
    who: Text = ""
    note: Text = ""
    measurements: Annotated[tuple[Measurement, ...], Field(strict=False)] = ()


class Build(Record):
    """A piece that was built from a project file, and how long it took."""

    project: Name
    fingerprint: Text = ""
    pieces: Count = 1
    started_on: Day = ""
    finished_on: Day = ""
    hours: Amount | None = None
    note: Text = ""


class RunEvent(BaseModel):
    """Something done or said on a steam day; its `uid` makes sending it twice harmless.

    `what` is ``tick`` for a step done, ``cracked`` for a strip that broke, ``note``, or ``back``,
    which takes the event named in `text` back. `at` counts seconds since 1970.
    """

    model_config = Record.model_config

    uid: Annotated[str, Field(pattern=r"^[0-9a-f]{16,32}$")]
    at: Annotated[float, Field(ge=0.0, le=1e11)]
    what: Literal["tick", "cracked", "note", "back"]
    step: Annotated[str, Field(max_length=120)] = ""
    text: Text = ""
    who: Annotated[str, Field(max_length=120)] = ""


class Run(Record):
    """A steam day as it went: what was to be done, and what was done when.

    `plan` is JSON, as the day's page wrote it when the day was begun: later changes of the
    project do not reach a day under way. `piece` is the project's name in its folder.
    """

    project: Name
    piece: Name
    fingerprint: Text = ""
    begun_at: Annotated[float, Field(ge=0.0, le=1e11)]
    plan: Annotated[str, Field(max_length=500_000)]
    events: Annotated[tuple[RunEvent, ...], Field(strict=False)] = ()


class Cut(Record):
    """Boards cut up for a project in one step: those that left the rack, off-cuts that came."""

    project: Name
    fingerprint: Text = ""
    cut_on: Day = ""
    used: Uids = ()
    kept: Uids = ()
    note: Text = ""


KINDS: Mapping[str, type[Record]] = {
    "boards": Board,
    "forms": Form,
    "clamps": Clamps,
    "adhesives": Adhesive,
    "trial_bends": Trial,
    "builds": Build,
    "runs": Run,
    "cuts": Cut,
}
"""Kinds of records by the name of their table, parents before what refers to them."""

R = TypeVar("R", bound=BaseModel)

_WANTED = {
    "extra_forbidden": "the keys of its kind only",
    "float_type": "a number",
    "int_type": "a whole number",
    "int_from_float": "a whole number",
    "string_type": "a text",
    "bool_type": "true or false",
    "string_unicode": "a text that can be written",
    "string_pattern_mismatch": "32 digits from 0 to f",
    "tuple_type": "a list",
    "model_type": "a table of keys",
    "greater_than": "a number above {gt:g}",
    "greater_than_equal": "a number of {ge:g} or more",
    "less_than_equal": "a number of {le:g} at most",
    "string_too_short": "a text",
    "string_too_long": "a text of {max_length} characters at most",
    "too_short": "{min_length} or more",
    "too_long": "{max_length} at most",
    "finite_number": "a finite number",
    "literal_error": "{expected}",
    "value_error": "{error}",
}


def read_record(kind: type[R], values: Mapping[str, Any], where: str) -> R:
    """Read a record, or say in plain words what is wrong with it.

    Parameters
    ----------
    kind : class of the record.
    values : by key.
    where : what the values belong to, for the message.

    Raises
    ------
    LedgerError
        When a key is missing or unknown, or a value cannot be meant.

    Examples
    --------
    >>> read_record(Clamps, {"name": "bar", "count": 8, "opening": 600.0, "force": 2e3}, "").count
    8
    """
    try:
        return kind.model_validate(dict(values))
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        place = " ".join(str(i + 1 if isinstance(i, int) else i) for i in first["loc"])
        if first["type"] == "missing":
            raise LedgerError(f"{place} is missing", where) from error
        wanted = _WANTED.get(first["type"], first["msg"].removeprefix("Input should be "))
        raise LedgerError(
            f"cannot use {place} {first['input']!r:.60}".replace("  ", " "),
            where,
            wanted.format(**first.get("ctx", {})),
        ) from error
