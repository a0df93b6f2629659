"""Joints of a part's end: tenons, housings, dowels in end grain, coped shoulders."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from overbend.curve import Floats
from overbend.errors import FrameError
from overbend.frame import joint_rules as rules
from overbend.frame.contact import Contact
from overbend.frame.face_profile import distances_to
from overbend.frame.joint_checks import hole_checks, way_through
from overbend.frame.joint_records import Block, Check, Cut, Joint, JointSpec, Word, at_most
from overbend.frame.solid import Body

__all__ = ["coped", "dowelled_end", "housed", "mortise_tenon", "round_tenon"]

DEEPER = 1.0  # mm a mortise is deeper than its tenon is long, for glue
_TWO_DOWELS = 6.0  # diameters of rail width from which two dowels stand side by side
_ALONG_GRAIN = math.radians(20.0)
_SPRUNG = math.radians(5.0)


@dataclass(frozen=True, eq=False)
class _End:
    """An end of one part at the face of another.

    Parameters
    ----------
    a, b, contact : the two parts and where they meet.
    into : direction of the end into b, shape (3,).
    wide, thin : sizes of a's section: along b's grain, and across it [mm].
    across : direction of `wide`, shape (3,).
    deep : way through b along `into` [mm].
    room : size of b square to `into` and to its own line [mm].
    """

    a: Body
    b: Body
    contact: Contact
    into: Floats
    wide: float
    thin: float
    across: Floats
    deep: float
    room: float

    @classmethod
    def of(cls, contact: Contact, a: Body, b: Body) -> _End:
        axes = a.axes(contact.s_a)
        into = axes[:, 0] * (2.0 * contact.end - 1.0)
        grain = np.abs(b.tangent(contact.s_b) @ axes)
        by_width = grain[2] >= grain[1] if max(grain[1:]) > 0.5 else a.width >= a.depth
        across = axes[:, 2] if by_width else axes[:, 1]
        sizes = (a.width, a.depth) if by_width else (a.depth, a.width)
        deep = way_through(b, contact.point, into)
        room = b.width if contact.face_b in ("left", "right") else b.depth
        if contact.face_b in ("start", "end"):
            room = min(b.width, b.depth)
        return cls(a, b, contact, into, *sizes, across, deep, room)

    @property
    def closing(self) -> Floats:
        """Direction it closes in: its own, but a bent part is sprung in square to b's face."""
        return self.into if self.a.line.straight else -self.contact.normal

    def sprung(self) -> list[str]:
        """What to say of a bent part whose end stands at an angle."""
        bent = not self.a.line.straight and self.contact.angle > _SPRUNG
        return ["its end stands at an angle: spring it in"] if bent else []

    @property
    def inserted(self) -> float:
        """How far a as drawn already reaches into b [mm]."""
        return max(-self.contact.gap, 0.0)

    def length(self, spec: JointSpec, ruled: float) -> tuple[float, str]:
        """Length of tenon or depth of housing, and how it was found."""
        if spec.length is not None:
            found, how = spec.length, "length as given"
        elif self.inserted > 0.5:
            found, how = self.inserted, "length as drawn"
        elif spec.through:
            return self.deep, "length right through"
        else:
            return ruled, "length two thirds of the way through, 5 mm left behind it at least"
        if found > self.deep + 1e-6 and not spec.through:
            raise FrameError(
                f"{found:.4g} mm into {self.b.id}, which is {self.deep:.4g} mm through there",
                allowed=f"less than {self.deep:.4g} mm",
                todo="give a shorter length, or through = true",
            )
        return found, how

    def block(self, what: Cut, part: str, size: tuple[float, float], length: float,
              round_: bool = False) -> Block:  # fmt: skip
        """Box or rod from b's face inwards, as wide and thick as `size`."""
        c = self.contact
        return Block(what, part, round_, c.point, self.into, self.across, *size, length)

    def left_behind(self, spec: JointSpec) -> float | None:
        """Way through b, where something must be left behind the hole [mm]."""
        return None if spec.through else self.deep

    def common_checks(self) -> list[Check]:
        """Gap at the shoulder, where there is one."""
        gap = self.contact.gap
        if gap <= 1e-6:
            return []
        return [at_most("gap at the shoulder", gap, 0.1, 0.5, self.a.id)]

    def grain_check(self) -> list[Check]:
        """Whether the wide side of a mortise runs with the grain of the mortised part."""
        if self.contact.face_b in ("start", "end"):
            return []
        along = abs(float(self.across @ self.b.tangent(self.contact.s_b)))
        turned = math.acos(min(along, 1.0))
        word: Word = "holds" if turned <= _ALONG_GRAIN else "close"
        what = "mortise's long side off the grain"
        return [Check(what, turned, _ALONG_GRAIN, False, word, self.b.id, True)]


