"""One bench page for each bent part: what is needed with dirty hands, large and short."""

from __future__ import annotations

import math

from overbend.bend import Range
from overbend.book.blocks import Blanks, Block, Facts, Heading, NewPage, Table, Text
from overbend.book.say import Say
from overbend.book.words import BENCH_CAUTIONS, METHOD_WORDS, TRIAL_FORM
from overbend.curve import Curve
from overbend.form import chord_and_rise
from overbend.form.face import Face
from overbend.plan import BentPlan
from overbend.plan.steam import PartSteam
from overbend.project import adhesive_of
from overbend.units import format_duration, format_pressure

__all__ = ["bench_page"]

_LARGE = 12.5  # pt, read at arm's length


def bench_page(part: BentPlan, steam: PartSteam | None, say: Say) -> list[Block]:
    """Numbers and blanks for the bench, as far as they are computed."""
    blocks: list[Block] = [NewPage(), Heading(f"At the bench: {part.name}", 1)]
    if not part.set.proven:
        blocks.append(Text(TRIAL_FORM, "stamp"))
    blocks += [
        Text(_one_line(part), "lead"),
        Facts([*_wood(part, say), *_form(part, say)], 1, _LARGE),
        Facts([*_steam(steam, part, say), *_glue(part, say)], 1, _LARGE),
        Heading("Clamps", 3),
        Text(_clamp_order(part)),
        Heading("Measure the face that lies on the form, from trim mark to trim mark", 3),
        _face_table(part, say),
        Text(_trim(part, say)),
        *(Text(text, "caution") for text in BENCH_CAUTIONS[part.part.method]),
        Heading("Write in", 3),
        Blanks(_blanks(part)),
    ]
    return blocks


def _one_line(part: BentPlan) -> str:
    n = len(part.layup.plies)
    each = "one piece" if n == 1 else f"{n} strips"
    return f"{part.count} to make, {METHOD_WORDS[part.part.method]}, {each} each."


def _wood(part: BentPlan, say: Say) -> list[tuple[str, str]]:
    """Strips or blanks: how many, and their size when they are ready to bend."""
    what = "blanks" if part.part.method == "solid" else "strips"
    rows = []
    for strip, spares in zip(part.strips, part.risk.spares, strict=True):
        mill = spares.mill or "not known how many"
        rows.append((f"{strip.wood} {what}", f"{mill} for {strip.count} good ones"))
        sizes = (say.bare(strip.length), say.bare(strip.width), say.thick(strip.thickness))
        rows.append(("ready to bend", " x ".join(sizes)))
    return rows


def _form(part: BentPlan, say: Say) -> list[tuple[str, str]]:
    form = part.form_used
    rows = [
        ("Against the form", f"the {form.spec.side} face"),
        ("Stop from the trim mark", say.length(abs(form.stop.from_trim))),
    ]
    if form.spec.strap:
        rows.append(("Strap", f"{say.length(form.spec.strap)}, on the outside of the bend"))
    if part.strap is not None:
        rows.append(("Stops of the strap", f"{say.length(part.strap.stop_spacing)} apart"))
    if form.spec.liner:
        rows.append(("Liner", f"{say.length(form.spec.liner)} between form and wood"))
    if form.clamps:
        widest = max(c.opening for c in form.clamps)
        caul = say.length(form.spec.caul_thickness)
        rows.append(
            ("Clamps", f"{len(form.clamps)} that open {say.length(widest)}, over cauls of {caul}")
        )
    return rows


def _steam(steam: PartSteam | None, part: BentPlan, say: Say) -> list[tuple[str, str]]:
    if steam is None:
        return []
    going_on, then = "100 g", f"{100 * steam.witness:.0f} g"
    if say.unit == "in":
        going_on, then = "10 oz", f"{10 * steam.witness:.1f} oz"
    loading, people = steam.loading, part.project.shop.people
    return [
        ("In the steam", f"{steam.minutes:.0f} min"),
        (
            "Out of the box to clamped",
            f"{loading.verdict}: {math.floor(loading.low)} s wet, "
            f"{math.floor(loading.high)} s dry, yours about {math.ceil(loading.seconds)} s",
        ),
        ("Hands", "one alone" if people == 1 else f"{people} people"),
        (
            "Release",
            f"at {steam.release_at:.0f} % moisture or less; a witness strip that weighs "
            f"{going_on} going on weighs {then} then",
        ),
    ]


