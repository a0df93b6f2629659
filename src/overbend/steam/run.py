"""A steam day: loads of the box, minutes for each, who is in the box when.

Blanks go in one after another as the benders can take them, so that none waits in the box
longer than it should; the box is never fuller than its capacity allows.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from overbend.errors import SteamError
from overbend.steam.assumed import BEND_MINUTES
from overbend.steam.boiler import Boiler, BoilerCheck, HeatDraw, SteamNeed, check_boiler, steam_need
from overbend.steam.box import Capacity, SteamBox, capacity
from overbend.steam.heating import HeatingBand, heated_section, heating_band
from overbend.steam.loading import Verdict, judge
from overbend.steam.practice import practice_minutes
from overbend.steam.section import Section
from overbend.wood.thermal import FIBRE_SATURATION, ThermalWood

__all__ = [
    "Blank",
    "BoxEvent",
    "Load",
    "SteamRun",
    "Turn",
    "box_events",
    "steam_blank",
    "steam_run",
    "timetable",
]


@dataclass(frozen=True)
class Blank:
    """Blanks of one kind in a run.

    Parameters
    ----------
    name : of the part.
    count : bends of this run; a strapped bundle is one.
    length : of the blank [mm].
    section : of the blank, or of the whole bundle [mm].
    wood : its wood as it goes in.
    band : time until its core is hot.
    practice : reported times for its thickness, lowest and highest [min].
    minutes : in the box.
    window : working window, lower bound [s].
    bend_minutes : from out of the box until the bender is ready for the next [min].
    """

    name: str
    count: int
    length: float
    section: Section
    wood: ThermalWood
    band: HeatingBand
    practice: tuple[float, float]
    minutes: float
    window: float
    bend_minutes: float

    @property
    def mass(self) -> float:
        """Of one blank [kg]."""
        return self.section.area * self.length * 1e-9 * self.wood.density

    @property
    def heated(self) -> Verdict:
        """Its minutes against the band: ``holds`` past the slow bound, ``close`` past the quick."""
        return judge(1.0 / (60.0 * self.minutes), 1.0 / self.band.high, 1.0 / self.band.low)

    @property
    def heat(self) -> float:
        """To warm one blank to the steam's temperature [J]."""
        curve = self.band.middle
        return self.mass * self.wood.heat_between(curve.start, curve.steam)


@dataclass(frozen=True)
class Load:
    """How one kind of blank fills the box.

    Parameters
    ----------
    blank, fits : the blank and how many fit.
    loads : loads of the box if they went in together.
    """

    blank: Blank
    fits: Capacity
    loads: int


@dataclass(frozen=True)
class Turn:
    """One blank's way through the box, in minutes from the first blank going in.

    Parameters
    ----------
    part, number : which one, counted from 1.
    load : load of the box it belongs to, counted from 1.
    bender : who bends it, counted from 1.
    into, core, out : goes in, core is hot (slow bound), comes out [min].
    clamped_by : end of the working window, lower bound [min].
    ready : the bender is ready for the next [min].
    """

    part: str
    number: int
    load: int
    bender: int
    into: float
    core: float
    out: float
    clamped_by: float
    ready: float


@dataclass(frozen=True)
class BoxEvent:
    """Something going into or coming out of the box.

    Parameters
    ----------
    minute : from the first blank going in.
    what : ``in`` or ``out``.
    label : part and number.
    inside : labels of what is in the box afterwards.
    """

    minute: float
    what: str
    label: str
    inside: tuple[str, ...]


@dataclass(frozen=True)
class SteamRun:
    """A steam day.

    Parameters
    ----------
    loads : each kind of blank and how it fills the box.
    turns, events : timetable, and the same as what is in the box when.
    need : water and power.
    boiler : the boiler against them; None without one.
    minutes : from the first blank in to the last one out.
    """

    loads: tuple[Load, ...]
    turns: tuple[Turn, ...]
    events: tuple[BoxEvent, ...]
    need: SteamNeed
    boiler: BoilerCheck | None
    minutes: float


def steam_blank(
    name: str,
    count: int,
    length: float,
    strip: Section,
    basic_gravity: float,
    moisture: float,
    box: SteamBox,
    *,
    target: float,
    strips: int = 1,
    shrinkage: float | None = None,
    start: float = 20.0,
    minutes: float | None = None,
    window: float = 0.0,
    bend_minutes: float = BEND_MINUTES.value,
) -> Blank:
    """Gather what a run needs to know about one kind of blank.

    Parameters
    ----------
    name, count, length : part, bends, length of blank [mm].
    strip : section of one strip [mm].
    basic_gravity, moisture, shrinkage : of its wood, as in `ThermalWood`.
    box : the box it goes into.
    target : core temperature wanted [deg C].
    strips : strapped together without stickers, heated as a solid.
    start : temperature of the wood before [deg C].
    minutes : in the box, the maker's own; None takes the longer of the slow bound of the core
        and the longer reported practice.
    window : lower bound of the working window [s].
    bend_minutes : the bender is busy with one bend [min]; assumed 6.

    Raises
    ------
    SteamError : moisture over fibre saturation, a box colder than the target, a blank larger
        than the box, no bends.

    Examples
    --------
    >>> box = SteamBox(1500.0, 150.0, 150.0)
    >>> leg = steam_blank("leg", 4, 1100.0, Section(38.0, 25.4), 0.56, 18.0, box, target=90.0)
    >>> round(leg.minutes)
    60
    """
    if not 0.0 <= moisture <= FIBRE_SATURATION:
        raise SteamError(
            f"a wood moisture of {moisture:g} %",
            where=name,
            allowed=f"0 to {FIBRE_SATURATION:g} % (fibre saturation): heating times end there, and "
            "wetter wood crumples on the inside of the bend",
            todo="let it dry below fibre saturation before it is steamed",
        )
    if count < 1:
        raise SteamError(f"{count} bends", where=name, allowed="1 or more")
    section = heated_section(strip, strips, stickers=False)
    wood = ThermalWood(basic_gravity, moisture, shrinkage)
    try:
        capacity(box, length, section)
        band = heating_band(section, wood, target, start=start, steam=box.temperature)
    except SteamError as error:
        raise error.at(name) from None
    practice = practice_minutes(section.thickness, moisture)
    own = max(band.high / 60.0, practice[1]) if minutes is None else minutes
    if not own > 0.0:
        raise SteamError(f"{own:g} minutes in the box", where=name, allowed="above zero")
    return Blank(
        name, count, length, section, wood, band, practice, own, window, bend_minutes
    )  # fmt: skip


