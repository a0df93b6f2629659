"""The sheet of one bent part: target, form, released band, layup, strips, form."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import groupby

from overbend.book.blocks import Block, Facts, Heading, NewPage, Pair, Picture, Table, Text
from overbend.book.chapters.pictures import drawn_at, page_scale
from overbend.book.chapters.strips import strip_table
from overbend.book.say import Say
from overbend.book.words import METHOD_WORDS, TRIAL_FORM, TRIAL_FORM_WHY
from overbend.draw.form_sheet import form_drawing, mark_words
from overbend.draw.part_sheet import departure_drawing, part_drawing, relaxing_drawing
from overbend.draw.svg import to_svg
from overbend.form import FormPart
from overbend.plan import BentPlan

__all__ = ["part_sheet"]

_WIDE, _HIGH = 165.0, 78.0  # field of a drawing on the page [mm]


def part_sheet(part: BentPlan, say: Say) -> list[Block]:
    """Everything about one bent part."""
    blocks: list[Block] = [NewPage(), Heading(part.name, 1), Text(_headline(part, say), "lead")]
    if not part.set.proven:
        blocks.append(Text(TRIAL_FORM, "stamp"))
    blocks += _made_notes(part, say)
    blocks += [_at_rest(part, say), *_relaxing(part, say), _numbers(part, say)]
    blocks += [Heading("Strips, outside in"), _layup(part, say), Text(_set_words(part), "small")]
    blocks += [Heading("What to mill"), strip_table(part, say)]
    blocks += _form(part, say)
    return blocks


def _headline(part: BentPlan, say: Say) -> str:
    """The answer first: how much it relaxes, by the size that moves most."""
    n = len(part.layup.plies)
    what = f"One piece of {_thicknesses(part, say)} relaxes"
    if n > 1:
        what = f"{n} strips of {_thicknesses(part, say)} relax"
    form, off, band = part.shapes["form"], part.shapes["released"], part.band
    if abs(off.chord - form.chord) > abs(off.rise - form.rise):
        name, a, b, after = "chord", form.chord, off.chord, band.chord
    else:
        name, a, b, after = "rise", form.rise, off.rise, band.rise
    return (
        f"{what} by {say.share(part.springback)}: bent to a {name} of {say.length(a)}, it comes "
        f"off at {say.length(b)} ({say.between(after.low, after.high)})."
    )


def _thicknesses(part: BentPlan, say: Say) -> str:
    kinds = sorted({ply.thickness for ply in part.layup.plies})
    if len(kinds) == 1:
        return say.length(kinds[0])
    return f"{say.bare(kinds[0])} to {say.length(kinds[-1])}"


def _made_notes(part: BentPlan, say: Say) -> list[Block]:
    notes = []
    if part.made.form is not None:
        notes.append(
            "The form is made; it was measured and everything here is solved forward from it. "
            f"Parts come off up to {say.fine(part.misfit)} from the drawing. The form below is "
            "the one the drawing would ask for today."
        )
    for line, strips in part.made.strips.items():
        asked = part.part.ply[line - 1].thickness
        notes.append(
            f"{strips.count} strips are milled: measured {say.fine(strips.mean)} on average where "
            f"{say.fine(asked)} was asked. The measured thickness is used."
        )
    return [Text(note, "hold") for note in notes]


def _at_rest(part: BentPlan, say: Say) -> Picture:
    scale = page_scale(part_drawing(part, 0.1, say.display), _WIDE, _HIGH, 20.0)
    return drawn_at(
        part_drawing(part, scale, say.display), scale, "At rest, sizes on the middle line"
    )


def _relaxing(part: BentPlan, say: Say) -> list[Picture]:
    """True to scale where the difference can be seen on paper, and always as a chart."""
    scale = page_scale(relaxing_drawing(part, 0.1, say.display), _WIDE, 60.0, 13.0)
    tips = part.glued.point(part.glued.length), part.target.curve.point(part.target.curve.length)
    pictures = []
    if math.dist(*tips) * scale >= 4.0:
        caption = (
            "Face on the form (long dashes), at rest (line) and where nine parts in ten come to "
            "lie (hatched), laid together at the reference end"
        )
        pictures.append(drawn_at(relaxing_drawing(part, scale, say.display), scale, caption))
    chart = to_svg(departure_drawing(part, say.display), theme="print", wide=0.4)
    return [*pictures, Picture(chart, "From form to rest: the hatched band holds nine in ten")]


def _numbers(part: BentPlan, say: Say) -> Table:
    band = part.band
    shapes = part.shapes
    rows = [
        ("Chord, ends of the middle line", *(say.bare(shapes[k].chord) for k in shapes),
         say.between(band.chord.low, band.chord.high)),
        ("Rise off that chord", *(say.bare(shapes[k].rise) for k in shapes),
         say.between(band.rise.low, band.rise.high)),
        ("Angle between the ends", *(say.angle(abs(shapes[k].turn)) for k in shapes), ""),
        ("Tightest radius", *(say.bare(shapes[k].radius) for k in shapes), ""),
        ("Length", *(say.bare(shapes[k].length) for k in shapes), ""),
    ]  # fmt: skip
    caption = (
        f"Parts off one form agree at the far end within {say.length(band.tip.one_form)} "
        f"(nine in ten); a shop that has not tried this wood may be off by "
        f"{say.length(band.tip.shop)}."
    )
    header = (f"In {say.unit}", "At rest", "On the form", "Released", "Nine in ten")
    return Table(header, rows, (1, 2, 3, 4), caption)


def _layup(part: BentPlan, say: Say) -> Table:
    rows, place = [], 0
    for (wood, species, thickness, measured, modulus), same in groupby(
        part.strips_used,
        key=lambda s: (s.wood, s.species, s.thickness, s.measured, s.modulus.value),
    ):
        count = len(list(same))
        rows.append(
            (
                str(place + 1) if count == 1 else f"{place + 1} to {place + count}",
                wood if wood == species else f"{wood} ({species})",
                say.length(thickness) + (" measured" if measured else ""),
                f"{modulus / 1000:.1f} GPa",
            )
        )
        place += count
    return Table(("Strip", "Wood", "Thickness", "Stiffness along the grain"), rows, (2, 3))


def _set_words(part: BentPlan) -> str:
    if part.set.median == 0.0:
        how = METHOD_WORDS[part.part.method].capitalize()
        return f"{how}: the strips keep nothing of the bend by themselves."
    low, high = part.set.range90
    return (
        f"Set, the share of the bend a strip keeps by itself: {part.set.median:.2f} "
        f"({low:.2f} to {high:.2f}); {part.set.source}."
    )


def _form(part: BentPlan, say: Say) -> list[Block]:
    form = part.form
    scale = page_scale(form_drawing(part, 0.1, say.display), _WIDE, 120.0, 16.0)
    blocks: list[Block] = [
        NewPage(),
        Heading(f"{part.name}: the form"),
        *([] if part.set.proven else [Text(TRIAL_FORM, "stamp"), Text(TRIAL_FORM_WHY)]),
        drawn_at(form_drawing(part, scale, say.display), scale, "The form with the wood on it"),
        *(Text(warning, "hold") for warning in form.warnings),
        *(Text(reason) for reason in form.reasons),
    ]
    for i, body in enumerate(form.parts, start=1):
        blocks += _body(part, body, i, say)
    return blocks


def _body(part: BentPlan, body: FormPart, number: int, say: Say) -> list[Block]:
    check, layers = body.check, body.layers
    several = len(part.form.parts) > 1
    facts = (
        ("Chord between the trim marks", f"{say.sharp(check.chord)} {say.unit}"),
        ("Rise of the face", f"{say.sharp(abs(check.rise))} {say.unit}"),
        ("Length of face between them", f"{say.sharp(check.length)} {say.unit}"),
        ("Layers", f"{layers.count} of {say.length(layers.sheet_thickness)}"),
        ("Sheets", f"{layers.sheets}, {layers.per_sheet} layers from one"),
        ("Blank for a layer", f"{say.bare(layers.box[0])} x {say.length(layers.box[1])}"),
    )
    title = f"Body {number}: check it with a rule" if several else "Check the form with a rule"
    return [
        Heading(title, 3),
        Facts(facts),
        Pair((_marks(body, say),), (_ordinates(body, say),), 0.48),
    ]


def _marks(body: FormPart, say: Say) -> Table:
    rows = [(mark_words(m.key), say.sharp(m.along)) for m in body.marks]
    return Table(
        ("Mark", f"Along the face, {say.unit}"),
        rows,
        (1,),
        "From the trim mark at the reference end",
    )


def _ordinates(body: FormPart, say: Say) -> Table:
    table = body.check.ordinates
    half = (len(table) + 1) // 2
    left, right = list(table[:half]), list(table[half:])
    rows = [_ordinate_row(left, right, i, say) for i in range(half)]
    head = ("Along", "Off")
    return Table(
        (*head, *head),
        rows,
        (0, 1, 2, 3),
        f"Along and off the chord, to lay the face out without a printer, in {say.unit}",
    )


def _ordinate_row(left: Sequence, right: Sequence, i: int, say: Say) -> tuple[str, ...]:  # type: ignore[type-arg]
    a = left[i]
    row = (say.sharp(a.x), say.sharp(a.y))
    if i < len(right):
        return (*row, say.sharp(right[i].x), say.sharp(right[i].y))
    return (*row, "", "")
