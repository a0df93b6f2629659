"""Heating, the way to the form, drying, and the steam day."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from overbend.errors import OverbendError, WoodError
from overbend.plan.bent import BentPlan
from overbend.project import Project, adhesive_of
from overbend.project.shop import Climate as ClimateTable
from overbend.steam.air import Air
from overbend.steam.assumed import BEND_MINUTES, SETTING_MARGIN
from overbend.steam.boiler import Boiler
from overbend.steam.box import SteamBox
from overbend.steam.cooling import Window
from overbend.steam.drying import (
    Diffusion,
    SpanOfDays,
    Uptake,
    drying_days,
    setting_days,
    uptake,
    wetting_days,
)
from overbend.steam.heating import HeatingBand, heated_section, heating_band
from overbend.steam.loading import FormLoad, Hands, LoadingCheck, Surroundings, check_loading
from overbend.steam.practice import practice_minutes
from overbend.steam.run import Blank, SteamRun, steam_blank, steam_run
from overbend.steam.section import Section
from overbend.wood import Climate, Wood, basic_gravity, custom_climate, find_climate
from overbend.wood.thermal import FIBRE_SATURATION, ThermalWood

__all__ = [
    "BENDING_MOISTURE",
    "GLUING_MOISTURE",
    "PartSteam",
    "WayToForm",
    "climate_of",
    "part_steam",
    "run_of",
    "sets_of",
    "way_to_form",
]

GLUING_MOISTURE = 10.0
"""Moisture under which strips are glued when the adhesive's figure is not known [%].
Common practice, no source."""

_BOX = 98.0  # deg C where the project has no steam box: what is said of heating is for this

BENDING_MOISTURE = 16.0
"""Least moisture for mild bends [%]: Wengert, answers to bending shops."""


@dataclass(frozen=True, eq=False)
class PartSteam:
    """What steam does to one part's wood.

    Parameters
    ----------
    moisture : of the wood as it goes in [%].
    section : what is heated as one: a strip, or the strapped bundle.
    heating : time until its core is hot, as a band, with its curves.
    practice : reported minutes for that thickness and moisture, lowest and highest.
    minutes : in the box.
    window : cooling on the way to the form, wet and dry.
    loading : time to load the form against that window, with what would help.
    steamed : moisture after those minutes.
    gluing : days until the strips are down to gluing moisture; None for a solid part.
    setting : days on the form until the bend is dry.
    soaking : days in water until dry stock reaches bending moisture; None when it is wet enough.
    balance : moisture the shop's air holds wood at [%].
    glue_at : moisture at which the strips are glued [%]; None for a solid part.
    """

    moisture: float
    section: Section
    heating: HeatingBand
    practice: tuple[float, float]
    minutes: float
    window: Window
    loading: LoadingCheck
    steamed: Uptake
    gluing: SpanOfDays | None
    setting: SpanOfDays
    soaking: SpanOfDays | None
    balance: float
    glue_at: float | None

    @property
    def release_at(self) -> float:
        """Moisture at which the bend may come off the form [%]: 2 over the shop's balance."""
        return self.balance + SETTING_MARGIN.value

    @property
    def witness(self) -> float:
        """Mass of a witness strip at release over its mass going onto the form."""
        return (100.0 + self.release_at) / (100.0 + self.steamed.mid)


def climate_of(table: ClimateTable, where: str) -> Climate:
    """Return the climate of a table: the named one, else the one its numbers give.

    Parameters
    ----------
    table : as read.
    where : of the table, for messages.

    Raises
    ------
    WoodError
        An unknown name, or air for which no moisture balance is known.
    """
    if table.named is None and not 1.0 <= table.humidity <= 100.0:
        raise WoodError(
            f"a relative humidity of {table.humidity:g} %",
            where,
            "1 to 100 %: no room has perfectly dry air",
            "read a hygrometer, or leave it out for 50 %",
        )
    try:
        if table.named is not None:
            return find_climate(table.named)
        return custom_climate(where, table.temperature, table.humidity / 100.0)
    except OverbendError as error:
        raise error.at(where) from error


