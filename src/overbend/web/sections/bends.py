"""Bends: how far the part relaxes, whether its strips take the bend, the stack."""

from __future__ import annotations

import math
from typing import Any

from overbend.draw.part_sheet import departure_drawing
from overbend.draw.risk_chart import strain_drawing
from overbend.plan import BentPlan
from overbend.web.pictures import page_svg
from overbend.web.sections.at import At, register
from overbend.web.sentence import Piece, Pieces, block, picture, sentence, table, verdict
from overbend.web.words import words

__all__ = ["section"]

_METHODS = ("solid", "laminate", "steam-laminate")
_CHART = 112.0  # mm, width of a chart's field


@register("bends", quick=True)
def section(at: At, part: BentPlan) -> dict[str, Any]:
    """Sentences about release and strain; the stack, sizes and charts below."""
    lead = [block("lead", _release(at, part)), block("lead", _verdict(at, part))]
    if part.made.form is not None:
        lead.append(block("text", words("bends.made", misfit=at.say.fine(part.misfit))))
    word = part.risk.strain.verdict.word
    if at.folded("bends"):
        return {"lead": lead, "folded": True, "verdict": word}
    more = [
        block("text", _method(at, part)),
        block("heading", words("bends.stack")),
        _stack(at, part),
        *_glue(at, part),
        block("small", _set(part)),
        block("heading", words("bends.shapes")),
        _shapes(at, part),
        block("small", _scatter(at, part)),
    ]
    if not at.draft:
        more += _charts(at, part)
    return {"lead": lead, "more": more, "verdict": word}


def _release(at: At, part: BentPlan) -> Pieces:
    """By the size that moves most."""
    form, off, band, say = part.shapes["form"], part.shapes["released"], part.band, at.say
    by_chord = abs(off.chord - form.chord) > abs(off.rise - form.rise)
    size, a, b, after = (
        ("chord", form.chord, off.chord, band.chord)
        if by_chord
        else ("rise", form.rise, off.rise, band.rise)
    )
    one = len(part.layup.plies) == 1
    return sentence(
        "bends.lead.one" if one else "bends.lead",
        strips=_thickness(at, part),
        share=say.share(part.springback),
        size=words(f"bends.{size}"),
        form=say.length(a),
        part=part.name,
        released=say.length(b),
        band=say.between(after.low, after.high),
    )


def _thickness(at: At, part: BentPlan) -> str:
    kinds = sorted({ply.thickness for ply in part.layup.plies})
    say, count = at.say, len(part.layup.plies)
    low, high = kinds[0], kinds[-1]
    text = say.length(low) if len(kinds) == 1 else f"{say.bare(low)} to {say.length(high)}"
    return text if count == 1 else words("bends.strips", count=count, thickness=text)


def _verdict(at: At, part: BentPlan) -> Pieces:
    found, say = part.risk.strain.verdict, at.say
    if math.isinf(found.radius):
        return [verdict("holds", opens=True), " ", words("bends.nothing")]
    one = found.plies == 1
    who = (
        words("bends.who.one")
        if one
        else words("bends.who", number=found.ply + 1, count=found.plies)
    )
    whole = part.glued.length
    span = [max(found.start / whole - 0.01, 0.0), min(found.end / whole + 0.01, 1.0)]
    place: Piece = {"text": _place(at, found.start, found.end), "place": span}
    said = sentence(
        "bends.verdict",
        who=who,
        does=words("bends.stretches" if found.face == "convex" else "bends.squeezed"),
        strain=f"{100 * found.strain:.2f} %",
        place=place,
        radius=say.length(found.radius),
        holds=f"{100 * found.holds:.2f} %",
        fails=f"{100 * found.fails:.2f} %",
    )
    cure = sentence(
        "bends.cure", tightest=say.length(found.tightest), thickest=say.length(found.thickest)
    )
    return [
        verdict(found.word, opens=True),
        " ",
        *said,
        *([] if found.word == "holds" else [" ", *cure]),
    ]


def _place(at: At, start: float, end: float) -> str:
    if end > start:
        return words("bends.fromto", at=at.say.length(start), end=at.say.length(end))
    return words("bends.at", at=at.say.length(start))


