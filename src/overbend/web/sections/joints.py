"""Joints: whether they fit, what to change where they do not, and where each is marked out."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import groupby
from typing import Any

from overbend.errors import CurveError
from overbend.frame import Joint
from overbend.frame.joint_records import Check
from overbend.frame.marking import Mark
from overbend.plan import BentPlan
from overbend.plan.piece import Piece
from overbend.project import BentPart
from overbend.units import format_angle
from overbend.web.sections.at import At, register
from overbend.web.sections.joint_sizes import change_fields, size_rows
from overbend.web.sentence import Pieces, block, sentence, table, verdict
from overbend.web.words import words

__all__ = ["section"]

Data = dict[str, Any]
_SHOWN = 3  # places without a joint that are told one by one
_FELT = 0.5  # mm off the drawing that are worth a word
_BETTER = 0.8  # of what it is otherwise: another way to lay a part that is worth a word


@register("joints", quick=False)
def section(at: At, _part: BentPlan) -> Data:
    """Headline about all joints; what fails and why; each joint with its sizes and places."""
    piece = at.plan.piece
    if not piece.bodies or not (piece.joints or piece.unjoined):
        return {}
    lead = [block("lead", _lead(piece)), *_bad(at), *_meeting(at), *_open(at), *_loose(at)]
    by_name = {k: list(g) for k, g in groupby(piece.joints, key=lambda j: j.spec.name)}
    more = _all(at, by_name)
    rows = _rows(at)
    if rows:
        more += [block("heading", words("joints.rows")), rows]
    return {"lead": lead, "more": more}


# -- the headline -------------------------------------------------------------------------


def _lead(piece: Piece) -> Pieces:
    """How many there are and how many fit."""
    joints = piece.joints
    if not joints:
        return [words("joints.lead.none")]
    count = {w: sum(j.word == w for j in joints) for w in ("holds", "close", "fails")}
    said: Pieces = [verdict(piece.word, opens=True), " "]
    if count["holds"] == len(joints):
        return [*said, words("joints.lead.all", count=len(joints))]
    rest = " and ".join(
        words(f"joints.lead.{w}.one" if count[w] == 1 else f"joints.lead.{w}.many", count=count[w])
        for w in ("fails", "close")
        if count[w]
    )
    return [*said, words("joints.lead.some", good=count["holds"], count=len(joints), rest=rest)]


def _bad(at: At) -> list[Data]:
    """Every check that does not hold, once, with the numbers that would change it."""
    found: dict[str, Data] = {}
    for joint in at.plan.piece.joints:
        for check in joint.checks:
            text = _reason(at, joint, check)
            if check.word == "holds" or text in found:
                continue
            pieces: Pieces = [verdict(check.word, opens=True), f" {text}."]
            change = change_fields(at, joint, check)
            if change:
                pieces += [f" {words('joints.change')} ", *change, "."]
            found[text] = _pointing(joint.spec.name, at, pieces)
    return list(found.values())


def _reason(at: At, joint: Joint, check: Check) -> str:
    value, limit = (
        format_angle(v) if check.angle else at.say.length(v) for v in (check.value, check.limit)
    )
    bound = words("joints.least" if check.least else "joints.most")
    return words("joints.bad", joint=joint.spec.name, what=check.what, value=value, bound=bound,
                 limit=limit)  # fmt: skip


def _pointing(name: str, at: At, pieces: Pieces) -> Data:
    """A paragraph that shows a joint's places in the drawing."""
    spots = _spots(at, name) if at.part else ""
    return {"kind": "pointing", "joint": name, "spots": spots, "pieces": pieces}


def _meeting(at: At) -> list[Data]:
    """Mortises that run into each other."""
    said = [
        words(
            "joints.meet",
            part=holes.part,
            one=holes.joints[0].split(":")[0],
            other=holes.joints[1].split(":")[0],
            deep=at.say.length(holes.overlap),
        )
        for holes in at.plan.piece.meeting_holes
    ]
    return [block("hold", text) for text in said]


def _open(at: At) -> list[Data]:
    """Places where parts touch without a joint, and parts that take the same room."""
    piece, say = at.plan.piece, at.say
    said = [
        words("joints.open", a=c.a, b=c.b, height=say.length(c.height))
        for c in piece.unjoined[:_SHOWN]
    ]
    if len(piece.unjoined) > _SHOWN:
        said.append(words("joints.open.more", count=len(piece.unjoined)))
    said += [
        words("joints.clash", a=c.a, b=c.b, volume=f"{c.volume / 1000.0:.1f}")
        for c in piece.clashes
        if not c.joint
    ]
    return [block("hold", text) for text in said]


