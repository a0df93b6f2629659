"""Joints of faces: laps with or without dowels, angled fillers, screws."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from overbend.curve import Floats
from overbend.errors import FrameError
from overbend.frame import joint_rules as rules
from overbend.frame.contact import Contact
from overbend.frame.face_profile import Profile, distances_to, face_profile
from overbend.frame.joint_checks import hole_checks, way_through
from overbend.frame.joint_records import (
    Block,
    Check,
    Filler,
    Joint,
    JointSpec,
    at_least,
    at_most,
)
from overbend.frame.placement import face_word
from overbend.frame.solid import Body

__all__ = ["dowelled_faces", "lapped", "screwed", "wedged"]

THIN_EDGE = 1.5  # mm: a filler's thin edge breaks out below it
FITS = 0.2  # mm of gap in a glue face that clamps close
_LENGTHS = (16.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0, 60.0, 70.0, 80.0, 100.0)
_TWO_PEGS = 6.0  # diameters of room from which two stand in a row


@dataclass(frozen=True, eq=False)
class _Faces:
    """Two faces that meet.

    Parameters
    ----------
    a, b, contact : the two parts and where they meet.
    profile : the space between the faces, from the flat one.
    row : direction in which pegs stand, along the longer side of the patch, shape (3,).
    room : length of the patch that way [mm].
    area : of the patch [mm2].
    """

    a: Body
    b: Body
    contact: Contact
    profile: Profile
    row: Floats
    room: float
    area: float

    @classmethod
    def of(cls, contact: Contact, a: Body, b: Body) -> _Faces:
        if contact.how != "side":
            raise FrameError(
                f"{contact.a} ends at {contact.b}: no two faces lie against each other there",
                allowed="two parts whose faces meet",
                todo="use a joint for an end, or move a part",
            )
        over_a, over_b = _lateral(a, contact.face_a), _lateral(b, contact.face_b)
        axes = b.axes(contact.s_b)
        side = axes[:, 2] if contact.face_b in ("left", "right") else axes[:, 1]
        row, room = (axes[:, 0], over_a) if over_a >= over_b else (side, over_b)
        area = over_a * over_b / max(math.sin(contact.crossing), 0.3)
        return cls(a, b, contact, face_profile(a, b, contact), row, room, area)

    @property
    def open(self) -> float:
        """Widest gap in the glue face once the parts touch [mm]."""
        return float(np.ptp(self.profile.gap))

    @property
    def thinner(self) -> float:
        """Thickness of the thinner part square to the faces [mm]."""
        c = self.contact
        return min(_thickness(self.a, c.face_a), _thickness(self.b, c.face_b))

    def mouths(self, places: Floats) -> tuple[Floats, Floats]:
        """Points of b's face along the row, and how far a's face is off each [mm]."""
        normal = self.contact.normal
        points = self.contact.point + places[:, None] * self.row
        if not self.b.line.straight:
            above = points + 5.0 * normal
            points = above - distances_to(self.b, above, -normal)[:, None] * normal
        return points, distances_to(self.a, points, normal)

    def touch_checks(self) -> list[Check]:
        """Whether one part reaches into the other, or stands off it."""
        gap = self.contact.gap
        return [
            at_most("overlap of the two parts", max(-gap, 0.0), 0.05, 0.3, self.a.id),
            at_most("gap between the two parts", max(gap, 0.0), FITS, 1.0, self.a.id),
        ]


def _lateral(body: Body, face: str) -> float:
    """Width of a side face across the part's line [mm]."""
    return body.width if face in ("left", "right") else body.depth


def _thickness(body: Body, face: str) -> float:
    """Size of a part square to one of its side faces [mm]."""
    return body.depth if face in ("left", "right") else body.width


def _pegs(
    spec: JointSpec, faces: _Faces, count: int
) -> tuple[list[Block], dict[str, float], list[Check], list[str]]:
    """Dowels square to b's face, through whatever lies between the faces."""
    c, a, b = faces.contact, faces.a, faces.b
    if count == 0:
        return [], {}, [], []
    said = []
    d = spec.diameter
    if d is None:
        d = rules.dowel_diameter(faces.thinner, spec.system)
        said.append("dowels four tenths of the thinner part")
    places = np.array(rules.peg_places(count, faces.room, spec.spacing))
    mouths, fills = faces.mouths(places)
    blocks: list[Block] = []
    checks: list[Check] = []
    deepest = (0.0, 0.0)
    for mouth, fill in zip(mouths, fills, strict=True):
        at_a = mouth + fill * c.normal
        through_a, through_b = way_through(a, at_a, c.normal), way_through(b, mouth, -c.normal)
        in_b = spec.length or rules.dowel_depth(d, through_b)
        in_a = spec.length or rules.dowel_depth(d, through_a)
        hole_b = Block("dowel hole", b.id, True, mouth, -c.normal, faces.row, d, d, in_b)
        hole_a = Block("dowel hole", a.id, True, at_a, c.normal, faces.row, d, d, in_a)
        dowel = Block("dowel", "", True, mouth - in_b * c.normal, c.normal, faces.row, d, d,
                      in_a + in_b + fill)  # fmt: skip
        blocks += [dowel, hole_a, hole_b]
        checks += hole_checks(b, hole_b, "dowel hole", through_b)
        checks += hole_checks(a, hole_a, "dowel hole", through_a)
        deepest = max(deepest[0], in_a), max(deepest[1], in_b)
    sizes = {"dowel diameter": d, "dowels": float(count), "hole in the first part": deepest[0],
             "hole in the second part": deepest[1]}  # fmt: skip
    if spec.length is None:
        said.append("three diameters into each part, 5 mm left behind at least")
    return blocks, sizes, checks, said


