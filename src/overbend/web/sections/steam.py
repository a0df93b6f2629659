"""Steam: how long in the box, how quickly onto the form, how it dries."""

from __future__ import annotations

import math
from typing import Any

from overbend.draw.steam_chart import cooling_drawing, heating_drawing
from overbend.plan import BentPlan
from overbend.plan.steam import BENDING_MOISTURE, PartSteam
from overbend.steam.cautions import cautions_for
from overbend.steam.drying import HOLD, SpanOfDays
from overbend.steam.heating import PROOF
from overbend.units import format_temperature
from overbend.web.pictures import page_svg
from overbend.web.sections.at import At, register
from overbend.web.sentence import (
    Piece,
    Pieces,
    block,
    facts,
    picture,
    sentence,
    table,
    verdict,
)
from overbend.web.words import words

__all__ = ["section"]

_CHART = 96.0  # mm, width of a chart's field


@register("steam", quick=False)
def section(at: At, part: BentPlan) -> dict[str, Any]:
    """Sentences about heating and loading; cautions first when it is opened."""
    steam = at.steamed.get(part.name)
    if steam is None:
        return {}
    reason = _sentence_case(steam.loading.reason)
    lead = [
        block("lead", _heating(at, part, steam)),
        block("lead", [verdict(steam.loading.verdict, opens=True), " ", *sentence("steam.loading",
              reason=reason)]),
    ]  # fmt: skip
    boiler = at.plan.project.shop.boiler
    source = boiler.heat if boiler and boiler.heat else "unknown"
    more = [
        *(block("caution", text) for text in cautions_for(source)),
        *_box(at),
        block("text", _people(at)),
        *_charts(at, part, steam),
        *_remedies(steam),
        block("heading", words("steam.moisture")),
        facts(_moisture(steam)),
        block("hold", HOLD),
    ]
    return {"lead": lead, "more": more, "verdict": steam.loading.verdict}


def _sentence_case(text: str) -> str:
    return text[:1].upper() + text[1:]


def _heating(at: At, part: BentPlan, steam: PartSteam) -> Pieces:
    band, key = steam.heating, f"part.{part.name}.steam"
    minutes = at.fields.number(f"{key}.minutes", words("steam.minutes.label"))
    minutes["text"] = words("steam.computed", minutes=f"{steam.minutes:.0f}")
    core = at.fields.number(f"{key}.core", words("steam.core.label"))
    core["text"] = format_temperature(band.target, at.say.display)
    low, high = steam.practice
    return sentence(
        "steam.lead",
        part=part.name,
        minutes=minutes,
        target=core,
        low=f"{band.low / 60:.0f}",
        high=f"{band.high / 60:.0f} min",
        practice=f"{low:.0f} to {high:.0f}",
    )


def _box(at: At) -> list[dict[str, Any]]:
    shop, fields = at.plan.project.shop, at.fields
    if shop.steam_box is None:
        return [block("hold", words("steam.nobox"))]
    sizes: dict[str, Piece] = {
        name: fields.number(f"shop.steam_box.{name}", words(f"steam.box.{name}"))
        for name in ("length", "width", "height")
    }
    hot = fields.number("shop.steam_box.temperature", words("steam.box.hot"))
    pieces = sentence("steam.box", hot=hot, **sizes)
    run = at.plan.steam_run
    if run is not None:
        hours = f"{int(run.need.hours)}:{round(60 * (run.need.hours % 1)) % 60:02d} h"
        pieces += [" ", *sentence("steam.run", hours=hours, water=f"{run.need.water:.1f}")]
    return [block("text", pieces)]


def _people(at: At) -> Pieces:
    return sentence(
        "steam.people", people=at.fields.number("shop.people", words("steam.people.label"))
    )


def _charts(at: At, part: BentPlan, steam: PartSteam) -> list[dict[str, Any]]:
    display = at.say.display
    heat = heating_drawing(part.name, steam, display, _CHART)
    cool = cooling_drawing(part.name, steam.window, steam.loading.seconds, display, _CHART)
    return [
        picture(page_svg(heat), words("steam.heating")),
        block("small", PROOF),
        picture(page_svg(cool), words("steam.cooling")),
    ]


def _remedies(steam: PartSteam) -> list[dict[str, Any]]:
    rows = [
        (
            remedy.text.rstrip("."),
            f"{math.ceil(remedy.seconds)} s",
            f"{math.floor(remedy.low)} to {math.floor(remedy.high)} s",
            [verdict(remedy.verdict)],
        )
        for remedy in steam.loading.remedies
        if remedy.helps
    ]
    heads = [words(h) for h in ("steam.help", "steam.help.loading", "steam.help.window")]
    return [table([*heads, ""], rows, (1, 2))] if rows else []


def _moisture(steam: PartSteam) -> list[tuple[str, Piece | Pieces]]:
    after = steam.steamed
    about = words(
        "steam.about", mid=f"{after.mid:.0f}", low=f"{after.low:.0f}", high=f"{after.high:.0f}"
    )
    rows: list[tuple[str, Piece | Pieces]] = [
        (words("steam.into"), f"{steam.moisture:.0f} %"),
        (words("steam.out"), about),
        (words("steam.air"), f"{steam.balance:.0f} %"),
    ]
    if steam.gluing is not None and steam.glue_at is not None:
        rows.append((words("steam.glue", percent=f"{steam.glue_at:.0f}"), _days(steam.gluing)))
    rows.append((words("steam.dry"), _days(steam.setting)))
    if steam.soaking is not None:
        percent = f"{BENDING_MOISTURE:.0f}"
        rows.append((words("steam.soak", percent=percent), _days(steam.soaking)))
    return rows


def _days(span: SpanOfDays) -> str:
    if math.isinf(span.mid):
        return words("steam.never", why=span.reason)
    if span.high == 0.0:
        return words("steam.once")
    if span.high < 2.0:
        return words("steam.hours", low=f"{24 * span.low:.0f}", high=f"{24 * span.high:.0f}")
    return words("steam.days", low=f"{span.low:.0f}", high=f"{span.high:.0f}")