def _fits(size: float, rail: float, what: str, a: Body) -> None:
    """Refuse a tenon larger than its rail."""
    if size > rail + 1e-9:
        raise FrameError(
            f"a tenon {size:.4g} mm {what} on {a.id}, which is {rail:.4g} mm {what}",
            allowed=f"{rail:.4g} mm at most",
            todo="give a smaller tenon or a larger part",
        )


def mortise_tenon(spec: JointSpec, contact: Contact, a: Body, b: Body) -> Joint:
    """Rectangular tenon on a's end in a mortise of b."""
    end = _End.of(contact, a, b)
    said = []
    thick = spec.thickness
    if thick is None:
        thick = min(rules.tenon_thickness(end.thin, end.room, spec.system), end.thin)
        said.append("thickness a third of the thinner part, to the nearest usual chisel")
    wide = spec.width
    if wide is None:
        wide = rules.tenon_width(end.wide, thick)
        said.append("width the rail's less a tenth at each edge, five thicknesses at most")
    _fits(thick, end.thin, "thick", a)
    _fits(wide, end.wide, "wide", a)
    length, how = end.length(spec, rules.tenon_length(end.deep))
    tenon = end.block("tenon", a.id, (wide, thick), length)
    deep = length if spec.through else length + DEEPER
    mortise = end.block("mortise", b.id, (wide, thick), deep)
    sizes = {
        "tenon thickness": thick, "tenon width": wide, "tenon length": length,
        "mortise depth": deep, "shoulder at the edges": (end.wide - wide) / 2,
        "shoulder at the cheeks": (end.thin - thick) / 2,
    }  # fmt: skip
    checks = [*end.common_checks(), *end.grain_check(),
              *hole_checks(b, mortise, "mortise", end.left_behind(spec))]  # fmt: skip
    return Joint(spec.name, spec, contact, (tenon, mortise), sizes, tuple(checks),
                 (*said, how, *end.sprung()), end.closing, True, 2.0 * wide * length)  # fmt: skip


def round_tenon(spec: JointSpec, contact: Contact, a: Body, b: Body) -> Joint:
    """Round tenon on a's end in a bored mortise of b."""
    end = _End.of(contact, a, b)
    said = []
    d = spec.diameter
    if d is None:
        d = min(rules.round_diameter(end.thin, end.room, spec.system), end.thin)
        said.append("diameter six tenths of the rail, at most half of the part it goes into")
    _fits(d, end.thin, "across", a)
    length, how = end.length(spec, rules.tenon_length(end.deep))
    deep = length if spec.through else length + DEEPER
    blocks = (end.block("tenon", a.id, (d, d), length, True),
              end.block("mortise", b.id, (d, d), deep, True))  # fmt: skip
    sizes = {"tenon diameter": d, "tenon length": length, "mortise depth": deep,
             "shoulder all round": (end.thin - d) / 2}  # fmt: skip
    checks = [
        *end.common_checks(),
        *hole_checks(b, blocks[1], "mortise", end.left_behind(spec)),
    ]
    return Joint(spec.name, spec, contact, blocks, sizes, tuple(checks), (*said, how),
                 end.closing, True, math.pi * d * length)  # fmt: skip


def housed(spec: JointSpec, contact: Contact, a: Body, b: Body) -> Joint:
    """End of a let into b with its whole section.

    A bent slat is sprung in where its ends stand at an angle.
    """
    end = _End.of(contact, a, b)
    length, how = end.length(spec, end.deep / 3.0)
    said = ["a third of the way through" if how.startswith("length two") else how]
    blocks = [end.block("housing", b.id, (end.wide, end.thin), length)]
    if end.inserted <= 0.5:
        blocks.append(end.block("tenon", a.id, (end.wide, end.thin), length))
    sizes = {"housing width": end.wide, "housing thickness": end.thin, "housing depth": length}
    checks = [*end.common_checks(), *hole_checks(b, blocks[0], "housing", end.deep)]
    area = 2.0 * (end.wide + end.thin) * length
    return Joint(spec.name, spec, contact, tuple(blocks), sizes, tuple(checks),
                 (*said, *end.sprung()), end.closing, True, area)  # fmt: skip


