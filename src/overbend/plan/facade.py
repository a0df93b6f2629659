"""The facade: everything computed from one project file, each stage once, when asked for."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from functools import cached_property
from pathlib import Path
from typing import cast

from overbend.errors import UnitError
from overbend.plan.bent import BentPlan
from overbend.plan.cutting import Cutting, ToCut, cutting_of, to_cut
from overbend.plan.holds import Hold, holds_of
from overbend.plan.made import made_for
from overbend.plan.piece import Piece
from overbend.plan.seasons import Season, seasons_of
from overbend.plan.steam import PartSteam, climate_of, part_steam, run_of
from overbend.plan.verdicts import Judged, verdicts_of
from overbend.plan.woods import wood_of
from overbend.project import Loaded, Project, load
from overbend.project.shop_state import ShopState
from overbend.solver import Cancel, Progress, Stop
from overbend.steam.run import SteamRun
from overbend.stock import MachineLimits, Strip
from overbend.units import Display, System, format_length
from overbend.wood import Value, Wood

__all__ = ["Plan", "open_plan"]


class Plan:
    """Everything computed from one project.

    Parameters
    ----------
    loaded : the project file as read.
    display : how lengths are shown; None: in the file's own unit.
    shop_state : what the shop has and has learnt; nothing when not asked for.
    """

    def __init__(
        self,
        loaded: Loaded,
        display: Display | None = None,
        shop_state: ShopState = ShopState(),  # noqa: B008 - frozen and empty
    ) -> None:
        self.loaded, self.shop_state = loaded, shop_state
        self.display = display or Display(loaded.project.units)

    def length(self, mm: float) -> str:
        """A length as the reader sees it."""
        return format_length(mm, self.display)

    @property
    def project(self) -> Project:
        """The project as read."""
        return self.loaded.project

    @cached_property
    def fingerprint(self) -> str:
        """First 12 digits of the SHA-256 of the project file, to tell versions apart."""
        return hashlib.sha256(self.loaded.text.encode()).hexdigest()[:12]

    @cached_property
    def woods(self) -> dict[str, Wood]:
        """Woods by the project's own names."""
        return {name: wood_of(name, table) for name, table in self.project.wood.items()}

    @cached_property
    def bent(self) -> dict[str, BentPlan]:
        """Bent parts by name, in the file's order."""
        return {
            name: BentPlan(
                name,
                self.project,
                self.woods,
                made_for(name, self.project),
                self.loaded.folder,
                self.display,
                self.loaded.where,
                self.shop_state,
            )
            for name in self.project.bent
        }

    @cached_property
    def strips(self) -> tuple[Strip, ...]:
        """Strips of all bent parts."""
        return tuple(strip for part in self.bent.values() for strip in part.strips)

    @property
    def strips_to_mill(self) -> tuple[Strip, ...]:
        """The same with the spares: counts of strips to mill; without a number, the good ones."""
        return tuple(
            replace(strip, count=spares.mill or strip.count)
            for part in self.bent.values()
            for strip, spares in zip(part.strips, part.risk.spares, strict=True)
        )

    @cached_property
    def piece(self) -> Piece:
        """The piece in space: placement, contacts, joints, marking, mass."""
        return Piece(self.project, self.bent, self.woods)

    @cached_property
    def machines(self) -> tuple[MachineLimits, ...]:
        """Machines that strips go through, with their least sizes."""
        given = self.project.shop.machine
        names = {
            "saw": given.saw,
            "surfacing machine": given.surfacing,
            "thicknessing machine": given.thicknessing,
        }
        return tuple(
            MachineLimits(
                name, m.least_length, m.least_width, m.least_thickness, m is given.thicknessing
            )
            for name, m in names.items()
        )

    @cached_property
    def to_cut(self) -> ToCut | None:
        """What is to be cut and from what; None without a board in the yard or on the rack."""
        return to_cut(self)

    @cached_property
    def cutting(self) -> Cutting | None:
        """Boards to buy and how to cut them; None without a board in the yard or on the rack.

        The search takes as long as the project's cutting table allows.
        """
        return cutting_of(self)

    def cut_with(
        self,
        stop: Stop | None = None,
        progress: Progress | None = None,
        cancel: Cancel | None = None,
    ) -> Cutting | None:
        """Make the cutting plan while telling of progress; it is `cutting` from then on.

        Parameters
        ----------
        stop : when to end before the proof; None: after the time that the project gives it.
        progress : told of each better cost.
        cancel : asked now and then; True ends the search with the best so far.
        """
        made = cutting_of(self, stop, progress, cancel)
        self.__dict__["cutting"] = made
        return made

    @cached_property
    def steamed(self) -> dict[str, PartSteam]:
        """What steam does to each steamed part, by name."""
        return {
            name: part_steam(part)
            for name, part in self.bent.items()
            if part.part.method != "laminate"
        }

    @cached_property
    def steam_run(self) -> SteamRun | None:
        """The steam day; None without a steam box or steamed parts."""
        return run_of(self.bent, self.steamed, self.project)

    @cached_property
    def home_moisture(self) -> Value:
        """Moisture the air of the piece's home holds wood at [%]."""
        return climate_of(self.project.shop.home, "shop.home").moisture()

    @cached_property
    def shop_moisture(self) -> Value:
        """Moisture the shop's air holds wood at [%]."""
        return climate_of(self.project.shop.climate, "shop.climate").moisture()

    @cached_property
    def seasons(self) -> dict[str, tuple[Season, ...]]:
        """How each bend moves from the shop's air to the home's, and over a year."""
        shop, home = self.shop_moisture.value, self.home_moisture.value
        return {name: seasons_of(part, shop, home) for name, part in self.bent.items()}

    @cached_property
    def verdicts(self) -> tuple[Judged, ...]:
        """Everything that was judged: what holds, is close or fails."""
        return verdicts_of(self)

    @cached_property
    def holds(self) -> tuple[Hold, ...]:
        """What waits for the maker."""
        return holds_of(self)


def open_plan(
    path: Path,
    units: str | None = None,
    shop_state: ShopState = ShopState(),  # noqa: B008 - frozen and empty
) -> Plan:
    """Read a project file and plan it; nothing is computed until asked for.

    Parameters
    ----------
    path : the project file.
    units : "mm" or "in" to show lengths in; None: the file's own unit.
    shop_state : what the shop has and has learnt; nothing when not asked for.

    Raises
    ------
    ProjectError
        When the file cannot be read or does not describe a piece.
    UnitError
        For other units.
    """
    if units not in (None, "mm", "in"):
        raise UnitError(f"units {units!r}", "--units", "mm or in")
    loaded = load(path)
    display = None if units is None else Display(cast("System", units))
    return Plan(loaded, display, shop_state)