def _some(spec: JointSpec, faces: _Faces) -> int:
    """How many pegs a patch takes, unless given: two where there is room."""
    if spec.count is not None:
        return spec.count
    d = spec.diameter or rules.dowel_diameter(faces.thinner, spec.system)
    return 2 if faces.room >= _TWO_PEGS * d else 1


def lapped(spec: JointSpec, contact: Contact, a: Body, b: Body) -> Joint:
    """A face of a glued on a face of b; dowels only where asked for."""
    faces = _Faces.of(contact, a, b)
    blocks, sizes, checks, said = _pegs(spec, faces, spec.count or 0)
    sizes = {"glue face": faces.area, **sizes}
    first = [*faces.touch_checks(), at_most("gap in the glue face", faces.open, FITS, 0.5, a.id)]
    return Joint(spec.name, spec, contact, tuple(blocks), sizes, (*first, *checks), tuple(said),
                 -contact.normal, bool(blocks), faces.area)  # fmt: skip


def dowelled_faces(spec: JointSpec, contact: Contact, a: Body, b: Body) -> Joint:
    """A face of a glued and dowelled on a face of b."""
    faces = _Faces.of(contact, a, b)
    blocks, sizes, checks, said = _pegs(spec, faces, _some(spec, faces))
    first = [*faces.touch_checks(), at_most("gap in the glue face", faces.open, FITS, 0.5, a.id)]
    return Joint(spec.name, spec, contact, tuple(blocks), {"glue face": faces.area, **sizes},
                 (*first, *checks), tuple(said), -contact.normal, True, faces.area)  # fmt: skip


def wedged(spec: JointSpec, contact: Contact, a: Body, b: Body) -> Joint:
    """An angled filler between the flat face of one part and the bend of the other."""
    faces = _Faces.of(contact, a, b)
    filler = _filler(faces)
    blocks, sizes, checks, said = _pegs(spec, faces, _some(spec, faces))
    thin = float(filler.thickness.min())
    sizes = {
        "filler angle": filler.angle, "filler thin edge": thin,
        "filler thick edge": float(filler.thickness.max()),
        "filler width": float(np.ptp(filler.x)), "filler length": filler.length, **sizes,
    }  # fmt: skip
    said.append("flat on both sides: the bend leaves less than 0.2 mm" if abs(filler.hollow) <= FITS
                else "its bent side is shaped to the curve")  # fmt: skip
    first = at_least("thin edge of the filler", thin, THIN_EDGE, a.id)
    return Joint(spec.name, spec, contact, tuple(blocks), sizes, (first, *checks), tuple(said),
                 -contact.normal, bool(blocks), faces.area, filler)  # fmt: skip


def _filler(faces: _Faces) -> Filler:
    p = faces.profile
    x, gap = p.x, p.gap
    chord = gap[0] + (gap[-1] - gap[0]) * (x - x[0]) / (x[-1] - x[0])
    off = chord - gap
    hollow = float(off[np.abs(off).argmax()])
    angle = math.atan2(float(gap[-1] - gap[0]), float(x[-1] - x[0]))
    bent_face: Literal["a", "b"] = "a" if p.flat == faces.b.id else "b"
    bent, face = (faces.a, faces.contact.face_a) if bent_face == "a" else (
        faces.b, faces.contact.face_b)  # fmt: skip
    thick = face_word(p.way if angle > 0.0 else -p.way)
    return Filler(x, gap, _lateral(bent, face), abs(angle), hollow, thick, p.way, p.normal)


def screwed(spec: JointSpec, contact: Contact, a: Body, b: Body) -> Joint:
    """Screws through a into b."""
    faces = _Faces.of(contact, a, b)
    first, second = _thickness(a, contact.face_a), _thickness(b, contact.face_b)
    said = []
    d = spec.diameter
    if d is None:
        d = rules.screw_diameter(min(first, second), spec.system)
        said.append("screw a fifth of the thinner part")
    count = spec.count or (2 if faces.room >= 10.0 * d else 1)
    gap = max(contact.gap, 0.0)
    length = spec.length
    if length is None:
        length = rules.usual(first + gap + min(7.0 * d, second - rules.BEHIND), _LENGTHS)
        said.append("seven diameters into the second part, 5 mm left behind at least")
    grip = length - first - gap
    checks = [*faces.touch_checks(), at_least("screw in the second part", grip, 4.0 * d, b.id)]
    blocks: list[Block] = []
    for off in rules.peg_places(count, faces.room, spec.spacing):
        mouth = contact.point + off * faces.row
        top, inward = mouth + (first + gap) * contact.normal, -contact.normal
        pilot = Block("pilot hole", b.id, True, mouth, inward, faces.row, 0.7 * d, 0.7 * d, grip)
        clear = Block("clearance hole", a.id, True, mouth + gap * contact.normal, contact.normal,
                      faces.row, d, d, first)  # fmt: skip
        blocks += [Block("screw", "", True, top, inward, faces.row, d, d, length), clear, pilot]
        checks += hole_checks(b, pilot, "pilot hole", second)
        checks += hole_checks(a, clear, "clearance hole")
    sizes = {"screw diameter": d, "screw length": length, "screws": float(count),
             "pilot hole": 0.7 * d, "clearance hole": d}  # fmt: skip
    return Joint(spec.name, spec, contact, tuple(blocks), sizes, tuple(checks), tuple(said),
                 -contact.normal, False, faces.area)  # fmt: skip