def dowelled_end(spec: JointSpec, contact: Contact, a: Body, b: Body) -> Joint:
    """Dowels from a's end grain into b."""
    end = _End.of(contact, a, b)
    blocks, sizes, checks, said = _end_dowels(spec, end)
    checks = [*end.common_checks(), *checks]
    area = sum(math.pi * k.width * k.length for k in blocks if k.what == "dowel") / 2.0
    return Joint(spec.name, spec, contact, tuple(blocks), sizes, tuple(checks), tuple(said),
                 end.closing, True, area)  # fmt: skip


def _end_dowels(
    spec: JointSpec, end: _End
) -> tuple[list[Block], dict[str, float], list[Check], list[str]]:
    """Dowels side by side along the wider side of a's section."""
    said = []
    d = spec.diameter
    if d is None:
        d = rules.dowel_diameter(min(end.thin, end.room), spec.system)
        said.append("dowels four tenths of the thinner part")
    _fits(d, end.thin, "across", end.a)
    count = spec.count
    if count is None:
        count = 2 if end.wide >= _TWO_DOWELS * d else 1
        said.append("two dowels where the rail is six diameters wide")
    in_b = spec.length or rules.dowel_depth(d, end.deep)
    in_a = spec.length or 3.0 * d
    blocks: list[Block] = []
    checks: list[Check] = []
    for off in rules.peg_places(count, end.wide, spec.spacing):
        mouth = end.contact.point + off * end.across
        at_a = mouth - max(end.contact.gap, 0.0) * end.into
        hole_b = Block("dowel hole", end.b.id, True, mouth, end.into, end.across, d, d, in_b + 1.0)
        hole_a = Block("dowel hole", end.a.id, True, at_a, -end.into, end.across, d, d, in_a + 1.0)
        dowel = Block("dowel", "", True, at_a - in_a * end.into, end.into, end.across, d, d,
                      in_a + in_b + max(end.contact.gap, 0.0))  # fmt: skip
        blocks += [dowel, hole_a, hole_b]
        checks += hole_checks(end.b, hole_b, "dowel hole", end.deep)
        checks += hole_checks(end.a, hole_a, "dowel hole")
    sizes = {"dowel diameter": d, "dowels": float(count), "hole in the first part": in_a + 1.0,
             "hole in the second part": in_b + 1.0}  # fmt: skip
    said.append("three diameters into each part, 5 mm left behind at least")
    return blocks, sizes, checks, said


def coped(spec: JointSpec, contact: Contact, a: Body, b: Body) -> Joint:
    """End of a shaped to b's bent face, with dowels.

    The cope is measured from the flat shoulder through its ends: how much deeper or
    shallower b's face lies across a's section, along a's own line.
    """
    end = _End.of(contact, a, b)
    axes = a.axes(contact.s_a)
    side = [axes[:, 1] * a.depth / 2, axes[:, 2] * a.width / 2]
    run = max(side, key=lambda v: abs(float(v @ b.tangent(contact.s_b))))
    x = np.linspace(-1.0, 1.0, 9)
    far = distances_to(b, contact.point - 30.0 * end.into + x[:, None] * run, end.into) - 30.0
    chord = far[0] + (far[-1] - far[0]) * (x + 1.0) / 2.0
    cope = float((far - chord)[np.abs(far - chord).argmax()])
    blocks, sizes, checks, said = _end_dowels(spec, end)
    sizes |= {"cope depth": abs(cope), "cope angle": math.atan2(far[-1] - far[0],
              2.0 * float(np.linalg.norm(run)))}  # fmt: skip
    said.append("a flat shoulder does: the bend leaves less than 0.1 mm"
                if abs(cope) < 0.1 else "shoulder shaped to the bend")  # fmt: skip
    area = 2.0 * math.pi * sum(k.width * k.length for k in blocks if k.what == "dowel") / 4.0
    return Joint(spec.name, spec, contact, tuple(blocks), sizes,
                 (*end.common_checks(), *checks), tuple(said), end.closing, True, area)  # fmt: skip