def _loose(at: At) -> list[Data]:
    """How far the released bends may lie off, where that is most, and how to lay them better."""
    piece = at.plan.piece
    loose = [(m, joint) for joint in piece.joints for m in piece.misfits[joint.id]]
    worst, joint = max(loose, key=lambda one: one[0].most, default=(None, None))
    if worst is None or joint is None or worst.most < _FELT:
        return []
    kind, name = piece.by_id[worst.part].kind, joint.spec.name
    ends = [(end, words(f"joints.off.end.{end}")) for end in ("start", "end")]
    label = words("joints.off.end", part=kind)
    end = at.fields.choice(f"part.{kind}.reference", label, ends)
    most = at.say.length(worst.most)
    said = sentence("joints.off", end=end, part=kind, most=most, joint=name)
    less = _on_chord(piece, joint, worst.part)
    if less < _BETTER * worst.most:
        said.append(words("joints.off.chord", less=at.say.length(less)))
    said.append(words("joints.off.mark"))
    if not at.plan.bent[kind].set.proven:
        trial = {"href": "/shop/trials", "text": words("wait.trial.go")}
        said += [words("joints.off.trial"), " ", trial]
    return [_pointing(name, at, said)]


def _on_chord(piece: Piece, joint: Joint, part: str) -> float:
    """How far a part may lie off at a joint, laid by its chord [mm]; a closed one has none."""
    try:
        laid = piece.misfits_laid(joint, "chord-middle")
    except CurveError:
        return math.inf
    return next(m.most for m in laid if m.part == part)


# -- all joints ---------------------------------------------------------------------------

_HEADS = ("joint", "how", "of", "angle", "height", "off")


def _all(at: At, by_name: dict[str, list[Joint]]) -> list[Data]:
    """One line for each joint of the file, which opens."""
    if not by_name:
        return []
    head = {"kind": "joint-head", "heads": [words(f"joints.head.{h}") for h in _HEADS]}
    caption = block("small", words("joints.caption", unit=at.say.unit_word))
    return [head, *(_one(at, name, joints) for name, joints in by_name.items()), caption]


def _cells(at: At, joints: list[Joint]) -> list[str]:
    """What a joint's line says after its name."""
    return [
        words(f"joint.short.{joints[0].spec.kind}"),
        str(len(joints)),
        _span([math.degrees(j.contact.angle) for j in joints]),
        _heights(at, joints),
        at.say.cell(_off(at, joints)) if _off(at, joints) else "",
    ]


def _span(degrees: list[float]) -> str:
    low, high = min(degrees), max(degrees)
    return f"{low:.1f}°" if high - low < 0.05 else f"{low:.1f} to {high:.1f}°"


def _heights(at: At, joints: list[Joint]) -> str:
    low, high = (f(j.contact.height for j in joints) for f in (min, max))
    if high - low < 0.5:
        return at.say.bare(low)
    return f"{at.say.bare(low)} to {at.say.bare(high)}"


def _off(at: At, joints: list[Joint]) -> float:
    """How far a released part may lie off at some joints [mm]."""
    misfits = at.plan.piece.misfits
    return max((m.most for j in joints for m in misfits[j.id]), default=0.0)


def _spots(at: At, name: str) -> str:
    """Shares of the selected part's length where a joint is, from its reference end."""
    part = at.part
    if part is None:
        return ""
    piece, shares = at.plan.piece, set()
    for joint in piece.joints:
        c = joint.contact
        for id, s in ((c.a, c.s_a), (c.b, c.s_b)):
            body = piece.by_id[id]
            if joint.spec.name == name and body.kind == part.name:
                shares.add(round(_from_reference(piece, id, s) / body.length, 3))
    return " ".join(f"{share:g}" for share in sorted(shares))


def _from_reference(piece: Piece, id: str, s: float) -> float:
    """Station from a part's reference end [mm]."""
    body = piece.by_id[id]
    table_ = piece.project.part[body.kind]
    backwards = isinstance(table_, BentPart) and table_.reference == "end"
    return body.length - s if backwards else s


# -- one joint ----------------------------------------------------------------------------


