"""Shop tables: what the shop has and how it works."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from overbend.project.fields import (
    AirTemperature,
    Allowance,
    Count,
    Force,
    Humidity,
    Percent,
    Positive,
    Seconds,
    Size,
    SteamTemperature,
    Table,
)
from overbend.project.yard import Cutting, YardBoard

__all__ = ["Boiler", "Clamp", "Climate", "Hands", "Machine", "Machines", "Saw", "Shop", "SteamBox"]


class Climate(Table):
    """Air that wood comes into balance with: a named climate, or temperature and humidity."""

    named: str | None = Field(
        None, description='A named climate, such as "house-winter"; it goes before the numbers.'
    )
    temperature: AirTemperature = Field(20.0, description="Air temperature [deg C]. Assumed: 20.")
    humidity: Humidity = Field(50.0, description="Relative humidity [%]. Assumed: 50.")


class SteamBox(Table):
    """Inside of the steam box."""

    length: Size = Field(description="Inside length.")
    width: Size = Field(description="Inside width.")
    height: Size = Field(description="Inside height.")
    temperature: SteamTemperature = Field(
        98.0, description="Temperature of the steam round the wood [deg C]. Assumed: 98."
    )


class Boiler(Table):
    """What makes the steam. Never sealed."""

    power_kW: Positive = Field(description="Electrical or burner power [kW].")
    water_litres: Positive = Field(description="Water it holds when full [litres].")
    heat: Literal["electric", "fuel"] | None = Field(
        None, description="What heats it: electric or fuel. Left out: both sets of cautions print."
    )


class Hands(Table):
    """How fast this shop gets hot wood onto a form. All assumed: time a dry run, type yours."""

    out: Seconds = Field(8.0, description="Opening the box and walking to the form [s].")
    per_strip: Seconds = Field(4.0, description="Taking out and laying up one loose strip [s].")
    strap: Seconds = Field(6.0, description="Hooking a bundle into its strap [s].")
    bend: Seconds = Field(15.0, description="Pulling the stack round the form [s].")
    per_clamp: Seconds = Field(6.0, description="Closing one clamp [s].")


class Clamp(Table):
    """Clamps of one kind."""

    name: str = Field(min_length=1, description="What you call them.")
    count: Count = Field(description="How many you own.")
    opening: Size = Field(description="Widest opening.")
    force: Force = Field(description="Force one clamp is tightened to [N; also kgf, lbf].")


class Machine(Table):
    """Least sizes a machine may be fed, from its manual. No defaults."""

    least_length: Size | None = Field(None, description="Shortest piece, from its manual.")
    least_width: Size | None = Field(None, description="Narrowest piece, from its manual.")
    least_thickness: Size | None = Field(None, description="Thinnest piece, from its manual.")


class Saw(Machine):
    """The saw: least sizes, and how deep it cuts, from its manual. No defaults."""

    depth: Size | None = Field(
        None, description="Thickest plank it rips, from its manual. Left out: not checked."
    )
    resaw_depth: Size | None = Field(
        None,
        description="Widest piece it splits through the thickness (resaws), from its manual; the "
        "bandsaw's, where that does it. Left out: not checked.",
    )


class Machines(Table):
    """Machines of the shop. Without a machine's least sizes no step for it is printed."""

    saw: Saw = Field(Saw(), description="Table saw or bandsaw that rips the strips.")
    surfacing: Machine = Field(Machine(), description="Surfacing machine (flattens a face).")
    thicknessing: Machine = Field(
        Machine(), description="Thicknessing machine (planes to thickness)."
    )


class Shop(Table):
    """The shop. Everything has a default; type what differs."""

    people: Count = Field(1, description="People who can help at a bend or glue-up.")
    saw_kerf: Allowance = Field(
        3.0, description="Width of the saw cut. Common practice, no source: 3 mm."
    )
    planer_allowance: Allowance = Field(
        1.5,
        description="Total taken off a strip's thickness from sawn to finished, both faces "
        "together. Common practice, no source: 1.5 mm.",
    )
    width_allowance: Allowance = Field(
        6.0,
        description="Added to the width of strips so that the glued stack's edges can be cleaned "
        "up. Common practice, no source: 6 mm.",
    )
    trim: Allowance = Field(
        25.0,
        description="Added at each end of a part and cut off afterwards. Common practice, no "
        "source: 25 mm.",
    )
    strips_per_board: Count = Field(
        6,
        description="Strips of one kind that come from one board: they agree with each other, so "
        "a poor board loses several. Assumed: 6.",
    )
    confidence: Percent = Field(
        95.0, description="Chance that enough strips are left after bending [%]. Our choice: 95."
    )
    sheet_thickness: Size = Field(
        18.0, description="Thickness of the sheets forms are cut from. Assumed: 18 mm."
    )
    sheet: tuple[Size, Size] = Field(
        (2440.0, 1220.0),
        description="Length and width of a sheet. Assumed: 2440 by 1220 mm.",
    )
    paper: Literal["a4", "a3", "letter"] = Field("a4", description="Paper for the templates.")
    climate: Climate = Field(Climate(), description="Air of the shop.")
    home: Climate = Field(Climate(), description="Air of the room the piece will live in.")
    steam_box: SteamBox | None = Field(None, description="The steam box, if there is one.")
    softening: SteamTemperature = Field(
        80.0,
        description="Temperature under which wood no longer bends freely [deg C]. Assumed: 80, "
        "70 to 90 is possible.",
    )
    hands: Hands = Field(Hands(), description="How fast hot wood gets onto a form.")
    boiler: Boiler | None = Field(None, description="The boiler, if there is one.")
    clamp: tuple[Clamp, ...] = Field((), description="Clamps, one table for each kind.")
    machine: Machines = Field(Machines(), description="Least sizes of the machines.")
    currency: str = Field(
        "",
        max_length=12,
        description='Word or sign printed with prices, such as "EUR". Left out: plain numbers.',
    )
    cutting: Cutting = Field(Cutting(), description="How boards and sheets are cut.")
    yard: tuple[YardBoard, ...] = Field(
        (), description="Boards that can be bought, one table for each kind."
    )