def _method(at: At, part: BentPlan) -> Pieces:
    key = f"part.{part.name}"
    options = [(m, words(f"bends.method.{m}")) for m in _METHODS]
    count = at.fields.number(f"{key}.count", words("bends.count.label"))
    count["text"] = str(part.count)
    return sentence(
        "bends.method",
        part=part.name,
        method=at.fields.choice(f"{key}.method", words("bends.method.label"), options),
        count=count,
        width=at.fields.number(f"{key}.width", words("bends.width.label")),
    )


def _stack(at: At, part: BentPlan) -> dict[str, Any]:
    woods = [(name, name) for name in at.plan.project.wood]
    rows, place = [], 0
    for i, ply in enumerate(part.part.ply):
        key, fields, used = f"part.{part.name}.ply.{i}", at.fields, part.strips_used[place]
        place += ply.count
        rows.append(
            (
                str(i + 1),
                [fields.choice(f"{key}.wood", words("bends.ply.wood", number=i + 1), woods)],
                [fields.number(f"{key}.thickness", words("bends.ply.thickness", number=i + 1))],
                [fields.number(f"{key}.count", words("bends.ply.count", number=i + 1))],
                at.say.stiffness(used.modulus.value),
                _acts(part, i),
            )
        )
    heads = ("wood", "thickness", "alike", "stiff")
    return table(["", *(words(f"bends.{h}") for h in heads), ""], rows, (2, 3, 4))


def _acts(part: BentPlan, i: int) -> Pieces:
    if part.part.method == "solid":
        return []
    key, number = f"part.{part.name}.ply", i + 1
    pieces: Pieces = [
        {"act": "insert", "key": key, "index": i, "text": words("curves.add"),
         "label": words("curves.add.label", number=number)}
    ]  # fmt: skip
    if len(part.part.ply) > 1:
        out: Piece = {"act": "remove", "key": key, "index": i, "text": words("curves.remove"),
                      "label": words("curves.remove.label", number=number)}  # fmt: skip
        pieces += ["  ", out]
    return pieces


def _glue(at: At, part: BentPlan) -> list[dict[str, Any]]:
    if part.part.adhesive is None:
        return []
    names = [(name, name) for name in at.plan.project.adhesive]
    key = f"part.{part.name}.adhesive"
    pick = at.fields.choice(key, words("bends.adhesive.label"), names)
    return [block("text", sentence("bends.adhesive", adhesive=pick))]


def _set(part: BentPlan) -> Pieces:
    if part.set.median == 0.0:
        return sentence("bends.set.none")
    low, high = part.set.range90
    return sentence(
        "bends.set", median=f"{part.set.median:.2f}", low=f"{low:.2f}", high=f"{high:.2f}",
        source=part.set.source,
    )  # fmt: skip


def _shapes(at: At, part: BentPlan) -> dict[str, Any]:
    say, band, shapes = at.say, part.band, part.shapes
    rows = [
        (words("bends.row.chord"), *(say.bare(s.chord) for s in shapes.values()),
         say.between(band.chord.low, band.chord.high)),
        (words("bends.row.rise"), *(say.bare(s.rise) for s in shapes.values()),
         say.between(band.rise.low, band.rise.high)),
        (words("bends.row.turn"), *(say.angle(abs(s.turn)) for s in shapes.values()), ""),
        (words("bends.row.radius"), *(say.bare(s.radius) for s in shapes.values()), ""),
        (words("bends.row.length"), *(say.bare(s.length) for s in shapes.values()), ""),
    ]  # fmt: skip
    heads = ("rest", "form", "released", "band")
    return table([say.unit, *(words(f"bends.col.{h}") for h in heads)], rows, (1, 2, 3, 4))


def _scatter(at: At, part: BentPlan) -> Pieces:
    tip, say = part.band.tip, at.say
    return sentence("bends.scatter", one=say.length(tip.one_form), shop=say.length(tip.shop))


def _charts(at: At, part: BentPlan) -> list[dict[str, Any]]:
    relax = page_svg(departure_drawing(part, at.say.display, _CHART))
    strain = page_svg(strain_drawing(part, at.say.display, _CHART))
    return [picture(relax, words("bends.relax")), picture(strain, words("bends.strain"))]