def _glue(part: BentPlan, say: Say) -> list[tuple[str, str]]:
    """What is known of the glue; the maker's data sheet goes before it."""
    if part.part.adhesive is None:
        return []
    glue = adhesive_of(part.project.adhesive[part.part.adhesive])
    rows = [("Glue", glue.name)]
    if glue.open_time is not None:
        low = glue.open_time.value if glue.open_time.low is None else glue.open_time.low
        rows.append(("Spread to closed within", f"{format_duration(low)}, less in a warm shop"))
    if glue.pressure.value:
        rows.append(("Pressure", format_pressure(glue.pressure.value, say.display)))
    rows.append(
        (
            "In the clamps",
            f"{format_duration(glue.clamp_time.value)} at {say.temperature(20.0)} or longer",
        )
    )
    return rows


def _clamp_order(part: BentPlan) -> str:
    """Which clamp first, by how the part is bent. Common practice, no source."""
    form = part.form_used
    if not form.clamps:
        return "Close the second body evenly, a little at each clamp in turn."
    if len(form.parts) > 1:
        return (
            "Middle mark on middle mark, then draw the two bodies together evenly: a little at "
            "each clamp in turn, from the middle outwards."
        )
    if part.part.method == "solid" and not form.spec.strap:
        return (
            "Clamp 1 at the stop first, then one after the other to the far end, the wood drawn "
            "tight to the face before each is closed."
        )
    order = sorted(form.clamps, key=lambda c: abs(c.s - part.glued.length / 2))
    numbers = " · ".join(str(c.number) for c in order)
    slide = "" if len(part.layup.plies) == 1 else ", so that the strips can slide"
    return (
        f"Middle mark on middle mark, then outwards to both ends{slide}: {numbers}. Number 1 is "
        "nearest the stop."
    )


def _face_table(part: BentPlan, say: Say) -> Table:
    """Chord and rise of the face on the form and off it, with the band, and room to write."""
    d = part.face_offset
    on, off = (_measured(part, line, d) for line in (part.glued, part.released))
    band = part.band
    rows = [
        ("Chord", say.bare(on[0]), say.bare(off[0]), _band(off[0], band.chord, say), ""),
        ("Rise", say.bare(on[1]), say.bare(off[1]), _band(off[1], band.rise, say), ""),
    ]
    header = (
        f"In {say.unit_word}", "On the form", "After release", "Nine in ten", "Measured",
    )  # fmt: skip
    return Table(header, rows, (1, 2, 3))


def _measured(part: BentPlan, line: Curve, d: float) -> tuple[float, float]:
    chord, rise, _ = chord_and_rise(Face(line, d, 0.0, part.form_used.spec.sign))
    return chord, abs(rise)


def _band(nominal: float, middle: Range, say: Say) -> str:
    """The band of the middle line's size, carried to the face's own."""
    low, high = (nominal + end - middle.median for end in (middle.low, middle.high))
    return say.between(low, high)


def _trim(part: BentPlan, say: Say) -> str:
    length = part.released.offset(part.face_offset).length
    return (
        f"When it has relaxed, cut the reference end at its trim mark, then measure "
        f"{say.length(length)} along the face that lay on the form to the other trim mark."
    )


def _blanks(part: BentPlan) -> list[str]:
    asked = ["Date", "Who"]
    if part.part.method != "laminate":
        asked += ["Into the steam", "Out of the steam", "Clamped after, s", "Moisture, %"]
    if part.part.method != "solid":
        asked += ["Glue mixed", "Last clamp closed", "Clamps off"]
    asked += [f"{size} after {when}" for when in ("an hour", "a day", "ten days")
              for size in ("Chord", "Rise")]  # fmt: skip
    return [*asked, "Broke, where"]
