"""Planning again after every change: quickly while something is dragged, fully when it rests.

A part whose inputs are what they were keeps everything computed for it. While the maker drags,
the band is drawn from fewer samples and the middle line of a part drawn by its face is fitted
to a coarser tolerance; both are far below what can be seen on the page, and neither is used
for anything that is built.
"""

from __future__ import annotations

from functools import cached_property
from pathlib import Path
from typing import NamedTuple

from overbend.bend import Band, sample_release
from overbend.plan import BentPlan, Plan
from overbend.plan.piece import Piece
from overbend.plan.steam import PartSteam, part_steam
from overbend.plan.target import Target, target_of
from overbend.project import Loaded, Project
from overbend.project.shop_state import ShopState
from overbend.units import Display
from overbend.wood import Wood

__all__ = ["DraftPart", "Replanner"]

_DRAWS, _STATIONS, _SEED = 250, 80, 1
_WITHOUT_CURVE = frozenset({"ids", "strips_used", "wood_strengths", "form_spec"})
"""Stages of a part that do not ask how it is bent."""
_TOLERANCE = 0.1  # mm; a fortieth of a pixel on the page, at a quarter of full size


class DraftPart(BentPlan):
    """A bent part while it is dragged: the same equations, coarser samples."""

    @classmethod
    def of(cls, part: BentPlan) -> DraftPart:
        """Return the same part, nothing computed yet."""
        draft = cls.__new__(cls)
        draft.__dict__.update(vars(part))
        return draft

    @cached_property
    def target(self) -> Target:
        """Middle line at rest, in the bench's frame."""
        return self._here(lambda: target_of(self.drawn, self.part, _TOLERANCE))

    @cached_property
    def band(self) -> Band:
        """Where released parts are to be expected, from fewer samples."""
        return self._here(
            lambda: sample_release(
                self.layup, self.glued, self.spread, set_curve=self.set_curve,
                stations=_STATIONS, draws=_DRAWS, seed=_SEED, relaxation=self.relaxation,
            )
        )  # fmt: skip


class Replanner:
    r"""Makes plans of one project and keeps what did not change; for one thread.

    Examples
    --------
    >>> from overbend.project import read
    >>> first = Replanner().plan(read('schema = 1\nname = "Stool"\nunits = "mm"'), Display())
    >>> first.project.name, first.bent
    ('Stool', {})
    """

    def __init__(self) -> None:
        self._parts: dict[tuple[str, bool, str], tuple[_Inputs, BentPlan]] = {}
        self._steam: dict[str, tuple[BentPlan, PartSteam]] = {}
        self._piece: Piece | None = None
        self._woods: tuple[object, dict[str, Wood]] | None = None
        self.shop_state = ShopState()

    def plan(self, loaded: Loaded, display: Display, draft: bool = False) -> Plan:
        """Plan a project, with the parts that are still the same.

        Parameters
        ----------
        loaded : the project file as read.
        display : the reader's units.
        draft : whether something is being dragged.
        """
        plan = Plan(loaded, display, self.shop_state)
        if self._woods is not None and self._woods[0] == plan.project.wood:
            plan.__dict__["woods"] = self._woods[1]
        self._woods = plan.project.wood, plan.woods
        plan.__dict__["bent"] = {
            name: self._part(plan, part, draft) for name, part in plan.bent.items()
        }
        if not draft:
            plan.__dict__["piece"] = self._piece = self._whole(plan)
        return plan

    def _whole(self, plan: Plan) -> Piece:
        """The piece in space as it was when nothing in it changed, else a fresh one."""
        kept = self._piece
        same = kept is not None and kept.project == plan.project
        if kept is not None and same and all(kept.bent[n] is p for n, p in plan.bent.items()):
            return kept
        return plan.piece

    def _part(self, plan: Plan, fresh: BentPlan, draft: bool) -> BentPlan:
        """The part as it was when its inputs are the same, else the fresh one."""
        slot = (fresh.name, draft, plan.display.system)
        inputs = _inputs(fresh, plan.project, plan.loaded.folder)
        before = self._parts.get(slot)
        if before is not None and before[0] == inputs:
            kept = before[1]
            kept.project, kept.woods, kept.where = fresh.project, fresh.woods, fresh.where
            return kept
        part = DraftPart.of(fresh) if draft else fresh
        if before is not None and before[0].beside == inputs.beside:
            kept_of = vars(before[1])
            part.__dict__.update({name: kept_of[name] for name in _WITHOUT_CURVE & kept_of.keys()})
        self._parts[slot] = (inputs, part)
        return part

    def steamed(self, plan: Plan) -> dict[str, PartSteam]:
        """What steam does to each steamed part; kept for parts that are the same."""
        found = {
            name: self._steam_of(name, part, plan.display.system)
            for name, part in plan.bent.items()
            if part.part.method != "laminate"
        }
        plan.__dict__["steamed"] = found
        return found

    def _steam_of(self, name: str, part: BentPlan, system: str) -> PartSteam:
        slot = f"{name} {system}"
        before = self._steam.get(slot)
        if before is None or before[0] is not part:
            self._steam[slot] = before = (part, part_steam(part))
        return before[1]


class _Inputs(NamedTuple):
    """Everything a part's numbers depend on: its curves, and what stands beside them."""

    curves: object
    beside: object


def _inputs(bent: BentPlan, project: Project, folder: Path) -> _Inputs:
    part = bent.part
    curves = [project.curve.get(n) for n in (part.curve, part.form.steam_on)]
    stamps = [_stamp(folder / c.file) for c in curves if c is not None and c.file]
    shop = project.wood, project.adhesive, project.shop, project.units
    return _Inputs((curves, stamps), (part, bent.made, bent.shop_state, *shop))


def _stamp(file: Path) -> tuple[int, int]:
    """Time and size of a drawing the project names."""
    try:
        found = file.stat()
    except OSError:
        return 0, 0
    return found.st_mtime_ns, found.st_size