@dataclass(frozen=True, eq=False)
class WayToForm:
    """What carrying a part from the box to its form and loading it hang on.

    Parameters
    ----------
    load : what goes onto the form in one go.
    hands : the shop's pace.
    around : box, air and softening temperature.
    wood : as it leaves the box.
    """

    load: FormLoad
    hands: Hands
    around: Surroundings
    wood: ThermalWood

    @property
    def window(self) -> Window:
        """How long the thinnest strip, or the bundle, stays hot enough."""
        return self.around.window(self.load.carried, self.wood)


def way_to_form(part: BentPlan, clamps: int) -> WayToForm:
    """Set up the loading of a part's form.

    Parameters
    ----------
    part : a steamed one.
    clamps : to close while the wood is hot.

    Raises
    ------
    SteamError, WoodError
        Wood wetter than fibre saturation, air no shop has.
    """
    shop, strips, table = part.project.shop, part.strips_used, part.part
    climate = climate_of(shop.climate, "shop.climate")
    air = Air(climate.temperature, 100.0 * climate.humidity)
    hot = shop.steam_box.temperature if shop.steam_box else _BOX
    thin = min(s.thickness for s in strips)
    strapped = (table.steam.bundle and len(strips) > 1) or table.form.strap > 0.0
    load = FormLoad(
        Section(table.width + shop.width_allowance, thin), len(strips), clamps, strapped
    )
    pace = shop.hands
    hands = Hands(shop.people, pace.out, pace.per_strip, pace.strap, pace.bend, pace.per_clamp)
    wood = part.woods[max(strips, key=lambda s: s.thickness).wood]
    thermal = ThermalWood(basic_gravity(wood.species).value, wood.moisture.value)
    return WayToForm(load, hands, Surroundings(hot, air, shop.softening), thermal)


def part_steam(part: BentPlan) -> PartSteam:
    """Compute heating, loading and drying of a steamed part.

    Parameters
    ----------
    part : a part whose method is not cold.

    Raises
    ------
    SteamError, WoodError
        Wood wetter than fibre saturation, a box colder than the core asked for, air no shop
        has.
    """
    try:
        return _Steamed(part).all()
    except OverbendError as error:
        place = part.where("part", part.name)
        raise (error if place in error.where else error.at(place)) from error