def _one(at: At, name: str, joints: list[Joint]) -> Data:
    """A joint: sizes to change, where it is, how it is marked out."""
    first = joints[0]
    rules = "; ".join(dict.fromkeys(first.rules))
    return {
        "kind": "joint",
        "joint": name,
        "spots": _spots(at, name),
        "cells": _cells(at, joints),
        "about": _about(first),
        "word": verdict(min((j.word for j in joints), key=("fails", "close", "holds").index)),
        "sizes": size_rows(at, first),
        "rules": f"{rules[:1].upper()}{rules[1:]}." if rules else "",
        "places": _places(at, joints),
        "marks": _marks(at, name),
    }


def _about(joint: Joint) -> str:
    """How it is made and between which parts."""
    how = words(f"joint.{joint.spec.kind}")
    how = how[:1].upper() + how[1:]
    return words("joints.summary", how=how, part=joint.spec.part, to=joint.spec.to)


def _places(at: At, joints: list[Joint]) -> Data:
    """Where it is: stations, height, angle, gap; places that are alike in one row."""
    found: dict[tuple[str, ...], tuple[dict[str, None], dict[str, None]]] = {}
    for joint in joints:
        c = joint.contact
        parts = found.setdefault(_place(at, joint), ({}, {}))
        parts[0][c.a] = parts[1][c.b] = None
    heads = ("part", "to", "s", "s2", "height", "angle", "gap", "off")
    rows = [[_listed(a), _listed(b), *numbers] for numbers, (a, b) in found.items()]
    caption = words("joints.place.caption", unit=at.say.unit_word)
    return table([words(f"joints.place.{h}") for h in heads], rows, range(2, 8), caption)


def _place(at: At, joint: Joint) -> tuple[str, ...]:
    c, piece, say = joint.contact, at.plan.piece, at.say
    off = _off(at, [joint])
    return (
        say.cell(_from_reference(piece, c.a, c.s_a)),
        say.cell(_from_reference(piece, c.b, c.s_b)),
        say.cell(c.height),
        f"{math.degrees(c.angle):.1f}°",
        say.cell(c.gap) if abs(c.gap) >= 0.05 else "0",
        say.cell(off) if off else "",
    )


def _listed(ids: dict[str, None]) -> str:
    """Parts of a kind, the kind once: post/left, right."""
    said = []
    for kind, group in groupby(ids, key=lambda id: id.split("/")[0]):
        ends = [id.removeprefix(kind).removeprefix("/") for id in group]
        said.append(kind + (f"/{', '.join(ends)}" if any(ends) else ""))
    return ", ".join(said)


def _marks(at: At, name: str) -> Data:
    """How it is marked out on each part, as on the story sticks."""
    say = at.say
    rows = dict.fromkeys(
        (on, mark.what, mark.face, *(say.sharp(v) for v in mark.on_face), say.sharp(mark.across),
         say.sharp(mark.depth) if mark.depth else "")
        for on, mark in _marks_of(at.plan.piece, name)
    )  # fmt: skip
    heads = ("on", "what", "face", "from", "to", "across", "depth")
    caption = words("joints.mark.caption", unit=say.unit_word)
    return table([words(f"joints.mark.{h}") for h in heads], list(rows), range(3, 7), caption)


def _marks_of(piece: Piece, name: str) -> Iterator[tuple[str, Mark]]:
    """Marks of a joint, each with the parts it is on."""
    for stick in piece.sticks:
        alone = sum(other.kind == stick.kind for other in piece.sticks) == 1
        on = stick.kind if alone else _listed(dict.fromkeys((*stick.ids, *stick.mirrored)))
        yield from ((on, mark) for mark in stick.marks if mark.joint == name)


# -- rows of parts ------------------------------------------------------------------------


def _rows(at: At) -> Data | None:
    """Parts in rows, how many and over what length; the gaps that follow."""
    piece, say, fields = at.plan.piece, at.say, at.fields
    rows: list[list[Any]] = []
    for spacer in piece.spacers:
        part = piece.project.part[spacer.kind]
        key = f"part.{spacer.kind}.{'between' if part.between else 'place'}.repeat"
        label = {w: words(f"joints.rows.{w}.label", part=spacer.kind) for w in ("count", "span")}
        rows.append([
            spacer.kind,
            fields.number(f"{key}.count", label["count"]),
            fields.number(f"{key}.span", label["span"]),
            say.sharp(spacer.gap),
            say.sharp(spacer.end_gap) if spacer.end_gap else words("joints.rows.none"),
        ])  # fmt: skip
    if not rows:
        return None
    heads = ("part", "count", "span", "gap", "end")
    caption = words("joints.rows.caption", unit=say.unit_word)
    return table([words(f"joints.rows.{h}") for h in heads], rows, (1, 2, 3, 4), caption)
