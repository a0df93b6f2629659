"""Boards: how many strips of which wood to mill, and of what size."""

from __future__ import annotations

from typing import Any

from overbend.bend.spares import Spares
from overbend.plan import BentPlan
from overbend.stock import Strip, total_wood
from overbend.web.sections.at import At, register
from overbend.web.sentence import Pieces, block, sentence, table
from overbend.web.words import words

__all__ = ["section"]


@register("boards", quick=True)
def section(at: At, part: BentPlan) -> dict[str, Any]:
    """Sentence for each kind of strip; sizes, allowances and woods below."""
    pairs = list(zip(part.strips, part.risk.spares, strict=True))
    lead = [_mill(at, strip, spares) for strip, spares in pairs]
    if at.folded("boards"):
        return {"lead": lead, "folded": True}
    more = [
        block("text", _chance(at)),
        _sizes(at, part),
        block("text", _allowances(at)),
        *(block("text", _wood(at, name)) for name in dict.fromkeys(s.wood for s in part.strips)),
        *(block("small", line) for line in _totals(at)),
        *([] if at.draft else [block("heading", words("boards.rests")), *_rests(part)]),
    ]
    return {"lead": lead, "more": more}


def _mill(at: At, strip: Strip, spares: Spares) -> dict[str, Any]:
    say, wood = at.say, strip.wood
    if spares.mill is None:
        why = sentence("boards.unknown", wood=wood, good=str(strip.count), why=spares.reason)
        return block("lead", why)
    size = f"{say.bare(strip.length)} × {say.bare(strip.width)} × {say.length(strip.thickness)}"
    return block(
        "lead",
        sentence("boards.mill", mill=str(spares.mill), wood=wood, good=str(strip.count), size=size),
    )


def _chance(at: At) -> Pieces:
    fields = at.fields
    return [
        *sentence(
            "boards.chance",
            confidence=fields.number("shop.confidence", words("boards.confidence.label")),
            board=fields.number("shop.strips_per_board", words("boards.board.label")),
        ),
        *([" ", at.part.risk.worst.words().capitalize(), "."] if at.part else []),
    ]


def _sizes(at: At, part: BentPlan) -> dict[str, Any]:
    say = at.say
    rows = [
        (
            s.wood, str(s.count), _number(usual.mill), _number(doubted.mill), say.bare(s.length),
            say.bare(s.width), say.bare(s.thickness), say.bare(s.sawn_thickness),
        )
        for s, usual, doubted in zip(
            part.strips, part.risk.spares, part.risk.doubted, strict=True
        )
    ]  # fmt: skip
    heads = ("wood", "good", "millhead", "doubt", "length", "width", "thickness", "sawn")
    caption = words("boards.caption", unit=say.unit)
    return table([words(f"boards.{h}") for h in heads], rows, tuple(range(1, 8)), caption)


def _number(count: int | None) -> str:
    return "–" if count is None else str(count)


def _allowances(at: At) -> Pieces:
    keys = {"trim": "trim", "width": "width_allowance", "planer": "planer_allowance",
            "kerf": "saw_kerf"}  # fmt: skip
    return sentence(
        "boards.allowances",
        **{
            name: at.fields.number(f"shop.{key}", words(f"boards.{name}.label"))
            for name, key in keys.items()
        },
    )


def _wood(at: At, name: str) -> Pieces:
    fields, wood = at.fields, at.plan.woods[name]
    dried = [(d, words(f"boards.dried.{d}")) for d in ("kiln", "air")]
    moisture = fields.number(f"wood.{name}.moisture", words("boards.moisture.label", wood=name))
    if fields.said(f"wood.{name}.moisture") is None:
        moisture["text"] = f"{wood.moisture}"
    return sentence(
        "boards.dry",
        wood=name,
        species=wood.species.name,
        dried=fields.choice(f"wood.{name}.dried", words("boards.dried.label", wood=name), dried),
        moisture=moisture,
    )


def _totals(at: At) -> list[Pieces]:
    """Wood in all strips of the piece."""
    if at.draft:
        return []
    return [
        sentence("boards.total", wood=wood, volume=_volume(mm3, at.say.unit))
        for wood, mm3 in total_wood(at.plan.strips_to_mill).items()
    ]


def _volume(mm3: float, unit: str) -> str:
    if unit == "in":
        return f"{mm3 / 25.4**3 / 144:.2f} board feet"
    return f"{mm3 / 1e6:.1f} litres"


def _rests(part: BentPlan) -> list[dict[str, Any]]:
    """Where the strengths come from, each once."""
    convex = part.risk.strain.verdict.face == "convex"
    found: dict[str, None] = {}
    for used, strength in zip(part.strips_used, part.risk.strengths, strict=True):
        capacity = strength.tension if convex else strength.compression
        found[f"{used.wood}: {'; '.join(capacity.sources)}."] = None
    return [block("small", text) for text in found]