class _Room:
    """Shares of the box that are taken, and when."""

    def __init__(self) -> None:
        self._into: list[float] = []
        self._out: list[float] = []
        self._share: list[float] = []

    def _fits(self, start: float, stay: float, share: float) -> bool:
        into, out, taken = np.array(self._into), np.array(self._out), np.array(self._share)
        during = (into > start) & (into < start + stay)
        moments = np.concatenate([[start], into[during]])[:, None]
        inside = (into <= moments) & (moments < out)
        return bool(((inside * taken).sum(axis=1) + share <= 1.0 + 1e-9).all())

    def take(self, earliest: float, stay: float, share: float) -> float:
        """Find the first time from `earliest` with room for a stay, and take it."""
        later = sorted({t for t in self._out if t > earliest})
        start = next(t for t in (earliest, *later) if self._fits(t, stay, share))
        self._into.append(start)
        self._out.append(start + stay)
        self._share.append(share)
        return start


def timetable(loads: Sequence[Load], benders: int = 1) -> tuple[Turn, ...]:
    """Send blanks through the box one after another, in the order given.

    Each goes in as late as its bender can take it and as early as the box has room; each stays
    its minutes exactly. Parts share the box by the part of its capacity they fill.

    Parameters
    ----------
    loads : kinds of blank with their capacity.
    benders : people or pairs who bend at the same time.

    Raises
    ------
    SteamError : no benders.
    """
    if benders < 1:
        raise SteamError(f"{benders} benders", allowed="1 or more")
    free, room, turns = [0.0] * benders, _Room(), []
    for load in loads:
        b = load.blank
        for number in range(1, b.count + 1):
            who = min(range(benders), key=free.__getitem__)
            into = room.take(max(0.0, free[who] - b.minutes), b.minutes, 1.0 / load.fits.total)
            out = into + b.minutes
            free[who] = out + b.bend_minutes
            turns.append(
                Turn(
                    b.name, number, (number - 1) // load.fits.total + 1, who + 1, into,
                    into + b.band.high / 60.0, out, out + b.window / 60.0, free[who],
                )
            )  # fmt: skip
    return tuple(sorted(turns, key=lambda t: (t.out, t.into)))


def box_events(turns: Sequence[Turn]) -> tuple[BoxEvent, ...]:
    """What goes in and comes out, in order of time, and what is inside afterwards."""
    moves = [(t.out, 0, "out", t) for t in turns] + [(t.into, 1, "in", t) for t in turns]
    inside: list[str] = []
    events = []
    for minute, _, what, turn in sorted(moves, key=lambda m: (m[0], m[1], m[3].out, m[3].number)):
        label = f"{turn.part} {turn.number}"
        if what == "in":
            inside.append(label)
        else:
            inside.remove(label)
        events.append(BoxEvent(minute, what, label, tuple(inside)))
    return tuple(events)


def steam_run(
    blanks: Sequence[Blank],
    box: SteamBox,
    boiler: Boiler | None = None,
    *,
    benders: int = 1,
) -> SteamRun:
    """Plan a steam day.

    Parameters
    ----------
    blanks : kinds of blank, in the order they are to be bent; names must differ.
    box, boiler : what the shop has.
    benders : people or pairs who bend at the same time.

    Returns
    -------
    The run.

    Raises
    ------
    SteamError : a blank larger than the box, names that do not differ, or no benders.

    Examples
    --------
    >>> box = SteamBox(1500.0, 150.0, 150.0)
    >>> leg = steam_blank("leg", 4, 1100.0, Section(38.0, 25.4), 0.56, 18.0, box, target=90.0)
    >>> run = steam_run([leg], box, Boiler(2.0, 10.0))
    >>> [round(t.out) for t in run.turns], run.boiler.verdict
    ([60, 66, 72, 78], 'holds')
    """
    by_name = {b.name: b for b in blanks}
    if len(by_name) < len(blanks):
        raise SteamError("two kinds of blank of one name in a run", allowed="names that differ")
    fits = [capacity(box, b.length, b.section) for b in blanks]
    loads = tuple(
        Load(b, f, math.ceil(b.count / f.total)) for b, f in zip(blanks, fits, strict=True)
    )
    turns = timetable(loads, benders)
    minutes = max((t.out for t in turns), default=0.0)
    draws = [
        HeatDraw(60.0 * t.into, 60.0 * t.into + by_name[t.part].band.mid, by_name[t.part].heat)
        for t in turns
    ]
    need = steam_need(box, draws, 60.0 * minutes)
    check = None if boiler is None else check_boiler(boiler, need, box.shop)
    return SteamRun(loads, turns, box_events(turns), need, check, minutes)