class _Steamed:
    """The pieces of `PartSteam`, one method each."""

    def __init__(self, part: BentPlan) -> None:
        self.part, self.project = part, part.project
        self.shop, self.table = part.project.shop, part.part.steam
        self.box = self.shop.steam_box
        self.hot = self.box.temperature if self.box else _BOX
        self.air = climate_of(self.shop.climate, "shop.climate")
        thickest = max(part.strips_used, key=lambda s: s.thickness)
        self.wood: Wood = part.woods[thickest.wood]
        self.moisture = self.wood.moisture.value
        width = part.part.width + self.shop.width_allowance
        self.thick = Section(width, thickest.thickness)
        self.count = len(part.strips_used)
        self.bundle = self.table.bundle and self.count > 1
        self.diffusion = Diffusion.of_wood(basic_gravity(self.wood.species).value)

    def all(self) -> PartSteam:
        way = way_to_form(self.part, len(self.part.form_used.clamps))
        heated = (
            Section(self.thick.width, self.part.depth)
            if self.bundle
            else heated_section(self.thick, 1)
        )
        heating = heating_band(
            heated, way.wood, self.table.core, start=self.air.temperature, steam=self.hot
        )
        practice = practice_minutes(heated.thickness, self.moisture)
        minutes = self.table.minutes or max(heating.high / 60.0, practice[1])
        steamed = uptake(
            self.thick.thickness, min(self.moisture, 29.9), 60.0 * minutes, self.diffusion,
            temperature=self.hot,
        )  # fmt: skip
        glue_at, gluing = self.gluing(steamed.mid)
        return PartSteam(
            self.moisture, heated, heating, practice, minutes,
            way.window, self.loading(way), steamed,
            gluing, self.setting(steamed.mid), self.soaking(), self.balance, glue_at,
        )  # fmt: skip

    @property
    def balance(self) -> float:
        """Moisture the shop's air holds wood at [%]."""
        return self.air.moisture().value

    def loading(self, way: WayToForm) -> LoadingCheck:
        """Load the form against the window of the thinnest strip, or of the bundle."""
        thickest = self.part.risk.strain.verdict.thickest
        return check_loading(way.load, way.wood, way.hands, way.around, thickest=thickest)

    def gluing(self, start: float) -> tuple[float | None, SpanOfDays | None]:
        """Moisture at which strips are glued, and days until they are there."""
        name = self.part.part.adhesive
        if name is None:
            return None, None
        figure = adhesive_of(self.project.adhesive[name]).figure("wood_moisture")
        high = GLUING_MOISTURE if figure is None or figure.high is None else figure.high
        span = drying_days(
            self.part.depth, start, high, self.balance, self.diffusion,
            temperature=self.air.temperature, faces=1,
        )  # fmt: skip
        return high, span

    def setting(self, start: float) -> SpanOfDays:
        """Days on the form until the bend is dry."""
        return setting_days(
            self.part.depth, start, self.balance, self.diffusion, temperature=self.air.temperature
        )

    def soaking(self) -> SpanOfDays | None:
        """Days in water for stock drier than mild bends ask for."""
        if self.moisture >= BENDING_MOISTURE:
            return None
        return wetting_days(
            self.thick.thickness, self.moisture, BENDING_MOISTURE, self.diffusion,
            temperature=self.air.temperature,
        )  # fmt: skip


def run_of(
    parts: Mapping[str, BentPlan], steamed: Mapping[str, PartSteam], project: Project
) -> SteamRun | None:
    """Plan one steam day; None without a steam box or steamed parts.

    A form holds its part for days, so a day bends no more of a part than there are forms for
    it, and one only while its form is a trial form.

    Parameters
    ----------
    parts, steamed : steamed parts and what steam does to them, by name.
    project : its box and boiler.

    Raises
    ------
    SteamError
        A blank larger than the box.
    """
    given = project.shop.steam_box
    if given is None or not steamed:
        return None
    air = climate_of(project.shop.climate, "shop.climate")
    box = SteamBox(given.length, given.width, given.height, given.temperature, air.temperature)
    boiler = project.shop.boiler
    kettle = None if boiler is None else Boiler(boiler.power_kW, boiler.water_litres)
    blanks = [_blank(parts[name], steam, box) for name, steam in steamed.items()]
    return steam_run(blanks, box, kettle, benders=max(1, project.shop.people // 2))


def sets_of(part: BentPlan) -> int:
    """Parts that are bent in all, with the spares: each takes the form once."""
    return max(
        -(-(spares.mill or strip.count) // strip.per_part)
        for strip, spares in zip(part.strips, part.risk.spares, strict=True)
    )


def _blank(part: BentPlan, steam: PartSteam, box: SteamBox) -> Blank:
    """One kind of blank: a solid part, a bundle, or the loose strips of a part."""
    bundle = part.part.steam.bundle and len(part.strips_used) > 1
    strips = len(part.strips_used)
    sets = 1 if not part.set.proven else min(part.part.form.count, sets_of(part))
    together = 1 if bundle or strips == 1 else strips
    section = steam.section
    made = steam_blank(
        part.name,
        sets * together,
        max(strip.length for strip in part.strips),
        section,
        basic_gravity(part.woods[part.strips_used[0].wood].species).value,
        min(steam.moisture, FIBRE_SATURATION),
        box,
        target=part.part.steam.core,
        start=box.shop,
        minutes=steam.minutes,
        window=steam.loading.low,
        bend_minutes=BEND_MINUTES.value / together,
    )
    return replace(made, practice=steam.practice)
