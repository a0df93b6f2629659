"""After a trial: what to shave off the form that is made, or that a new one is needed."""

from __future__ import annotations

from dataclasses import replace

from overbend.book.blocks import Block, Heading, Picture, Table, Text
from overbend.book.chapters.pictures import drawn_at, page_scale
from overbend.book.say import Say
from overbend.draw.shave_sheet import depth_text, shave_chart, shave_drawing
from overbend.draw.svg import to_svg
from overbend.errors import CurveError
from overbend.form.shave import LEAST, Shave, relaid, shave
from overbend.plan import BentPlan, named_stations

__all__ = ["shave_blocks", "shaves_of"]

_WIDE, _HIGH = 160.0, 80.0  # field of the drawing on the page [mm]
_DEEP = 12.0  # mm: more to shave than this is quicker sawn anew. Our choice
_SPACING = {"mm": (25.0, 50.0), "in": (25.4, 50.8)}
_LONG = 300.0  # mm of face from which the table takes the wider spacing

_HOW = (
    "Take the stop off. Lay the new template on the form, trim mark near trim mark, at the two "
    "depths given for them, and trace it on both sides. Shave to the line, square across the face; "
    "check it with the table, mark the trim lines anew and put the stop back. Walls before clamp "
    "holes grow thinner by as much."
)
_RESTS = "It rests on what you measured on the form; measure again before you cut."
_ONE_FACTOR = (
    "From chord and rise, or fewer than five points, the form is taken to be the planned one bent "
    "a little tighter or wider all along. Measure five points or more to be surer in between."
)
_SECOND = "The second half was not measured: it is taken to fit the first as it is."
_NEW_FORM = "Build a new form, or glue wood on and shape it again."


def shaves_of(part: BentPlan) -> tuple[Shave, ...]:
    """Difference between each half of the form as made and as asked for now.

    Parameters
    ----------
    part : a part whose form is made.

    Returns
    -------
    One for each half, laid together at the reference end.

    Raises
    ------
    CurveError
        When the form as measured is too far from the one asked for to be compared.
    LayupError
        When no form was made.
    """
    made, form = part.made_form.glued, part.form
    spacing, names = _table_of(part)
    return tuple(
        shave(
            replace(half.face, glued=made), half.face, form.spec.reference,
            spacing=spacing, names=names,
        )
        for half in form.parts
    )  # fmt: skip


def _table_of(part: BentPlan) -> tuple[float, dict[str, float]]:
    """Spacing of the table, and what else is in it."""
    close, wide = _SPACING[part.display.system]
    line = part.form.glued
    return wide if line.length > _LONG else close, named_stations(line)


def shave_blocks(part: BentPlan, say: Say) -> list[Block]:
    """Blocks that say what to shave off the form that is made.

    Parameters
    ----------
    part : the part.
    say : how numbers are written.

    Returns
    -------
    Nothing unless a form and a trial bend of the part are recorded as made.
    """
    if part.made.form is None or part.made.trial is None:
        return []
    heading = Heading(f"{part.name}: what to shave off the form")
    try:
        halves = shaves_of(part)
    except CurveError as error:
        return [heading, Text(f"{error.problem.capitalize()}. {_NEW_FORM}", "hold")]
    blocks: list[Block] = [heading]
    for number, found in enumerate(halves, start=1):
        if len(halves) > 1:
            blocks.append(Heading(f"Half {number}", 3))
        blocks += _half(part, found, say)
    notes = [_RESTS, *([_SECOND] if len(halves) > 1 else [])]
    measured = part.made.form.points
    notes += [_ONE_FACTOR] if measured is None or len(measured) < 5 else []
    return [*blocks, *(Text(note, "small") for note in notes)]


def _half(part: BentPlan, found: Shave, say: Say) -> list[Block]:
    """Answer, drawing, chart and table of one half."""
    if found.kind == "nothing":
        return [Text(f"Leave it: nowhere is it {_depth(LEAST, say)} from what is asked.", "lead")]
    spacing, names = _table_of(part)
    least = relaid(found, spacing=spacing, names=names)
    if found.kind == "add":
        return _missing(part, found, least, say)
    return [Text(_take_off(found, least, say), "lead"), *_pictures(part, found, say)]


def _take_off(found: Shave, least: Shave | None, say: Say) -> str:
    """What comes off with the faces together at the reference end, and how little could do."""
    most, where = found.most
    text = (
        f"Shave off up to {_depth(most, say)}, {_where(found, where, say)}; nothing at the "
        f"reference end, {_depth(found.at_trim[1], say)} at the other trim mark."
    )
    if least is None or least.most[0] > 0.7 * most:
        return text
    near, far = least.at_trim
    return (
        f"{text} Laid {_depth(near, say)} deep at the reference end's trim mark and "
        f"{_depth(far, say)} at the other, no more than {_depth(least.most[0], say)} comes off."
    )


def _missing(part: BentPlan, found: Shave, least: Shave | None, say: Say) -> list[Block]:
    """Wood is missing: another way to lay the face, or a new form."""
    most, where = found.missing
    text = (
        f"Laid together at the reference end, {_depth(most, say)} of wood would be missing, "
        f"{_where(found, where, say)}."
    )
    if least is None or least.most[0] > _DEEP:
        return [Text(f"{text} {_NEW_FORM}", "lead"), *_pictures(part, found, say, how=False)]
    near, far = least.at_trim
    return [
        Text(
            f"{text} Lay the new face {_depth(near, say)} deep at the reference end's trim mark "
            f"and {_depth(far, say)} at the other: then nothing is missing, and up to "
            f"{_depth(least.most[0], say)} comes off, {_where(least, least.most[1], say)}.",
            "lead",
        ),
        *_pictures(part, least, say),
    ]


def _pictures(part: BentPlan, found: Shave, say: Say, how: bool = True) -> list[Block]:
    title = f"{part.name}: the form as it is and as it is asked for"
    scale = page_scale(shave_drawing(found, 0.1, say.display, title), _WIDE, _HIGH, 14.0)
    chart = to_svg(shave_chart(found, say.display, title=title), theme="print", wide=0.4)
    drawing = shave_drawing(found, scale, say.display, title)
    caption = f"Thin: the face as it is. Wide: as asked for. Depths in {say.unit}"
    return [
        drawn_at(drawing, scale, caption),
        *([Text(_HOW)] if how else []),
        Picture(chart, "How deep, square to the face"),
        _table(found, say),
    ]


def _table(found: Shave, say: Say) -> Table:
    rows = [(p.name, say.bare(p.along), depth_text(p.depth, say.display)) for p in found.places]
    half = (len(rows) + 1) // 2
    right = [*rows[half:], ("", "", "")][:half]
    head = ("", "Along", "Take off")
    return Table(
        (*head, *head),
        [(*a, *b) for a, b in zip(rows[:half], right, strict=True)],
        (1, 2, 4, 5),
        f"Along the face from the reference end's trim mark, in {say.unit}; below zero: missing",
    )


def _where(found: Shave, along: float, say: Say) -> str:
    """A place along the face, in words at its ends."""
    trim = found.old.along(found.old.glued.length)
    if along < 0.0:
        return "in the run-out before the reference end"
    if along > trim:
        return "in the run-out beyond the far trim mark"
    return f"{say.length(along)} along the face"


def _depth(mm: float, say: Say) -> str:
    return f"{depth_text(mm, say.display)} {say.unit}"
