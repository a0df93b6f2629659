"""What a made form is checked by: marks, offsets, clamp holes, sheets."""

from __future__ import annotations

from collections.abc import Sequence

from overbend.book.blocks import Block, Facts, Heading, NewPage, Pair, Table, Whole
from overbend.book.say import Say
from overbend.draw.form_sheet import mark_words
from overbend.form import FormPart, on_chord
from overbend.plan import BentPlan

__all__ = ["folded", "form_checks"]

_SIZE = 9.5  # pt
_ONE_PAGE = 36  # rows that stand on one page with their headings and captions

Row = tuple[str, ...]


def form_checks(part: BentPlan, say: Say) -> list[Block]:
    """Tables of one body under each other, those of two beside each other on their own page."""
    bodies = part.form.parts
    clamps = _clamps(part, say)
    if len(bodies) == 1:
        first = bodies[0]
        offsets = _offsets(first, say, 4 if first.check.spaced == "chord" else 3)
        beside = Pair((_facts(first, say),), (_marks(first, say),), 0.55)
        blocks: list[Block] = [
            Heading(f"{part.name}: check the form with a rule", 3),
            beside,
            offsets,
            *clamps,
        ]
        rows = len(first.marks) + len(offsets.rows) + 0.5 * len(part.form.clamps)
        return [Whole(blocks)] if rows <= _ONE_PAGE else blocks
    names = (f"{part.name}, body {number}" for number in (1, 2))
    left, right = (_column(body, name, say) for body, name in zip(bodies, names, strict=True))
    return [NewPage(), Pair(left, right), *clamps]


def _column(body: FormPart, name: str, say: Say) -> list[Block]:
    """Everything about one of two bodies, half a page wide."""
    groups = 2 if body.check.spaced == "chord" else 1
    return [
        Heading(f"{name}: check it with a rule", 3),
        _facts(body, say),
        _marks(body, say),
        _offsets(body, say, groups),
    ]


def _facts(body: FormPart, say: Say) -> Facts:
    check, layers = body.check, body.layers
    rows = (
        ("Chord between the trim marks", f"{say.sharp(check.chord)} {say.unit}"),
        ("Rise of the face", f"{say.sharp(abs(check.rise))} {say.unit}"),
        ("Length of face between them", f"{say.sharp(check.length)} {say.unit}"),
        ("Layers", f"{layers.count} of {say.length(layers.sheet_thickness)}"),
        ("Sheets", f"{layers.sheets}, {layers.per_sheet} layers from one"),
        ("Blank for a layer", f"{say.bare(layers.box[0])} x {say.length(layers.box[1])}"),
    )
    return Facts(rows, 1, 10.0)


def _marks(body: FormPart, say: Say) -> Table:
    rows = [(mark_words(m.key), say.cell(m.along)) for m in body.marks]
    header = ("Mark", f"Along the face, {say.unit_word}")
    return Table(header, rows, (1,), "From the trim mark at the reference end", _SIZE)


def _offsets(body: FormPart, say: Say, groups: int) -> Table:
    """Table of offsets, to lay the face out by or to check it."""
    check = body.check
    if check.spaced == "chord":
        header: Row = ("Along", "Off")
        rows: list[Row] = [(say.cell(o.x), say.cell(o.y)) for o in check.ordinates]
        said = "Along and off the chord between the trim marks"
    else:
        header = ("On the face", "Along", "Off")
        rows = [(say.cell(o.along), say.cell(o.x), say.cell(o.y)) for o in check.ordinates]
        said = "Distance on the face, and along and off the chord between the trim marks"
    caption = f"{said}, to lay the face out without a printer, in {say.unit_word}"
    return folded(header, rows, groups, caption)


def _clamps(part: BentPlan, say: Say) -> list[Whole]:
    """Where the clamp holes are bored, or where clamps stand on the face without them."""
    form = part.form
    if any(body.holes for body in form.parts):
        tables = [_holes(part, body, say) for body in form.parts]
        several = len(tables) > 1
        return [
            Whole((Heading(f"Clamp holes of body {k}" if several else "Clamp holes", 3), table))
            for k, table in enumerate(tables, start=1)
        ]
    if not form.clamps:
        return []
    face = form.parts[0].face
    rows = [
        (str(c.number), say.cell(face.along(c.s)), say.cell(c.opening))
        for c in sorted(form.clamps, key=lambda c: c.number)
    ]
    caption = f"Along the first face from the trim mark at the reference end, in {say.unit_word}"
    table = folded(("Clamp", "Along the face", "Opening"), rows, 2, caption)
    return [Whole((Heading("Clamps", 3), table))]


def _holes(part: BentPlan, body: FormPart, say: Say) -> Table:
    holes = sorted(body.holes, key=lambda hole: hole.numbers)
    places = on_chord(body.face, [hole.centre for hole in holes], part.form.spec.reference)
    rows = [
        (
            " and ".join(map(str, hole.numbers)),
            say.cell(float(x)),
            say.cell(float(y)),
            say.cell(hole.diameter),
        )
        for hole, (x, y) in zip(holes, places, strict=True)
    ]
    caption = (
        "Along and off the chord from the reference end's trim mark, positive where the face "
        f"bulges, in {say.unit_word}"
    )
    return folded(("Clamp", "Along", "Off", "\u00d8"), rows, 2, caption)


def folded(header: Row, rows: Sequence[Row], groups: int, caption: str) -> Table:
    """A table of numbers set in groups of columns side by side, read down each group.

    Examples
    --------
    >>> folded(("n",), [("1",), ("2",), ("3",)], 2, "").rows
    [('1', '3'), ('2', '')]
    """
    high = max(1, -(-len(rows) // groups))
    blank = tuple("" for _ in header)
    filled = [*rows, *(blank for _ in range(high * groups - len(rows)))]
    lines = [sum((filled[k + high * g] for g in range(groups)), ()) for k in range(high)]
    return Table(header * groups, lines, tuple(range(len(header) * groups)), caption, _SIZE)
