"""One bench page for each bent part: what is needed with dirty hands, large and short."""

from __future__ import annotations

import math

from overbend.book.blocks import Blanks, Block, Facts, Heading, NewPage, Table, Text
from overbend.book.say import Say
from overbend.book.words import METHOD_WORDS, TRIAL_FORM
from overbend.plan import BentPlan
from overbend.plan.steam import PartSteam

__all__ = ["bench_page"]


def bench_page(part: BentPlan, steam: PartSteam | None, say: Say) -> list[Block]:
    """Numbers and blanks for the bench, as far as they are computed."""
    blocks: list[Block] = [NewPage(), Heading(f"At the bench: {part.name}", 1)]
    if not part.set.proven:
        blocks.append(Text(TRIAL_FORM, "stamp"))
    blocks += [
        Text(_one_line(part), "lead"),
        Facts([*_facts(part, say), *_steam(steam, part)], 1, 13.0),
        Heading("Clamp order", 3),
        Text(_clamp_order(part)),
        Heading("Measure it on the form and off the form", 3),
        _chord_table(part, say),
        Heading("Trim marks", 3),
        Text(_trim(part, say)),
        Heading("Write in", 3),
        Blanks(_blanks(part)),
    ]
    return blocks


def _one_line(part: BentPlan) -> str:
    n = len(part.layup.plies)
    each = "one piece" if n == 1 else f"{n} strips"
    return f"{part.count} to make, {METHOD_WORDS[part.part.method]}, {each} each."


def _facts(part: BentPlan, say: Say) -> list[tuple[str, str]]:
    rows = []
    for strip in part.strips:
        rows.append((f"{strip.wood} strips", f"{strip.count} ({strip.per_part} for each)"))
        sizes = (say.bare(strip.length), say.bare(strip.width), say.length(strip.thickness))
        rows.append(("cut to", " x ".join(sizes)))
    form = part.form
    rows.append(("Face on the form", f"{form.spec.side} side"))
    rows.append(("Reference end", f"{part.part.reference} of the drawn curve, against the stop"))
    rows.append(("Stop from the trim mark", say.length(abs(form.stop.from_trim))))
    if form.spec.strap:
        rows.append(("Strap", f"{say.length(form.spec.strap)}, on the outside of the bend"))
    if form.spec.liner:
        rows.append(("Liner", f"{say.length(form.spec.liner)} between form and wood"))
    if form.clamps:
        widest = max(c.opening for c in form.clamps)
        rows.append(("Clamps", f"{len(form.clamps)}, opening {say.length(widest)} or more"))
    return rows


def _steam(steam: PartSteam | None, part: BentPlan) -> list[tuple[str, str]]:
    if steam is None:
        return []
    loading = steam.loading
    helpers = part.project.shop.people
    return [
        ("In the steam", f"{steam.minutes:.0f} min"),
        (
            "Out of the box to clamped",
            f"{math.floor(loading.low)} s wet, {math.floor(loading.high)} s dry; "
            f"yours about {math.ceil(loading.seconds)} s",
        ),
        ("Hands", "one alone" if helpers == 1 else f"{helpers} people"),
        ("Release", "by a moisture reading or a witness strip, not by the day"),
    ]


def _clamp_order(part: BentPlan) -> str:
    """From the tightest place outwards to both ends, so that strips can slide."""
    clamps = part.form.clamps
    if not clamps:
        return (
            "Close the second half evenly from the middle outwards, so that the strips can slide."
        )
    at = part.glued.tightest[0] if part.part.method == "solid" else part.glued.length / 2
    order = sorted(clamps, key=lambda c: abs(c.s - at))
    numbers = " · ".join(str(c.number) for c in order)
    return (
        f"{numbers}. Number 1 is the clamp nearest the stop. Start where the bend is and go "
        "outwards to both ends, so that the strips can slide. Common practice, no source."
    )


def _chord_table(part: BentPlan, say: Say) -> Table:
    band = part.band
    form, off = part.shapes["form"], part.shapes["released"]
    rows = [
        ("Chord", say.bare(form.chord), say.bare(off.chord),
         say.between(band.chord.low, band.chord.high), ""),
        ("Rise", say.bare(form.rise), say.bare(off.rise),
         say.between(band.rise.low, band.rise.high), ""),
    ]  # fmt: skip
    header = (
        f"Middle line, in {say.unit}", "On the form", "After release", "Nine in ten", "Measured",
    )  # fmt: skip
    return Table(header, rows, (1, 2, 3))


def _trim(part: BentPlan, say: Say) -> str:
    check = part.form.parts[0].check
    return (
        f"Cut the reference end at its trim mark, then measure {say.length(check.length)} along "
        "the face that lay on the form to the other trim mark."
    )


def _blanks(part: BentPlan) -> list[str]:
    asked = ["Date", "Who"]
    if part.part.method != "laminate":
        asked += ["Into the steam", "Out of the steam", "Clamped after, s", "Moisture, %"]
    if part.part.method != "solid":
        asked += ["Glue mixed", "Last clamp closed", "Clamps off"]
    return [
        *asked,
        "Chord after an hour",
        "Chord after a day",
        "Chord after ten days",
        "Broke, where",
    ]
