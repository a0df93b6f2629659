"""The sheet of one bent part: target, form, released band, layup, strips, form."""

from __future__ import annotations

import math
from itertools import groupby

from overbend.book.blocks import Block, Heading, NewPage, Pair, Picture, Table, Text
from overbend.book.chapters.form_checks import form_checks
from overbend.book.chapters.pictures import best_scale, drawn_at, drawn_to_fit
from overbend.book.chapters.strips import strip_table
from overbend.book.say import Say
from overbend.book.words import METHOD_WORDS, TRIAL_FORM, TRIAL_FORM_WHY
from overbend.draw.drawing import Drawing
from overbend.draw.form_sheet import form_drawing
from overbend.draw.part_sheet import departure_drawing, part_drawing, relaxing_drawing
from overbend.draw.svg import to_svg
from overbend.plan import BentPlan

__all__ = ["part_sheet"]

_WIDE = 168.0  # mm, room for a drawing across the page
_AT_REST, _RELAXING, _FORM = 62.0, 46.0, 95.0  # mm, heights of drawings at most
_CHART = 24.0  # mm, height of the chart's field
_SEEN = 4.0  # mm on paper: less is not seen
_SMALL = 9.5  # pt
_TRIAL = Pair((Text(TRIAL_FORM, "stamp"),), (Text(TRIAL_FORM_WHY),), 0.24)


def part_sheet(part: BentPlan, say: Say) -> list[Block]:
    """Everything about one bent part: a page of the part, then its form."""
    return [
        NewPage(),
        Heading(part.name, 1),
        *_opening(part, say),
        *_made_notes(part, say),
        _at_rest(part, say),
        *_relaxing(part, say),
        _numbers(part, say),
        Heading("Strips, and what to mill", 3),
        _layup(part, say),
        strip_table(part, say),
        *_form(part, say),
    ]


def _opening(part: BentPlan, say: Say) -> list[Block]:
    """The answer first, beside it the stamp of a form that nothing has proven."""
    lead = Text(_headline(part, say), "lead")
    return [lead] if part.set.proven else [Pair((lead,), (Text(TRIAL_FORM, "stamp"),), 0.78)]


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
    return drawn_to_fit(
        lambda scale: part_drawing(part, scale, say.display),
        _WIDE,
        _AT_REST,
        "At rest, sizes on the middle line",
    )


def _relaxing(part: BentPlan, say: Say) -> list[Picture]:
    """True to scale where the difference can be seen on paper, and always as a chart."""

    def build(scale: float) -> Drawing:
        return relaxing_drawing(part, scale, say.display)

    tips = part.glued.point(part.glued.length), part.target.curve.point(part.target.curve.length)
    scale = best_scale(build, _WIDE, _RELAXING)
    pictures = []
    if math.dist(*tips) * scale >= _SEEN:
        caption = "Face on the form (long dashes), at rest (line), nine in ten (hatched)"
        pictures.append(drawn_at(build(scale), scale, caption))
    chart = departure_drawing(part, say.display, height=_CHART)
    svg = to_svg(chart, margin=1.5, theme="print", wide=0.4)
    return [*pictures, Picture(svg, "From form to rest: the hatched band holds nine in ten")]


def _numbers(part: BentPlan, say: Say) -> Table:
    band, shapes = part.band, part.shapes

    def row(name: str, *cells: str) -> tuple[str, ...]:
        return (name, *cells, *("" for _ in range(4 - len(cells))))

    def angle(turn: float) -> str:
        return f"{math.degrees(abs(turn)):.1f}\u00b0"

    def among(low: float, high: float) -> str:
        return f"{say.cell(min(low, high))} to {say.cell(max(low, high))}"

    at = [shapes[name] for name in ("target", "form", "released")]
    rows = [
        row("Chord, ends of the middle line", *(say.cell(s.chord) for s in at),
            among(band.chord.low, band.chord.high)),
        row("Rise off that chord", *(say.cell(s.rise) for s in at),
            among(band.rise.low, band.rise.high)),
        row("Angle between the ends", *(angle(s.turn) for s in at)),
        row("Tightest radius", *(say.cell(s.radius) for s in at)),
        row("Length", *(say.cell(s.length) for s in at)),
    ]  # fmt: skip
    caption = (
        f"Parts off one form agree at the far end within {say.length(band.tip.one_form)} "
        f"(nine in ten); a shop that has not tried this wood may be off by "
        f"{say.length(band.tip.shop)}."
    )
    header = (f"In {say.unit_word}", "At rest", "On the form", "Released", "Nine in ten")
    return Table(header, rows, (1, 2, 3, 4), caption, _SMALL)


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
                say.stiffness(modulus),
            )
        )
        place += count
    header = ("Strip, outside in", "Wood", "Thickness", "Stiffness along the grain")
    return Table(header, rows, (2, 3), _set_words(part), _SMALL)


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
    """The form: a page of it with its reasons, then what to check it by."""
    form = part.form
    drawn = drawn_to_fit(
        lambda scale: form_drawing(part, scale, say.display),
        _WIDE,
        _FORM,
        "The form with the wood on it; numbers are the clamps, 1 nearest the stop",
    )
    return [
        NewPage(),
        Heading(f"{part.name}: the form"),
        *([] if part.set.proven else [_TRIAL]),
        drawn,
        *(Text(warning, "hold") for warning in form.warnings),
        *(Text(reason) for reason in form.reasons),
        *form_checks(part, say),
    ]
