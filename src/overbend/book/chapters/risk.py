"""The page that says whether a part's strips take the bend, and how many to mill."""

from __future__ import annotations

from overbend.bend.spares import Spares
from overbend.book.blocks import Block, Facts, Heading, NewPage, Picture, Table, Text
from overbend.book.say import Say
from overbend.draw.risk_chart import strain_drawing
from overbend.draw.svg import to_svg
from overbend.plan import BentPlan

__all__ = ["risk_page", "spares_words"]

_ASSUMED = (
    "What these strips stand is known within a half at best: the middle values and their spread "
    "are labelled defaults, set beside every published limit in the documentation. Knots are "
    "not counted: a strip with one is not a strip. Record your own trial bends to replace them."
)


def risk_page(part: BentPlan, say: Say) -> list[Block]:
    """Verdict, strain along the form, chance of breaking, spares."""
    risk = part.risk
    chart = to_svg(strain_drawing(part, say.display), theme="print", wide=0.4)
    return [
        NewPage(),
        Heading(f"{part.name}: will it take the bend"),
        Text(risk.strain.verdict.words(say.length), "lead"),
        Picture(chart, "The strip that governs, along the form"),
        Text(f"{risk.worst.words().capitalize()}."),
        _table(part, say),
        Text(spares_words(part)),
        *_strap(part, say),
        Heading("What that rests on", 3),
        *(Text(source, "small") for source in _sources(part)),
        Text(_ASSUMED, "small"),
    ]


def _strap(part: BentPlan, say: Say) -> list[Block]:
    """The strap sheet, with its cautions where the hands are."""
    sheet = part.strap
    if sheet is None:
        return []
    facts = [
        ("Stops apart, strap straight", say.length(sheet.stop_spacing)),
        ("Blank", say.length(sheet.stop_spacing + sheet.take_up)),
        ("Pull in the strap", say.force(sheet.tension)),
        ("Thrust on each stop", say.force(sheet.stop_load)),
        ("Wedges or screws take up", say.length(max(sheet.take_up, 0.0))),
        ("Pull of each person", f"{say.force(sheet.pull)} at {say.length(part.lever)}"),
        ("Least lever for that many", say.length(sheet.least_lever)),
    ]
    shown = facts if sheet.verdict != "fails" else facts[2:4]
    first = Text(
        sheet.words(say.length, say.force)[0], "hold" if sheet.verdict == "fails" else "body"
    )
    return [
        Heading("The strap", 3),
        first,
        Facts(shown),
        *(Text(caution, "caution") for caution in sheet.cautions),
    ]


def _table(part: BentPlan, say: Say) -> Table:
    rows = [
        (
            strip.wood,
            say.thick(strip.thickness),
            str(strip.count),
            _mill(usual),
            _mill(doubted),
            f"{usual.losses:.1f}",
        )
        for strip, usual, doubted in zip(
            part.strips, part.risk.spares, part.risk.doubted, strict=True
        )
    ]
    header = ("Strips", "Thickness", "Good ones", "Mill", "If the figures are off", "Break")
    return Table(header, rows, (1, 2, 3, 4, 5))


def _mill(spares: Spares) -> str:
    return "not known" if spares.mill is None else str(spares.mill)


def spares_words(part: BentPlan) -> str:
    """What the count of strips to mill means."""
    shop = part.project.shop
    hopeless = [s.reason for s in part.risk.spares if s.mill is None]
    if hopeless:
        return hopeless[0]
    return (
        f"Milling that many leaves enough in {shop.confidence:.0f} batches of 100, with "
        f"{shop.strips_per_board} strips from a board agreeing with each other. The next column "
        "also insures against the figures for this wood being wrong; a trial bend does that "
        "for less wood."
    )


def _sources(part: BentPlan) -> list[str]:
    """Where the strengths of each wood come from, each once."""
    convex = part.risk.strain.verdict.face == "convex"
    found: dict[str, None] = {}
    for used, strength in zip(part.strips_used, part.risk.strengths, strict=True):
        capacity = strength.tension if convex else strength.compression
        found[f"{used.wood}: {'; '.join(capacity.sources)}."] = None
    return list(found)
