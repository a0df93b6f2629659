"""Sentences that say why a form is as it is, and what to look at before sawing it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from overbend.form.depth import MOST_GIVE, MOST_SAG, WALL
from overbend.form.spacing import CLOSEST, JAW, TURN_BETWEEN
from overbend.units import Display, format_angle, format_force, format_length, format_pressure

if TYPE_CHECKING:
    from overbend.form.plan import FormPlan

__all__ = ["Better", "Facts", "explained"]

_SLIPS = math.radians(10.0)
_STEEP = math.radians(45.0)
_SAME = 1.005  # a spacing this much over another reads the same


@dataclass(frozen=True)
class Better:
    """Another arrangement of the clamps that presses harder.

    Parameters
    ----------
    hole : diameter of its holes [mm]; 0 for none.
    reached : pressure [MPa].
    clamps : how many it takes.
    """

    hole: float
    reached: float
    clamps: int


@dataclass(frozen=True)
class Facts:
    """What the sentences need beside the plan.

    Parameters
    ----------
    turned : angle between the face's extreme headings [rad].
    lean : greatest angle between the face and the line square to which it is closed [rad].
    left_out : clamps that the spacing asked for and that found no room.
    hole, front : diameter of clamp holes and the wall before them [mm].
    better : what the clamps would reach with holes and spacing left to the form; None when
        that is no better.
    """

    turned: float
    lean: float
    left_out: int
    hole: float
    front: float
    better: Better | None = None


def explained(plan: FormPlan, facts: Facts, display: Display) -> FormPlan:
    """Return the plan with its reasons and warnings written in."""
    say = _Say(plan, facts, display)
    said = None if plan.pressed is None else replace(plan.pressed, reason=say.pressed())
    return replace(plan, pressed=said, reasons=say.reasons(), warnings=say.warnings())


class _Say:
    """The sentences, one method a topic; an empty sentence is left out."""

    def __init__(self, plan: FormPlan, facts: Facts, display: Display) -> None:
        self.plan, self.facts, self.display = plan, facts, display
        self.body = plan.parts[0].body

    def mm(self, length: float) -> str:
        return format_length(length, self.display)

    def reasons(self) -> tuple[str, ...]:
        said = (
            self._face(), self._back(), self._depth(), self._run_out(), self._spacing(),
            self._enough(), self._seats(), self._cauls(), self._second(), self._layers(),
        )  # fmt: skip
        return tuple(s for s in said if s)

    def warnings(self) -> tuple[str, ...]:
        said = (
            self._weak(), self._no_holes(), self._asked_wide(), self._too_little_force(),
            self._too_few(), self._left_out(), self._opened(), self._slipping(), self._steep(),
            self._off_sheet(), self._unpinned(),
        )  # fmt: skip
        return tuple(s for s in said if s)

    # -- reasons -----------------------------------------------------------------------

    def _face(self) -> str:
        spec, half = self.plan.spec, self.mm(self.plan.depth_of_stack / 2)
        strap = f", strap {self.mm(spec.strap)}" if spec.strap and spec.side == "convex" else ""
        liner = f", liner {self.mm(spec.liner)}" if spec.liner else ""
        d = self.mm(abs(self.body.face.d))
        return f"The face lies {d} from mid-depth on the {spec.side} side: half the stack {half}{strap}{liner}."  # noqa: E501

    def _back(self) -> str:
        turned = format_angle(self.facts.turned)
        if self.body.back == "straight":
            return (
                f"The back is straight: the face turns only {turned}, and a straight back is "
                "one cut and stands by itself."
            )
        if self.body.back == "parallel":
            return (
                f"The back runs parallel to the face: it turns {turned}, and so the two jaws "
                "of a clamp stay parallel all along the bend."
            )
        return (
            f"The body is solid behind the bend: the face turns {turned} so tightly that no "
            "clamp would fit into what could be sawn out."
        )

    def _depth(self) -> str:
        need, depth = self.plan.need, self.mm(self.body.depth)
        if self.plan.spec.depth is not None:
            return f"The body is {depth} deep, as asked; {self.mm(need.depth)} is needed."
        why = {
            "practice": "the least that is handy (common practice, no source)",
            "holes": f"{self.mm(self.facts.front)} of wall, the clamp hole and a wall behind it",
            "give": f"so that it gives away at most {100 * MOST_GIVE:.1f} % of the bend to the strips",  # noqa: E501
            "sag": f"so that it sags at most {self.mm(MOST_SAG)} between clamps",
            "stress": f"so that it bends at no more than {format_pressure(self.plan.spec.material.bending, self.display)}",  # noqa: E501
        }[need.governs]
        return f"The body is {depth} deep: {why}."

    def _run_out(self) -> str:
        spec, reach = self.plan.spec, self.body.face.reach
        if reach <= spec.run_out:
            return ""
        return (
            f"The face runs on {self.mm(reach)} beyond the part instead of "
            f"{self.mm(spec.run_out)}: it carries the trim and the stop."
        )

    def _spacing(self) -> str:
        apart, wanted = self.plan.apart, self.plan.pitch.widest
        if len(self.plan.clamps) < 2:
            return ""
        if apart > _SAME * wanted:
            return f"Clamps stand up to {self.mm(apart)} apart: {self._crowded()}"
        return f"Clamps stand at most {self.mm(apart)} apart: {self._rule()}{self._turning()}."

    def _rule(self) -> str:
        """What keeps the clamps from standing further apart."""
        pitch = self.plan.pitch
        what = {
            "asked": f"{self.mm(pitch.widest)} is asked",
            "spread": f"pressure spreads over {self.mm(pitch.spread)} (twice the thickness it "
            "spreads through, the 45° rule, common practice, no source)",
            "force": f"one clamp's force covers {self.mm(pitch.widest)}",
            "closest": f"they are not set closer than {self.mm(CLOSEST)} (assumed), though one "
            f"clamp's force covers only {self.mm(pitch.covered or CLOSEST)}",
        }
        return what[pitch.governs]

    def _turning(self) -> str:
        """Added where the bend sets the clamps closer still."""
        kappa = abs(self.plan.glued.tightest[1])
        if kappa * self.plan.pitch.widest <= TURN_BETWEEN:
            return ""
        return f", and the bend turns at most {format_angle(TURN_BETWEEN, 0)} between two"

    def _crowded(self) -> str:
        """What keeps the clamps from standing as close as they should."""
        wanted = self.mm(self.plan.pitch.widest)
        if self.facts.left_out > 0:
            return f"there is no room for all of them; {wanted} is wanted."
        if self.plan.clamps[0].kind == "hole":
            between = self.mm(self.facts.hole + WALL)
            return (
                f"their holes keep {between} from middle to middle, so that the sheet between "
                f"two does not break; {wanted} is wanted."
            )
        return (
            f"closer, their jaws would meet ({self.mm(JAW)} from one to the next, set from both "
            f"edges in turn); {wanted} is wanted."
        )

    def _seats(self) -> str:
        if not self.plan.clamps:
            return ""
        if self.plan.clamps[0].kind == "hole":
            return (
                f"Clamps sit in {self.mm(self.facts.hole)} holes, so that each pushes square "
                "to the face."
            )
        two = "both backs" if self.plan.spec.parts == 2 else "the back"
        return f"Clamps bear on {two}; no holes are needed."

    def _cauls(self) -> str:
        if not self.plan.clamps:
            return ""
        opening = self.mm(max(c.opening for c in self.plan.clamps))
        if self.plan.spec.parts == 2:
            return f"They open to {opening}; there are no cauls."
        caul = self.mm(self.plan.spec.caul_thickness)
        return f"They open to {opening}, a caul {caul} thick on the wood counted in."

    def _second(self) -> str:
        spec = self.plan.spec
        if spec.parts == 1:
            return ""
        gap = self.mm(self.plan.depth_of_stack + spec.liner + spec.strap)
        more = ["liner"] * (spec.liner > 0) + ["strap"] * (spec.strap > 0)
        said = {0: "the stack alone", 1: f"stack and {''.join(more)}", 2: "stack, liner and strap"}
        return f"The two faces are {gap} apart everywhere: {said[len(more)]}."

    def _layers(self) -> str:
        rows = self.plan.parts[0].layers
        spare = f", {self.mm(rows.spare)} more than the wood" if rows.spare > 0.05 else ""
        count = "1 layer" if rows.count == 1 else f"{rows.count} layers"
        sheet = self.mm(rows.sheet_thickness)
        return f"{count} of {sheet} make {self.mm(rows.thickness)}{spare}."

    # -- warnings ----------------------------------------------------------------------

    def _weak(self) -> str:
        plan = self.plan
        need_it = (
            f"make it {self.mm(plan.need.depth)} deep"
            if plan.need.within
            else "use stiffer sheet or more layers"
        )
        if not math.isfinite(plan.give + plan.sag):
            return f"Clamp holes take the whole depth of the body where it is least: {need_it}."
        if plan.give > MOST_GIVE:
            given = f"{100 * plan.give:.1f} % of the bend"
            return f"The body gives away {given} to the strips: {need_it}."
        if plan.sag > MOST_SAG:
            return f"The body sags {self.mm(plan.sag)} between clamps: {need_it}."
        if plan.stress > plan.spec.material.bending:
            stress = format_pressure(plan.stress, self.display)
            return f"The body is bent at {stress}, above what is allowed: {need_it}."
        return ""

    def _no_holes(self) -> str:
        asked = self.plan.spec.clamp_hole
        if not asked or any(p.holes for p in self.plan.parts):
            return ""
        return (
            f"There is no room for {self.mm(asked)} clamp holes in a body "
            f"{self.mm(self.body.depth)} deep: clamps bear on its back. "
            "Give it more depth, or ask for smaller holes."
        )

    def _asked_wide(self) -> str:
        pitch = self.plan.pitch
        if pitch.governs != "asked" or pitch.widest <= pitch.spread:
            return ""
        return (
            f"Clamps {self.mm(pitch.widest)} apart leave the glue between them unpressed: "
            f"pressure spreads over {self.mm(pitch.spread)}. Set them closer or use thicker cauls."
        )

    def pressed(self) -> str:
        """Whether the clamps press as hard as wanted, with the numbers."""
        return f"{self._pressing()}." if self.plan.pressed else ""

    def _pressing(self) -> str:
        found = self.plan.pressed
        if found is None:
            return ""
        force, most = format_force(found.force, self.display), self.mm(found.most)
        wanted = format_pressure(found.wanted, self.display)
        if found.word == "holds":
            return (
                f"Holds: a clamp of {force} brings the {wanted} wanted to all the wood it presses, "
                f"at most {most}"
            )
        reached = format_pressure(found.reached, self.display)
        return (
            f"{found.word.capitalize()}: a clamp of {force} has up to {most} of wood to press "
            f"and brings the pressure there to {reached} of the {wanted} wanted"
        )

    def _enough(self) -> str:
        found = self.plan.pressed
        return self.pressed() if found is not None and found.word == "holds" else ""

    def _too_little_force(self) -> str:
        found = self.plan.pressed
        if found is None or found.word == "holds":
            return ""
        return f"{self._pressing()}: {self._press_harder()}."

    def _press_harder(self) -> str:
        """What would bring more pressure."""
        better = self.facts.better
        if better is not None:
            how = f"with {self.mm(better.hole)} clamp holes" if better.hole else "without holes"
            reached = format_pressure(better.reached, self.display)
            return (
                f"leave clamp holes and spacing to the form, and {better.clamps} clamps "
                f"{how} bring {reached}"
            )
        return "use stronger clamps or two side by side"

    def _too_few(self) -> str:
        needed, there = len(self.plan.clamps), self.plan.loads.clamp_count
        if there is None or needed <= there:
            return ""
        return (
            f"It takes {needed} clamps and the shop has {there}: get the rest before any glue is "
            "mixed, or use stronger ones further apart."
        )

    def _left_out(self) -> str:
        missing = self.facts.left_out
        if missing <= 0:
            return ""
        count = "one clamp is" if missing == 1 else f"{missing} clamps are"
        return (
            f"For want of room {count} left out: draw the wood down with a strap where the row of "
            "clamps has a gap, and look for open joints there."
        )

    def _opened(self) -> str:
        most = max((c.spacing for c in self.plan.clamps), default=0.0)
        spread = self.plan.pitch.spread
        if most <= 1.25 * spread or self.plan.pitch.governs == "asked":
            return ""
        return (
            f"One clamp has {self.mm(most)} of wood to press, more than the {self.mm(spread)} "
            "that pressure spreads over: use a shaped caul or a strap there."
        )

    def _slipping(self) -> str:
        slip = max((c.slip for c in self.plan.clamps), default=0.0)
        if slip <= _SLIPS:
            return ""
        return (
            f"A clamp's jaw stands {format_angle(slip, 0)} from square on the back and may slip: "
            "cut a notch for it, or give the form clamp holes."
        )

    def _steep(self) -> str:
        if self.plan.spec.parts == 1 or self.facts.lean <= _STEEP:
            return ""
        return (
            f"The second form closes along one line, and the face leans up to "
            f"{format_angle(self.facts.lean, 0)} from it: the strips are hardly pressed there. "
            "Use one part with a strap, or saw the second into pieces."
        )

    def _off_sheet(self) -> str:
        rows = [p.layers for p in self.plan.parts if not p.layers.per_sheet]
        if not rows:
            return ""
        a, b = self.plan.spec.stock_sheet
        return (
            f"A layer takes {self.mm(rows[0].box[0])} x {self.mm(rows[0].box[1])} and does not fit "
            f"a sheet of {self.mm(a)} x {self.mm(b)}: join each layer from two pieces, the joints "
            "staggered."
        )

    def _unpinned(self) -> str:
        if all(p.layers.count == 1 or len(p.pins) >= 2 for p in self.plan.parts):
            return ""
        return "There is no room for two dowels between the clamp holes: line the layers up by eye."
