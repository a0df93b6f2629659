"""One bent part, stage by stage; every stage is computed once, when first asked for."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import cached_property
from pathlib import Path
from typing import TypeVar

import numpy as np

from overbend.bend import (
    Band,
    Layup,
    Ply,
    Relaxation,
    Spread,
    lay_on,
    overbent,
    relax,
    sample_release,
)
from overbend.bend.placing import Datum
from overbend.bend.strap import StrapSheet
from overbend.curve import Curve
from overbend.errors import LayupError, OverbendError
from overbend.form import FormPlan, FormSpec, Loads, plan_form
from overbend.form.made import MadeForm as FormAsMade
from overbend.plan.layup import SetUse, StripUse, set_of, strip_uses
from overbend.plan.made import MadeThings, form_as_made
from overbend.plan.risk import (
    PartRisk,
    WoodStrength,
    part_risk,
    strip_strength,
    wood_strength,
)
from overbend.plan.shape import Shape, named_stations, shape_of
from overbend.plan.strap import LEVER, strap_of
from overbend.plan.target import Target, target_of
from overbend.plan.woods import HOLD_DOWN, pressure_of
from overbend.project import BentPart, Project, build_curve, instances
from overbend.project.shop_state import ShopState
from overbend.stock import Allowances, Strip, neutral_lines, strips_for
from overbend.units import Display
from overbend.wood import Wood

__all__ = ["BentPlan"]

T = TypeVar("T")

BAND_STATIONS, BAND_DRAWS, BAND_SEED = 200, 2000, 1


class BentPlan:
    """Everything computed about one bent part.

    Parameters
    ----------
    name : of the part.
    project : the whole project.
    woods : its woods, looked up.
    made : what has been made for this part already.
    folder : where drawing files the project names are looked for.
    display : how lengths are shown in sentences.
    where : file, line and key of a place in the project file, for messages.
    shop_state : what the shop has and has learnt.
    """

    def __init__(
        self,
        name: str,
        project: Project,
        woods: Mapping[str, Wood],
        made: MadeThings,
        folder: Path,
        display: Display,
        where: Callable[..., str],
        shop_state: ShopState,
    ) -> None:
        self.name, self.project, self.woods, self.made = name, project, woods, made
        self.folder, self.display, self.where = folder, display, where
        self.shop_state = shop_state
        self.part: BentPart = project.bent[name]

    # -- the target ------------------------------------------------------------
    @cached_property
    def drawn(self) -> Curve:
        """The curve as the maker drew it."""
        try:
            return build_curve(self.part.curve, self.project, self.folder)
        except OverbendError as error:
            raise error.at(self.where("curve", self.part.curve)) from error

    @cached_property
    def target(self) -> Target:
        """Middle line at rest, in the bench's frame."""
        return self._here(lambda: target_of(self.drawn, self.part))

    @cached_property
    def ids(self) -> tuple[str, ...]:
        """Stable ids of the single parts."""
        return instances(self.name, self.part)

    @property
    def count(self) -> int:
        """How many are to be made."""
        return len(self.ids)

    # -- the stack -------------------------------------------------------------
    @cached_property
    def strips_used(self) -> tuple[StripUse, ...]:
        """The strips of the stack, outside in."""
        return strip_uses(self.part, self.woods, self.made.thickness)

    @cached_property
    def set(self) -> SetUse:
        """Share of the bend the strips keep by themselves."""
        return self._here(
            lambda: set_of(
                self.part, self.strips_used, self.target.curve, self.made.trial, self.shop_state
            )
        )

    @cached_property
    def layup(self) -> Layup:
        """The stack for the springback equations."""
        plies = (
            Ply(s.thickness, s.modulus.value, self.set.median, s.wood) for s in self.strips_used
        )
        return self._here(lambda: Layup(tuple(plies)))

    @property
    def depth(self) -> float:
        """Depth of the stack [mm]."""
        return self.layup.depth

    # -- the form and the release ----------------------------------------------
    @cached_property
    def set_curve(self) -> Curve | None:
        """Middle line on the form on which strips took their set, if it is another one."""
        name = self.part.form.steam_on
        if name == "same":
            return None
        drawn = build_curve(name, self.project, self.folder)
        turned = drawn.reversed() if self.target.reversed else drawn
        return turned.mirrored() if self.target.mirrored else turned

    @cached_property
    def designed(self) -> Relaxation:
        """The form whose release is the target, with which place is which."""
        return self._here(lambda: overbent(self.layup, self.target.curve, self.set_curve))

    @cached_property
    def relaxation(self) -> Relaxation:
        """Release from the form there is: the one made, else the one designed."""
        if self.made.form is None:
            return self.designed
        return self._here(lambda: relax(self.layup, self.made_form.glued, self.set_curve))

    @cached_property
    def made_form(self) -> FormAsMade:
        """The form that was made, from its measurements."""
        measured = self.made.form
        if measured is None:
            raise LayupError("no form was made", f"made: {self.name}", "a made form")
        return self._here(lambda: form_as_made(measured, self.designed.form, self._face_offset))

    @property
    def face_side(self) -> float:
        """Side of the middle line that lies on the form: 1 left (concave), -1 right (convex)."""
        return self.form_spec.sign

    @property
    def face_offset(self) -> float:
        """Distance of the part's face that lies on the form from mid-depth [mm]."""
        return self.face_side * self.depth / 2

    @property
    def _face_offset(self) -> float:
        """Distance of the form's face from mid-depth, positive to the left [mm]."""
        return self.form_spec.sign * (self.depth / 2 + self.form_spec.between)

    @property
    def glued(self) -> Curve:
        """Middle line on the form."""
        return self.relaxation.form

    @cached_property
    def released(self) -> Curve:
        """Middle line after release, laid on the target at the reference end."""
        return lay_on(self.relaxation.released, self.target.curve)

    @cached_property
    def misfit(self) -> float:
        """Greatest distance of the released line from the target, same places [mm]."""
        share = np.linspace(0.0, 1.0, 101)
        target, off = self.target.curve, self.released
        gap = target.point(share * target.length) - off.point(share * off.length)
        return float(np.hypot(gap[:, 0], gap[:, 1]).max())

    @cached_property
    def spread(self) -> Spread:
        """What the band is drawn from."""
        base = Spread()
        if self.set.learnt is not None:
            return self.set.learnt.spread(base)
        return base.with_set(self.set.sd_logit) if self.set.median > 0.0 else base

    @cached_property
    def band(self) -> Band:
        """Where released parts are to be expected, nine in ten, laid at the reference end."""
        return self._here(lambda: self._sampled("reference-end"))

    @cached_property
    def on_chord(self) -> tuple[Curve, Band]:
        """Released line and band of parts laid by their chords, ways and middles agreeing."""
        datum: Datum = "chord-middle"
        line = self._here(lambda: lay_on(self.relaxation.released, self.target.curve, datum))
        return line, self._here(lambda: self._sampled(datum))

    def _sampled(self, datum: Datum) -> Band:
        return sample_release(
            self.layup,
            self.glued,
            self.spread,
            set_curve=self.set_curve,
            datum=datum,
            stations=BAND_STATIONS,
            draws=BAND_DRAWS,
            seed=BAND_SEED,
        )

    @property
    def springback(self) -> float:
        """Angle lost on release as a share of the angle on the form; 0 for a straight one."""
        turned = self.glued.turn
        total = math.fsum(abs(p.turn) for p in self.glued.pieces)
        if total == 0.0:
            return 0.0
        if abs(turned) > 0.5 * total:
            return 1.0 - self.relaxation.released.turn / turned
        kept = math.fsum(abs(p.turn) for p in self.relaxation.released.pieces)
        return 1.0 - kept / total

    @cached_property
    def shapes(self) -> dict[str, Shape]:
        """Sizes of the target, the line on the form and the released line."""
        lines = {"target": self.target.curve, "form": self.glued, "released": self.released}
        return {name: shape_of(line) for name, line in lines.items()}

    # -- what to build and to mill ---------------------------------------------
    @cached_property
    def form_spec(self) -> FormSpec:
        """What is asked of the form."""
        form, shop = self.part.form, self.project.shop
        return FormSpec(
            side=form.side,
            parts=form.parts,
            run_out=form.run_out,
            depth=form.depth,
            strap=form.strap,
            liner=form.liner,
            sheet_thickness=form.sheet or shop.sheet_thickness,
            reference="start",
            clamp_spacing=form.clamp_spacing,
            clamp_hole=form.clamp_hole,
            trim=shop.trim,
            stock_sheet=shop.sheet,
        )

    @cached_property
    def loads(self) -> Loads:
        """What presses on the form."""
        kept = math.fsum(
            (1.0 - p.set_fraction) * p.modulus * p.thickness**3 / 12.0 for p in self.layup.plies
        )
        clamps = self.project.shop.clamp
        most = max(clamps, key=lambda c: c.count) if clamps else None
        return Loads(
            pressure_of(self.part, self.project).value or HOLD_DOWN.value,
            self.part.width * kept,
            most.force if most else None,
            most.count if most else None,
        )

    @cached_property
    def form(self) -> FormPlan:
        """The form to build; for a form already made, the one the drawing asks for today."""
        return self._form_on(self.designed.form)

    @cached_property
    def form_used(self) -> FormPlan:
        """The form that parts are bent on: the one made, as measured, else the one to build."""
        return self.form if self.made.form is None else self._form_on(self.glued)

    def _form_on(self, glued: Curve) -> FormPlan:
        return self._here(
            lambda: plan_form(
                replace(glued, stations=named_stations(glued)),
                self.depth,
                self.part.width + self.project.shop.width_allowance,
                self.form_spec,
                loads=self.loads,
                display=self.display,
            )
        )

    @cached_property
    def strips(self) -> tuple[Strip, ...]:
        """What to mill."""
        shop = self.project.shop
        round_up = 5.0 if self.project.units == "mm" else 6.35
        allow = Allowances(shop.trim, shop.width_allowance, shop.planer_allowance, round_up)
        plies = [(s.wood, s.thickness) for s in self.strips_used]
        hot, strap = self.part.method != "laminate", self.part.form.strap > 0.0
        neutral = neutral_lines([t for _, t in plies], hot=hot, strap=strap)
        return strips_for(self.name, self.glued, plies, self.part.width, self.count, allow, neutral)

    @cached_property
    def wood_strengths(self) -> dict[str, WoodStrength]:
        """What each wood of the stack stands, before the shop's own trial bends."""
        return {
            name: wood_strength(
                self.part, self.woods[name], math.tan(self.project.wood[name].grain_slope)
            )
            for name in dict.fromkeys(s.wood for s in self.strips_used)
        }

    @cached_property
    def risk(self) -> PartRisk:
        """Strain along the form, chance of breaking, spares."""
        shop, tightest = self.project.shop, abs(self.glued.tightest[1])
        strengths = [
            strip_strength(s, self.wood_strengths[s.wood], self.shop_state, s.thickness * tightest)
            for s in self.strips_used
        ]
        return self._here(
            lambda: part_risk(
                self.glued,
                strengths,
                self.strips,
                strips_per_board=shop.strips_per_board,
                confidence=min(shop.confidence / 100.0, 0.999),
            )
        )

    @property
    def lever(self) -> float:
        """Length of the levers of a strapped bend [mm]."""
        return self.part.form.lever or LEVER

    @cached_property
    def strap(self) -> StrapSheet | None:
        """The strap sheet; None when it is bent without a strap."""
        shop = self.project.shop
        return self._here(lambda: strap_of(self.part, self.glued, self.strips, self.woods, shop))

    def _here(self, compute: Callable[[], T]) -> T:
        """Run a stage; an error says which part it belongs to."""
        try:
            return compute()
        except OverbendError as error:
            place = self.where("part", self.name)
            raise (error if place in error.where else error.at(place)) from error
