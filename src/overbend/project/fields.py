"""Kinds of value the project file takes.

Each kind is an annotated float: the file may give a number, a text with a unit or an
expression (``"= seat_height - 60"``), and what arrives in the model is always the core
number: mm, rad, deg C, N, MPa, kg, minutes or hours as the kind says.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Annotated, Any

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    Field,
    GetCoreSchemaHandler,
    GetJsonSchemaHandler,
)
from pydantic_core import core_schema

from overbend import units
from overbend.errors import ExpressionError, OverbendError, UnitError
from overbend.project.expressions import RESERVED, Quantity, Scope, is_expression

__all__ = [
    "AirTemperature",
    "Allowance",
    "Angle",
    "AnyQuantity",
    "Count",
    "Density",
    "DimensionName",
    "Flag",
    "Force",
    "Fraction01",
    "Hours",
    "Humidity",
    "Length",
    "Minutes",
    "Name",
    "Noted",
    "Number",
    "Percent",
    "Positive",
    "Pressure",
    "Reads",
    "RefusedError",
    "Seconds",
    "SignedRadius",
    "Size",
    "StationName",
    "SteamTemperature",
    "Stiffness",
    "Table",
    "shown",
]

Raw = str | int | float


class RefusedError(ValueError):
    """Carries an Overbend error through pydantic, which collects value errors."""

    def __init__(self, error: OverbendError) -> None:
        super().__init__(str(error))
        self.error = error


def shown(value: object) -> str:
    """Value as the file would write it, shortened.

    Examples
    --------
    >>> shown("450 mm"), shown(True), shown({"a": 1})
    ("'450 mm'", 'true', 'a table')
    """
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list | tuple):
        return f"a list of {len(value)}"
    text = repr(value)
    return text if len(text) <= 60 else text[:57] + "..."


@dataclass(frozen=True)
class Kind:
    """How one kind of value is read.

    Parameters
    ----------
    asked : what is asked for, in words, for messages.
    unit : core unit, for messages; "" for none.
    parse : core number from a number or a text with a unit, in a file of these units.
    dimension : powers of length and angle an expression must have.
    """

    asked: str
    unit: str
    parse: Callable[[Raw, units.System], float]
    dimension: tuple[int, int] = (0, 0)


def _plain(value: Raw, _system: units.System) -> float:
    return units.parse_number(value)


def _percent(value: Raw, _system: units.System) -> float:
    text = value.strip() if isinstance(value, str) else value
    return units.parse_number(text.removesuffix("%") if isinstance(text, str) else text)


KINDS: Mapping[str, Kind] = {
    "length": Kind("a length", "mm", units.parse_length, (1, 0)),
    "angle": Kind("an angle", "rad", lambda v, _: units.parse_angle(v), (0, 1)),
    "temperature": Kind("a temperature", "C", lambda v, _: units.parse_temperature(v)),
    "number": Kind("a number", "", _plain),
    "percent": Kind("a percentage", "%", _percent),
    "seconds": Kind("a time", "s", lambda v, _: units.parse_duration(v, "s")),
    "minutes": Kind("a time", "min", lambda v, _: units.parse_duration(v, "min") / 60.0),
    "hours": Kind("a time", "h", lambda v, _: units.parse_duration(v, "h") / 3600.0),
    "force": Kind("a force", "N", lambda v, _: units.parse_force(v)),
    "pressure": Kind("a pressure", "MPa", lambda v, _: units.parse_pressure(v)),
    "modulus": Kind(
        "a modulus (a bare number is in GPa)", "MPa", lambda v, _: units.parse_pressure(v, "GPa")
    ),
}


def core_number(raw: Raw, kind: Kind, scope: Scope) -> float:
    """Core number of one value of the file.

    Examples
    --------
    >>> core_number("3/16 in", KINDS["length"], Scope())
    4.7625
    >>> core_number("= 2 * 100 mm", KINDS["length"], Scope())
    200.0
    """
    if not is_expression(raw):
        return _parsed(raw, kind, scope.units)
    result = scope.evaluate(str(raw))
    if result.dimension == kind.dimension:
        return result.value
    if result.dimension == (0, 0):
        return kind.parse(result.value, scope.units)
    raise ExpressionError(f"{raw!r} gives {result.words}", allowed=kind.asked)


@lru_cache(maxsize=4096, typed=True)
def _parsed(raw: Raw, kind: Kind, system: units.System) -> float:
    """Core number of a value that is no expression."""
    return kind.parse(raw, system)


@dataclass(frozen=True)
class Reads:
    """Marks a float field with the kind of value it reads and the range it allows.

    Parameters
    ----------
    kind : a key of ``KINDS``.
    low, high : range allowed, in the core unit; `above` leaves `low` itself out.
    whole : only whole numbers.
    """

    kind: str
    low: float = -math.inf
    high: float = math.inf
    above: bool = False
    whole: bool = False

    def read(self, raw: object, scope: Scope) -> float:
        """Core number of a raw value, checked against the range."""
        kind = KINDS[self.kind]
        if isinstance(raw, bool) or not isinstance(raw, str | int | float):
            raise RefusedError(UnitError(f"{shown(raw)} is not {kind.asked}", allowed=self.allowed))
        try:
            value = core_number(raw, kind, scope)
        except OverbendError as error:
            raise RefusedError(error) from error
        too_low = value <= self.low if self.above else value < self.low
        if too_low or value > self.high or (self.whole and value != round(value)):
            raise RefusedError(UnitError(f"{shown(raw)} is out of range", allowed=self.allowed))
        return int(value) if self.whole else value

    @property
    def allowed(self) -> str:
        """The range in words."""
        kind = KINDS[self.kind]
        unit = f" {kind.unit}" if kind.unit else ""
        low = f"above {self.low:.10g}{unit}" if self.above else f"{self.low:.10g}{unit} or more"
        parts = [
            "a whole number" if self.whole else kind.asked,
            low if self.low > -math.inf else "",
            f"{self.high:.10g}{unit} at most" if self.high < math.inf else "",
        ]
        return ", ".join(part for part in parts if part)

    def __get_pydantic_core_schema__(
        self, _source: object, _handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        """Read the raw value with the scope given as validation context."""
        return core_schema.with_info_plain_validator_function(
            lambda raw, info: self.read(raw, scope_of(info.context))
        )

    def __get_pydantic_json_schema__(
        self, _schema: core_schema.CoreSchema, _handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        """Number or text; zero is zero in every unit, other limits hold for plain numbers."""
        number: dict[str, Any] = {"type": "integer" if self.whole else "number"}
        same_unit = self.kind in ("number", "percent")
        if self.low == 0.0 or (same_unit and self.low > -math.inf):
            number["exclusiveMinimum" if self.above else "minimum"] = self.low
        if same_unit and self.high < math.inf:
            number["maximum"] = self.high
        text = {"type": "string", "pattern": "[0-9=\u00bc-\u00be\u2150-\u215e]"}
        return {"anyOf": [number, text], "x-kind": self.kind}


def scope_of(context: object) -> Scope:
    """Scope given as validation context, or a file in mm without dimensions."""
    return context if isinstance(context, Scope) else Scope()


@dataclass(frozen=True)
class ReadsRadius(Reads):
    """A signed radius, or the word "straight", which is an endless radius."""

    kind: str = "length"
    low: float = -1e6
    high: float = 1e6

    def read(self, raw: object, scope: Scope) -> float:
        """Core number of a raw value; inf for straight."""
        if isinstance(raw, str) and raw.strip().casefold() == "straight":
            return math.inf
        value = super().read(raw, scope)
        if value == 0.0:
            raise RefusedError(UnitError(f"{raw!r} is no radius", allowed=self.allowed))
        return value

    @property
    def allowed(self) -> str:
        """The range in words."""
        return 'a radius other than zero (above turns left, below right), or "straight"'

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        """Number, text or the word."""
        made = super().__get_pydantic_json_schema__(schema, handler)
        made["anyOf"].append({"const": "straight"})
        return made


@dataclass(frozen=True)
class ReadsQuantity:
    """Marks a field of ``[dimensions]``: its dimension is whatever the value has."""

    def __get_pydantic_core_schema__(
        self, _source: object, _handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        """Read through the scope, which knows the other dimensions."""
        return core_schema.with_info_plain_validator_function(
            lambda raw, info: _quantity(raw, scope_of(info.context))
        )

    def __get_pydantic_json_schema__(
        self, _schema: core_schema.CoreSchema, _handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        """Number or text."""
        return {"anyOf": [{"type": "number"}, {"type": "string"}], "x-kind": "any"}


def _quantity(raw: object, scope: Scope) -> Quantity:
    try:
        return scope.quantity(raw)
    except OverbendError as error:
        raise RefusedError(error) from error


Length = Annotated[float, Reads("length", -1e6, 1e6)]
"""A place or a signed distance [mm]."""
SignedRadius = Annotated[float, ReadsRadius()]
"""A radius [mm], above zero to the left, below to the right; inf for straight."""
Size = Annotated[float, Reads("length", 0.0, 1e6, above=True)]
"""A length above zero [mm]."""
Allowance = Annotated[float, Reads("length", 0.0, 1e6)]
"""A length of zero or more [mm]."""
Angle = Annotated[float, Reads("angle", -100.0, 100.0)]
"""An angle [rad]; a bare number in the file is in degrees."""
AirTemperature = Annotated[float, Reads("temperature", -40.0, 60.0)]
"""Temperature of air [deg C]; a bare number in the file is in deg C."""
SteamTemperature = Annotated[float, Reads("temperature", 50.0, 110.0)]
"""Temperature in a vented steam box [deg C]; a bare number in the file is in deg C."""
Percent = Annotated[float, Reads("percent", 0.0, 200.0)]
"""A percentage [%]."""
Humidity = Annotated[float, Reads("percent", 0.0, 100.0)]
"""Relative humidity [%]."""
Fraction01 = Annotated[float, Reads("number", 0.0, 1.0)]
"""A share from 0 to 1 [1]."""
Number = Annotated[float, Reads("number", 0.0)]
"""A plain number of zero or more [1]."""
Positive = Annotated[float, Reads("number", 0.0, above=True)]
"""A plain number above zero [1]."""
Density = Annotated[float, Reads("number", 0.0, 2000.0, above=True)]
"""A density [kg/m3]."""
Count = Annotated[int, Reads("number", 1, 100_000, whole=True)]
"""A whole number from 1."""
Flag = Annotated[bool, Field(strict=True)]
"""true or false."""
Seconds = Annotated[float, Reads("seconds", 0.0)]
"""A time [s]."""
Minutes = Annotated[float, Reads("minutes", 0.0, above=True)]
"""A time [min]."""
Hours = Annotated[float, Reads("hours", 0.0, above=True)]
"""A time [h]."""
Force = Annotated[float, Reads("force", 0.0, above=True)]
"""A force [N]; a bare number in the file is in N."""
Pressure = Annotated[float, Reads("pressure", 0.0, above=True)]
"""A pressure or strength [MPa]; a bare number in the file is in MPa."""
Stiffness = Annotated[float, Reads("modulus", 1000.0, 40000.0)]
"""A modulus of elasticity [MPa]; a bare number in the file is in GPa."""
AnyQuantity = Annotated[Quantity, ReadsQuantity()]
"""A length, an angle or a plain number."""
NAME_PATTERN = r"^[A-Za-z0-9][A-Za-z0-9_-]{0,59}$"
Name = Annotated[str, Field(pattern=NAME_PATTERN)]
"""Name of a curve, part, wood or adhesive; it ends up in ids and file names."""

StationName = Annotated[str, Field(pattern=r"^[^\s\x00-\x1f]([^\x00-\x1f]{0,58}[^\s\x00-\x1f])?$")]
"""Name of a place along a curve; spaces are welcome."""


def _free_name(name: str) -> str:
    """Refuse a dimension named like a unit or a function."""
    if name in RESERVED:
        raise RefusedError(
            ExpressionError(
                f"{name!r} cannot name a dimension: it is a unit or a function",
                todo=f"call it {name}_1 or the like",
            )
        )
    return name


DimensionName = Annotated[
    str, Field(pattern=r"^[A-Za-z_][A-Za-z0-9_]{0,59}$"), AfterValidator(_free_name)
]
"""Name of a dimension: letters, digits and _, so that an expression can hold it."""


class Table(BaseModel):
    """Base of every table of the file: frozen, no unknown keys."""

    model_config = ConfigDict(frozen=True, extra="forbid", use_attribute_docstrings=False)


class Noted(Table):
    """A table that may carry a note in the maker's own words."""

    note: str = Field("", description="A note in your own words; printed, never computed with.")
