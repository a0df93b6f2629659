"""What is marked on each part: stations of joints from the reference end, like on a story stick."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from overbend.curve import Floats
from overbend.frame.joint_checks import mouth_spans
from overbend.frame.joint_records import Block, Joint
from overbend.frame.placement import Row, face_word
from overbend.frame.probe import local
from overbend.frame.solid import Body

__all__ = ["Mark", "Spacer", "Stick", "spacers_of", "story_sticks"]

_SAME = 0.05  # mm: marks of two pieces closer than this are one mark
_MIRRORS = ({"left": "right", "right": "left"}, {"front": "back", "back": "front"})
_KINDS = {"mortise": "mortise", "housing": "housing", "dowel hole": "dowel",
          "pilot hole": "screw", "clearance hole": "screw", "tenon": "shoulder"}  # fmt: skip


@dataclass(frozen=True)
class Mark:
    """One thing marked along a part.

    Parameters
    ----------
    what : "mortise", "housing", "dowel", "screw", "shoulder" or "covered" (by another part).
    start, end : stations of its edges along the middle line, from the reference end [mm].
    left, right : the same along the left and the right face of the line as drawn, for a
        bent part, whose faces are longer or shorter than its middle [mm].
    face : which way the face it is on looks: front, back, left, right, top, bottom.
    across : its middle from the middle of the part, square to the line, on that face [mm].
    width : its size square to the line, on that face [mm].
    depth : [mm].
    other : kind of part that comes there.
    joint : name of the joint.
    edge : which face of the line it is on: "left", "right", or "" for the others.
    """

    what: str
    start: float
    end: float
    left: tuple[float, float]
    right: tuple[float, float]
    face: str
    across: float
    width: float
    depth: float
    other: str
    joint: str
    edge: str = ""

    @property
    def on_face(self) -> tuple[float, float]:
        """Its edges along the face it is on [mm]."""
        return {"left": self.left, "right": self.right}.get(self.edge, (self.start, self.end))

    @property
    def middle(self) -> float:
        """Station of its middle, from the reference end [mm]."""
        return 0.5 * (self.start + self.end)


@dataclass(frozen=True)
class Stick:
    """A story stick: every mark of pieces that are marked alike.

    Parameters
    ----------
    kind : name of the part.
    ids : the pieces it serves.
    mirrored : pieces it serves with left and right, or front and back, changed over.
    length : of the part's middle line [mm].
    marks : in order from the reference end.
    """

    kind: str
    ids: tuple[str, ...]
    mirrored: tuple[str, ...]
    length: float
    marks: tuple[Mark, ...]


@dataclass(frozen=True)
class Spacer:
    """A spacer between neighbours of a row.

    Parameters
    ----------
    kind : name of the part in the row.
    gap : its size [mm].
    end_gap : size of the one at either end of the row [mm]; 0 when there is none.
    count : gaps between neighbours.
    """

    kind: str
    gap: float
    end_gap: float
    count: int


def story_sticks(
    bodies: Sequence[Body], joints: Sequence[Joint], from_end: Iterable[str] = ()
) -> tuple[Stick, ...]:
    """One story stick for each kind of part, more where its pieces are marked differently.

    Parameters
    ----------
    bodies : the parts.
    joints : between them.
    from_end : kinds whose reference end is the end of the line as drawn.

    Returns
    -------
    tuple of Stick
        In the order of the parts. A left and a right piece share a stick.
    """
    backwards = frozenset(from_end)
    sticks: list[Stick] = []
    for body in bodies:
        marks = _marks_of(body, joints, body.kind in backwards)
        for k, stick in enumerate(sticks):
            if stick.kind != body.kind:
                continue
            if _alike(stick.marks, marks):
                sticks[k] = replace(stick, ids=(*stick.ids, body.id))
                break
            if any(_alike(stick.marks, [_turned(m, by) for m in marks]) for by in _MIRRORS):
                sticks[k] = replace(stick, mirrored=(*stick.mirrored, body.id))
                break
        else:
            sticks.append(Stick(body.kind, (body.id,), (), body.length, tuple(marks)))
    return tuple(sticks)


def _marks_of(body: Body, joints: Sequence[Joint], backwards: bool) -> list[Mark]:
    """Every mark on one piece, in order from its reference end."""
    marks = []
    for joint in joints:
        c = joint.contact
        if body.id not in (c.a, c.b):
            continue
        other = c.b if body.id == c.a else c.a
        marks += [_block_mark(body, block, joint, other, backwards)
                  for block in joint.blocks if block.part == body.id]  # fmt: skip
        tenons = any(k.what == "tenon" for k in joint.blocks)
        if c.how == "end" and body.id == c.a and not tenons:
            depth = max(-c.gap, 0.0)
            marks.append(_shoulder(body, c.point, depth, joint, other, backwards))
        if c.how == "side":
            marks.append(_covered(body, joint, other, backwards))
    return sorted(marks, key=lambda m: (round(m.start, 2), m.what, m.face))


def _block_mark(body: Body, block: Block, joint: Joint, other: str, backwards: bool) -> Mark:
    """Mark of a mortise, hole or shoulder."""
    if block.what == "tenon":
        return _shoulder(body, block.mouth, block.length, joint, other, backwards)
    span, across = mouth_spans(body, block)
    here = local(body, block.mouth[None])
    normal = body.face_normal(here.face(0), float(here.s[0]))
    size = (0.5 * (across[0] + across[1]), across[1] - across[0], block.length)
    mark = _mark(body, _KINDS[block.what], span, face_word(normal), size, other, joint, backwards)
    return replace(mark, edge=_edge(here.face(0)))


def _shoulder(
    body: Body, point: Floats, depth: float, joint: Joint, other: str, backwards: bool
) -> Mark:
    """Mark of the line where a part comes out of another."""
    s = float(local(body, point[None]).s[0])
    word = face_word(-joint.contact.normal)
    return _mark(body, "shoulder", (s, s), word, (0.0, 0.0, depth), other, joint, backwards)


def _covered(body: Body, joint: Joint, other: str, backwards: bool) -> Mark:
    """Stretch of a face that another part lies on."""
    c = joint.contact
    first = body.id == c.a
    span, face, s = (c.span_a, c.face_a, c.s_a) if first else (c.span_b, c.face_b, c.s_b)
    width = body.width if face in ("left", "right") else body.depth
    word, size = face_word(body.face_normal(face, s)), (0.0, width, 0.0)
    mark = _mark(body, "covered", span, word, size, other, joint, backwards)
    return replace(mark, edge=_edge(face))


def _edge(face: str) -> str:
    return face if face in ("left", "right") else ""


def _mark(
    body: Body, what: str, span: tuple[float, float], face: str,
    size: tuple[float, float, float], other: str, joint: Joint, backwards: bool,
) -> Mark:  # fmt: skip
    low, high = (min(max(s, 0.0), body.length) for s in span)
    left, right = (_along_face(body, (low, high), d) for d in (body.depth / 2, -body.depth / 2))
    if backwards:
        low, high = body.length - high, body.length - low
        left, right = (_reversed(body, pair, d) for pair, d in
                       ((left, body.depth / 2), (right, -body.depth / 2)))  # fmt: skip
    kind = other.split("/")[0]
    return Mark(what, low, high, left, right, face, *size, kind, joint.spec.name)


def _along_face(body: Body, span: tuple[float, float], d: float) -> tuple[float, float]:
    """Distances along the face at distance d to the left of the line [mm]."""
    if body.line.straight:
        return span
    low, high = body.curve.offset(d).along(np.array(span))
    return float(low), float(high)


def _reversed(body: Body, span: tuple[float, float], d: float) -> tuple[float, float]:
    whole = body.length if body.line.straight else body.curve.offset(d).length
    return whole - span[1], whole - span[0]


def _alike(marks: Sequence[Mark], others: Sequence[Mark]) -> bool:
    """Whether two pieces carry the same marks."""
    if len(marks) != len(others):
        return False
    return all(_same_mark(p, q) for p, q in zip(marks, others, strict=True))


def _same_mark(p: Mark, q: Mark) -> bool:
    words = (p.what, p.face, p.other, p.joint) == (q.what, q.face, q.other, q.joint)
    pairs = ((p.start, q.start), (p.end, q.end), (p.width, q.width), (p.depth, q.depth),
             (abs(p.across), abs(q.across)))  # fmt: skip
    return words and all(abs(x - y) < _SAME for x, y in pairs)


def _turned(mark: Mark, by: Mapping[str, str]) -> Mark:
    """The same mark on the piece of the other side."""
    return replace(mark, face=by.get(mark.face, mark.face))


def spacers_of(rows: Mapping[str, Row]) -> tuple[Spacer, ...]:
    """Sizes of the spacers that set rows evenly.

    Parameters
    ----------
    rows : rows of parts by name of the part.

    Examples
    --------
    >>> from overbend.frame.placement import even_row
    >>> spacers_of({"slat": even_row(3, 100.0, 20.0, "gaps")})
    (Spacer(kind='slat', gap=10.0, end_gap=10.0, count=2),)
    """
    return tuple(
        Spacer(name, row.gap, row.end_gap, len(row.offsets) - 1) for name, row in rows.items()
    )
