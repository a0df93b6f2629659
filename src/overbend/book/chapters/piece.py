"""The piece in space: views, joints, marking, cutting to length, assembly."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import groupby

from overbend.book.blocks import Block, Facts, Heading, NewPage, Pair, Table, Text, Whole
from overbend.book.chapters.pictures import drawn_at, page_scale
from overbend.book.say import Say
from overbend.draw.exploded import exploded_drawing
from overbend.draw.views import ViewName, view_drawing, view_outline
from overbend.frame import EndCut, Joint, SawAngles, Stick
from overbend.frame.marking import Mark
from overbend.plan import Plan
from overbend.plan.piece import Piece
from overbend.units import format_angle

__all__ = ["marking_chapter", "piece_chapter"]

_ONE_PAGE = 42  # rows of the joints' table and lines under it that fit on one page
_RULE_LINES = 3  # of a joint's sizes and rules, with the gap after them

_KINDS = {
    "mortise-tenon": "mortise and tenon",
    "round-tenon": "round tenon",
    "dowels": "dowels",
    "housed": "housed",
    "lapped": "lapped and glued",
    "wedge": "on an angled filler",
    "coped": "coped shoulder",
    "screw": "screwed",
}


def piece_chapter(plan: Plan, say: Say) -> list[Block]:
    """Views and joints; nothing when no part stands anywhere."""
    piece = plan.piece
    if not piece.bodies:
        return []
    return [
        NewPage(),
        Heading("The piece", 1),
        *_views(piece, say),
        Facts(_sizes(piece, say)),
        NewPage(),
        Heading("Parts and how they go together"),
        _exploded(piece),
        *_assembly(piece),
        *_joints(piece, say),
        *_open_places(piece, say),
    ]


def _views(piece: Piece, say: Say) -> list[Block]:
    """Side and front beside each other at one scale, plan below."""
    views: tuple[ViewName, ...] = ("side", "front", "plan")
    bare = [view_outline(piece, view, 0.1) for view in views]
    scale = min(page_scale(drawing, 82.0, 115.0, 13.0) for drawing in bare)
    side, front, plan = (
        drawn_at(view_drawing(piece, view, scale, say.display), scale, words)
        for view, words in zip(views, ("Side", "Front", "From above"), strict=True)
    )
    return [Pair((side,), (front,)), plan]


def _sizes(piece: Piece, say: Say) -> list[tuple[str, str]]:
    low, high = piece.box
    x, _, z = piece.mass.centre
    return [
        ("Deep", say.length(high[0] - low[0])),
        ("Wide", say.length(high[1] - low[1])),
        ("High", say.length(high[2])),
        ("Mass", f"about {say.mass(piece.mass.kg)}"),
        ("Centre of gravity", f"{say.length(z)} high, {say.length(x - low[0])} from the back"),
        ("Joints", f"{len(piece.joints)}, {piece.word}"),
    ]


def _exploded(piece: Piece) -> Block:
    scale = page_scale(exploded_drawing(piece, 0.1), 165.0, 110.0, 14.0)
    return drawn_at(exploded_drawing(piece, scale), scale, "The parts drawn apart")


def _assembly(piece: Piece) -> list[Block]:
    """The order of glue-ups that leaves room for clamps."""
    rows = []
    for step in piece.assembly.steps:
        groups = "; ".join(_together(group) for group in step.groups)
        tight = f"{len(step.no_clamp)} without room for a clamp" if step.no_clamp else ""
        rows.append((str(step.number), groups, tight))
    blocks: list[Block] = [
        Heading("Glue it up in this order", 3),
        Table(("Step", "What is glued together", ""), rows),
    ]
    if piece.assembly.stuck:
        blocks.append(
            Text(f"No order closes these joints: {', '.join(piece.assembly.stuck)}.", "hold")
        )
    if len(piece.assembly.groups) > 1:
        blocks.append(
            Text(
                f"{len(piece.assembly.groups)} groups of parts stay loose from each other.", "hold"
            )
        )
    return blocks


def _together(ids: Sequence[str]) -> str:
    """Parts of a group: several of a kind by count."""
    kinds: dict[str, list[str]] = {}
    for part in ids:
        kinds.setdefault(part.split("/")[0], []).append(part)
    return ", ".join(
        members[0] if len(members) == 1 else f"{len(members)} {kind}"
        for kind, members in kinds.items()
    )


# -- joints -------------------------------------------------------------------------------


def _joints(piece: Piece, say: Say) -> list[Block]:
    """Table and sizes on one page where they fit, then what is amiss."""
    rows: list[tuple[str, ...]] = []
    rules: dict[tuple[str, ...], str] = {}
    for name, same in groupby(piece.joints, key=lambda j: j.spec.name):
        joints = list(same)
        rows.append(_joint_row(piece, name, joints, say))
        rules.setdefault(joints[0].rules, _rule_words(name, joints[0], say))
    header = ("Joint", "How", "Of", "Angle", "Height", "May be off", "")
    blocks: list[Block] = [
        Heading("Joints"),
        Table(header, rows, (2, 3, 4, 5), _JOINT_CAPTION.format(unit=say.unit_word)),
        *(Text(words, "small") for words in rules.values()),
    ]
    fits = len(rows) + _RULE_LINES * len(rules) <= _ONE_PAGE
    return [*([Whole(blocks)] if fits else blocks), *_bad(piece, say), *_sliding(piece, say)]


def _rule_words(name: str, first: Joint, say: Say) -> str:
    """Sizes of a joint and the rules that gave them."""
    rules = "; ".join(first.rules)
    return f"{name}: {_size_words(first, say)}. {rules[:1].upper()}{rules[1:]}."


_JOINT_CAPTION = (
    "Angle between the faces that meet, height above the floor, and how far a released bend may "
    "lie off its drawing there, nine in ten, in {unit}. Rules are common practice, no source."
)


def _joint_row(piece: Piece, name: str, joints: list[Joint], say: Say) -> tuple[str, ...]:
    first = joints[0]
    heights = sorted(j.contact.height for j in joints)
    off = [m.most for j in joints for m in piece.misfits[j.id]]
    kinds = {j.contact.a.split("/")[0] for j in joints}
    worst = min((j.word for j in joints), key=("fails", "close", "holds").index)
    return (
        name,
        f"{_KINDS.get(first.spec.kind, first.spec.kind)}, {' and '.join(sorted(kinds))}",
        str(len(joints)),
        _span([math.degrees(j.contact.angle) for j in joints]),
        say.between(heights[0], heights[-1]) if heights[-1] - heights[0] > 0.5
        else say.length(heights[0]),
        say.bare(max(off)) if off else "",
        worst,
    )  # fmt: skip


def _span(degrees: list[float]) -> str:
    low, high = min(degrees), max(degrees)
    return f"{low:.1f}°" if high - low < 0.05 else f"{low:.1f} to {high:.1f}°"


def _size_words(joint: Joint, say: Say) -> str:
    """Sizes of a joint: lengths, counts as whole numbers, angles in degrees."""
    said = []
    for what, value in joint.sizes.items():
        if what in ("dowels", "screws"):
            said.append(f"{what} {value:.0f}")
        elif "angle" in what:
            said.append(f"{what} {format_angle(value)}")
        elif "face" in what or "area" in what:
            said.append(f"{what} {say.area(value)}")
        else:
            said.append(f"{what} {say.length(value)}")
    return ", ".join(said)


def _bad(piece: Piece, say: Say) -> list[Block]:
    """Checks that do not hold."""
    texts: dict[str, None] = {}
    for joint in piece.joints:
        for check in joint.checks:
            if check.word != "holds":
                value, limit = (
                    format_angle(v) if check.angle else say.length(v)
                    for v in (check.value, check.limit)
                )
                bound = "at least" if check.least else "at most"
                texts[
                    f"{joint.spec.name}, {check.word}: {check.what} {value}, {bound} {limit}."
                ] = None
    return [Text(text, "hold") for text in texts]


def _sliding(piece: Piece, say: Say) -> list[Block]:
    """Glue faces that slide under their clamp, and what keeps them."""
    rows: dict[tuple[str, ...], None] = {}
    for face in piece.glue_faces:
        if face.word == "holds" or face.guided:
            continue
        name = face.joint.split(":")[0]
        pegs = face.pegs
        help_ = f"two locating dowels {say.length(pegs.diameter)}" if pegs else ""
        if face.caul is not None:
            caul = f"or a wedge caul of {format_angle(face.caul.angle)}"
            help_ = f"{help_}, {caul}" if help_ else caul.removeprefix("or ")
        rows[(name, format_angle(face.off), format_angle(face.hold[0]), face.word, help_)] = None
    if not rows:
        return []
    header = ("Joint", "Clamp off square", "Glue holds to", "", "Add")
    return [Heading("Faces that slide under the clamp", 3), Table(header, list(rows), (1, 2))]


def _open_places(piece: Piece, say: Say) -> list[Block]:
    """Places where parts touch without a joint, and parts that take the same room."""
    texts = [
        f"{c.a} and {c.b} meet {say.length(c.height)} above the floor and no joint is named."
        for c in piece.unjoined
    ]
    texts += [
        f"{c.a} and {c.b} take the same room: {say.volume(c.volume)}."
        for c in piece.clashes
        if not c.joint
    ]
    return [Text(text, "hold") for text in texts]


# -- marking ------------------------------------------------------------------------------


def marking_chapter(plan: Plan, say: Say) -> list[Block]:
    """The marking sheet: story sticks, lengths and angles to cut, spacers."""
    piece = plan.piece
    if not piece.bodies:
        return []
    blocks: list[Block] = [NewPage(), Heading("Marking", 1), Text(_MARKING)]
    if piece.straight:
        blocks += [Heading("Straight parts, cut to length"), _cuts(piece, say)]
    blocks += _spacers(piece, say)
    for stick in piece.sticks:
        if stick.marks:
            blocks += _stick(stick, say)
    return blocks


_MARKING = (
    "Every distance is measured from the reference end of the part, along the face named. The "
    "same marks are on the story sticks in the templates folder, full size."
)


def _cuts(piece: Piece, say: Say) -> Table:
    rows = []
    for name, cuts in piece.straight.items():
        for cut in cuts:
            ends = piece.end_cuts.get(cut.ids[0])
            rows.append(
                (
                    name,
                    str(len(cut.ids)),
                    say.length(cut.length),
                    say.length(cut.cut_length),
                    _saw(ends, 0),
                    _saw(ends, 1),
                )
            )
    header = ("Part", "Of", "Shoulder to shoulder", "Cut to", "First end", "Other end")
    caption = (
        "Mitre gauge off square / blade off upright, wider face on the table; “square” is a plain "
        "cut."
    )
    return Table(header, rows, (1, 2, 3), caption)


def _saw(ends: tuple[EndCut, EndCut] | None, which: int) -> str:
    if ends is None or ends[which].flat.square:
        return "square"
    return _angles(ends[which].flat)


def _angles(saw: SawAngles) -> str:
    return f"{format_angle(saw.mitre)} / {format_angle(saw.tilt)}"


def _spacers(piece: Piece, say: Say) -> list[Block]:
    rows = [
        (
            spacer.kind,
            str(spacer.count),
            say.sharp(spacer.gap),
            say.sharp(spacer.end_gap) if spacer.end_gap else "none",
        )
        for spacer in piece.spacers
    ]
    if not rows:
        return []
    header = ("Between", "Gaps", f"Spacer, {say.unit_word}", "At the ends")
    return [Heading("Spacers for even gaps"), Table(header, rows, (1, 2, 3))]


def _stick(stick: Stick, say: Say) -> list[Block]:
    mirrored = f"; changed over for {', '.join(stick.mirrored)}" if stick.mirrored else ""
    header = ("Mark", "For", "On", f"From, {say.unit_word}", "To", "Across", "Depth")
    rows = [_mark_row(mark, say) for mark in _merged(stick.marks)]
    return [
        Heading(f"{stick.kind}: story stick", 3),
        Table(header, rows, (3, 4, 5, 6), f"For {', '.join(stick.ids)}{mirrored}"),
    ]


def _mark_row(mark: Mark, say: Say) -> tuple[str, ...]:
    start, end = mark.on_face
    return (
        mark.what,
        f"{mark.other} ({mark.joint})",
        mark.face,
        say.sharp(start),
        say.sharp(end),
        say.sharp(mark.across),
        say.sharp(mark.depth) if mark.depth else "",
    )


def _merged(marks: Iterable[Mark]) -> list[Mark]:
    """The marks without those that say the same again."""
    found: dict[tuple[object, ...], Mark] = {}
    for mark in marks:
        start, end = mark.on_face
        key = (mark.what, mark.face, round(start, 2), round(end, 2), round(mark.across, 2))
        found.setdefault(key, mark)
    return list(found.values())
