"""The piece in space, stage by stage; every stage is computed once, when first asked for."""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import cached_property

import numpy as np

from overbend import frame
from overbend.bend.placing import Datum
from overbend.errors import FrameError
from overbend.frame.contact import Contact, Misfit
from overbend.plan.bent import BentPlan
from overbend.plan.standing import drawn_middle, item_of, spec_of
from overbend.project import BentPart, Project
from overbend.wood import Value, Wood

__all__ = ["Piece", "StraightCut"]

TOUCHING = 0.3  # mm: parts nearer than this without a joint are reported


class StraightCut:
    """Straight pieces cut alike.

    Parameters
    ----------
    name : of the part.
    ids : the pieces.
    length : from shoulder to shoulder along the middle, or as given [mm].
    cut_length : to cut them to: with tenons and the slant of the ends [mm].
    """

    def __init__(self, name: str, ids: tuple[str, ...], length: float, cut_length: float) -> None:
        self.name, self.ids = name, ids
        self.length, self.cut_length = length, cut_length


class Piece:
    """Everything computed about the piece as a whole.

    Parameters
    ----------
    project : the project.
    bent : its bent parts, planned.
    woods : its woods, looked up.
    """

    def __init__(
        self, project: Project, bent: Mapping[str, BentPlan], woods: Mapping[str, Wood]
    ) -> None:
        self.project, self.bent, self.woods = project, bent, woods

    # -- placement ---------------------------------------------------------------------
    @cached_property
    def placed(self) -> dict[str, frame.Placed]:
        """Placed parts by name, in the file's order; parts that stand nowhere are left out."""
        items = []
        for name, part in self.project.part.items():
            line = None
            if isinstance(part, BentPart) and part.stand is not None:
                line = frame.MidLine(drawn_middle(self.bent[name].target))
            item = item_of(name, part, line)
            if item is not None:
                items.append(item)
        return frame.place_all(items)

    @cached_property
    def bodies(self) -> tuple[frame.Body, ...]:
        """Every part in space, in the file's order."""
        return tuple(body for placed in self.placed.values() for body in placed.bodies)

    @cached_property
    def by_id(self) -> dict[str, frame.Body]:
        """The same by id."""
        return {body.id: body for body in self.bodies}

    @cached_property
    def box(self) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
        """Least and greatest x, y, z of the piece [mm].

        Raises
        ------
        FrameError
            When no part has a place.
        """
        if not self.bodies:
            raise FrameError(
                "no part stands anywhere", "part", "at least one part with a place", "add a place"
            )
        boxes = np.array([body.box for body in self.bodies])
        low, high = boxes[:, 0].min(axis=0), boxes[:, 1].max(axis=0)
        return (float(low[0]), float(low[1]), float(low[2])), (
            float(high[0]), float(high[1]), float(high[2]),
        )  # fmt: skip

    # -- contacts and joints -----------------------------------------------------------
    @cached_property
    def joints(self) -> tuple[frame.Joint, ...]:
        """Every joint, in the order of the file's tables."""
        units = self.project.units
        return tuple(
            joint
            for name, table in self.project.joint.items()
            for joint in frame.joints_of(spec_of(name, table, units), self.bodies)
        )

    @cached_property
    def unjoined(self) -> tuple[Contact, ...]:
        """Places where parts touch or overlap and no joint is named."""
        joined = frozenset(frozenset((j.contact.a, j.contact.b)) for j in self.joints)
        return frame.find_contacts(self.bodies, TOUCHING, skip=joined)

    @cached_property
    def contacts(self) -> tuple[Contact, ...]:
        """Every place where parts meet: those of joints first."""
        return (*(joint.contact for joint in self.joints), *self.unjoined)

    @cached_property
    def meeting_holes(self) -> tuple[frame.MeetingHoles, ...]:
        """Mortises and holes of one part that run into each other."""
        return frame.meeting_holes(self.joints)

    @cached_property
    def word(self) -> frame.Word:
        """Worst verdict of all joints; mortises that meet are close at best."""
        words = [joint.word for joint in self.joints]
        meet: list[frame.Word] = ["close"] if self.meeting_holes else []
        return frame.worst_word([*words, *meet])

    @cached_property
    def clashes(self) -> tuple[frame.Clash, ...]:
        """Parts that take the same room, by meshes; those a joint lets in are marked."""
        let_in = [(j.contact.a, j.contact.b) for j in self.joints if j.contact.how == "end"]
        return frame.clashes(self.bodies, let_in)

    # -- what the released shape does to joints ----------------------------------------
    @cached_property
    def misfits(self) -> dict[str, tuple[Misfit, ...]]:
        """By joint: how far each of its bent parts may lie off there, laid at its reference end."""
        return {joint.id: self.misfits_laid(joint) for joint in self.joints}

    def misfits_laid(
        self, joint: frame.Joint, datum: Datum = "reference-end"
    ) -> tuple[Misfit, ...]:
        """How far each bent part of a joint may lie off there.

        Parameters
        ----------
        joint : the joint.
        datum : how the part is laid on its drawing, see :data:`overbend.bend.placing.Datum`.
        """
        c = joint.contact
        return tuple(
            self._misfit(part, s, datum) for part, s in ((c.a, c.s_a), (c.b, c.s_b))
            if self.by_id[part].kind in self.bent
        )  # fmt: skip

    def _misfit(self, part: str, s: float, datum: Datum) -> Misfit:
        low, median, high, at = self._drawn_band(self.by_id[part].kind, datum)
        return frame.misfit_at(part, s, at, low, median, high)

    def _drawn_band(
        self, kind: str, datum: Datum
    ) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
        """Band of a part about its drawing, along and to the left of its line as drawn."""
        plan = self.bent[kind]
        target, at_end = plan.target.curve, datum == "reference-end"
        released, band = (plan.released, plan.band) if at_end else plan.on_chord
        share = band.s / max(float(band.s[-1]), 1e-9)
        at = share * target.length
        gap = released.point(share * released.length) - target.point(at)
        off = (gap * target.normal(at)).sum(axis=1)
        low, median, high = off + band.low, off + band.median, off + band.high
        if plan.target.mirrored != plan.target.reversed:
            low, median, high = -high, -median, -low
        if plan.target.reversed:
            at = target.length - at[::-1]
            low, median, high = low[::-1], median[::-1], high[::-1]
        return low, median, high, at

    @cached_property
    def glue_faces(self) -> tuple[frame.GlueFace, ...]:
        """Clamp against face at every joint."""
        found = []
        for joint in self.joints:
            given = self.project.joint[joint.spec.name].friction
            friction = frame.WET_FRICTION
            if given is not None:
                friction = Value(given, "", "your project file", "yours", friction.name)
            a, b = self.by_id[joint.contact.a], self.by_id[joint.contact.b]
            found.append(frame.glue_face(joint, a, b, friction))
        return tuple(found)

    # -- marking and assembly ----------------------------------------------------------
    @cached_property
    def sticks(self) -> tuple[frame.Stick, ...]:
        """Story sticks, from each part's reference end."""
        from_end = [n for n, part in self.project.bent.items() if part.reference == "end"]
        return frame.story_sticks(self.bodies, self.joints, from_end)

    @cached_property
    def end_cuts(self) -> dict[str, tuple[frame.EndCut, frame.EndCut]]:
        """Saw settings of both ends of every straight piece, by id."""
        return {
            body.id: (frame.end_cut(body, 0), frame.end_cut(body, 1))
            for body in self.bodies
            if body.line.straight
        }

    @cached_property
    def spacers(self) -> tuple[frame.Spacer, ...]:
        """Spacers for parts in rows."""
        rows = {name: p.row for name, p in self.placed.items() if p.row is not None}
        return frame.spacers_of(rows)

    @cached_property
    def assembly(self) -> frame.Assembly:
        """Order of glue-ups."""
        return frame.assembly_of(self.bodies, self.joints)

    @cached_property
    def straight(self) -> dict[str, tuple[StraightCut, ...]]:
        """Straight parts by name: pieces cut alike, longest first."""
        return {name: self._cuts_of(name) for name in self.project.straight}

    def _cuts_of(self, name: str) -> tuple[StraightCut, ...]:
        part = self.project.straight[name]
        if name not in self.placed:
            from overbend.project import instances

            length = part.length or 0.0
            return (StraightCut(name, instances(name, part), length, length),)
        groups: dict[tuple[float, float], list[str]] = {}
        for body in self.placed[name].bodies:
            key = (round(body.length, 2), round(self._cut_length(body), 2))
            groups.setdefault(key, []).append(body.id)
        return tuple(StraightCut(name, tuple(groups[k]), *k) for k in sorted(groups, reverse=True))

    def _cut_length(self, body: frame.Body) -> float:
        """Length with the slant of the ends and the tenons beyond them [mm]."""
        along = body.tangent(0.0)
        low, high = (np.array(body.extent(along)) - float(body.point(0.0) @ along)).tolist()
        for joint in self.joints:
            for block in joint.blocks:
                if block.part == body.id and block.what == "tenon" and joint.contact.gap > -0.5:
                    tip = block.corners @ along - float(body.point(0.0) @ along)
                    low, high = min(low, float(tip.min())), max(high, float(tip.max()))
        return float(high - low)

    # -- mass --------------------------------------------------------------------------
    @cached_property
    def densities(self) -> dict[str, float]:
        """Density of the wood of each part [kg/m3]: of a stack by the thickness of its strips."""
        found = {}
        for name, part in self.project.part.items():
            if isinstance(part, BentPart):
                weighed = [(p.thickness, self._density(p.wood)) for p in part.plies]
                found[name] = sum(t * d for t, d in weighed) / math.fsum(t for t, _ in weighed)
            else:
                found[name] = self._density(part.wood)
        return found

    def woods_of(self, kind: str) -> tuple[str, ...]:
        """Species ids of a part's woods, the thickest share of its stack first."""
        part = self.project.part[kind]
        if not isinstance(part, BentPart):
            return (self.woods[part.wood].species.id,)
        depth: dict[str, float] = {}
        for ply in part.plies:
            name = self.woods[ply.wood].species.id
            depth[name] = depth.get(name, 0.0) + ply.thickness
        return tuple(sorted(depth, key=lambda name: -depth[name]))

    def _density(self, wood: str) -> float:
        return self.woods[wood].density().value

    @cached_property
    def mass(self) -> frame.PieceMass:
        """Mass and centre of gravity of every part and of the piece."""
        return frame.piece_mass(self.bodies, self.joints, self.densities)
