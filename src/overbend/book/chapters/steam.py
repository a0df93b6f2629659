"""The steam day: cautions first, the run, then each part's heating and way to the form."""

from __future__ import annotations

import math
from itertools import groupby

from overbend.book.blocks import Block, Facts, Heading, NewPage, Pair, Picture, Table, Text
from overbend.book.say import Say
from overbend.draw.steam_chart import cooling_drawing, heating_drawing
from overbend.draw.svg import to_svg
from overbend.plan import BentPlan, Plan
from overbend.plan.steam import BENDING_MOISTURE, PartSteam, sets_of
from overbend.steam.cautions import cautions_for
from overbend.steam.drying import DRYING_DOUBTS, HOLD, SETTING_NOTE, SpanOfDays
from overbend.steam.heating import PROOF
from overbend.steam.practice import DRY_STOCK, SETTING_DAYS, WORKING_SECONDS
from overbend.steam.run import SteamRun
from overbend.units import format_temperature

__all__ = ["steam_chapter"]


def steam_chapter(plan: Plan, say: Say) -> list[Block]:
    """Everything about steaming this piece; nothing when nothing is steamed."""
    if not plan.steamed:
        return []
    boiler = plan.project.shop.boiler
    source = boiler.heat if boiler and boiler.heat else "unknown"
    blocks: list[Block] = [
        NewPage(),
        Heading("The steam day", 1),
        *(Text(text, "caution") for text in cautions_for(source)),
    ]
    blocks += _run(plan, plan.steam_run, say) if plan.steam_run else [_no_box()]
    for name, steam in plan.steamed.items():
        blocks += _part(name, steam, say)
    return [*blocks, *_dry_stock(plan), *_reported()]


def _no_box() -> Text:
    return Text(
        "Describe your steam box under [shop.steam_box]: until then no loads, water or "
        "timetable are computed.",
        "hold",
    )


# -- the run ------------------------------------------------------------------------------


def _run(plan: Plan, run: SteamRun, say: Say) -> list[Block]:
    rows = [
        (
            load.blank.name,
            str(load.blank.count),
            str(load.fits.total),
            f"{load.blank.minutes:.0f} min",
            say.length(load.blank.length),
            _days_like_this(plan.bent[load.blank.name]),
        )
        for load in run.loads
    ]
    header = ("Part", "Pieces", "Box holds", "In the box", "Blank", "Days like this")
    caption = (
        "A form holds its part until it is dry, so a day bends one for each form; a trial form "
        "bends one and waits for what comes off. Pieces: strips one by one, a strapped bundle "
        "as one. Days like this count the spares."
    )
    return [
        Heading("What goes in on one day"),
        Table(header, rows, (1, 2, 3, 4, 5), caption),
        Facts(_needs(run, say)),
        *_boiler_words(run),
        Heading("What is in the box when"),
        _timetable(run),
    ]


def _days_like_this(part: BentPlan) -> str:
    """How often the day is repeated until every part and its spares are bent."""
    forms = part.part.form.count
    days = -(-sets_of(part) // forms)
    return str(days) if part.set.proven else f"1 trial, then about {days}"


def _needs(run: SteamRun, say: Say) -> list[tuple[str, str]]:
    need = run.need
    rows = [
        ("The box is hot for", _clock(60.0 * need.hours)),
        ("Water to boil away", f"{say.water(need.water)}, a third of it reserve"),
        ("Power at the busiest", f"{need.power:.1f} kW, with reserve"),
    ]
    if run.boiler:
        rows.append(("From cold to steam", f"about {run.boiler.minutes_to_steam:.0f} min"))
        rows.append(("Top-ups", f"{run.boiler.refills}, hot water, never let it boil dry"))
    return rows


def _boiler_words(run: SteamRun) -> list[Block]:
    if run.boiler is None:
        return [Text("Describe your boiler under [shop.boiler] to have it checked.", "hold")]
    return [Text(f"{run.boiler.verdict.capitalize()}: {run.boiler.reason}.")]


def _timetable(run: SteamRun) -> Table:
    """One row for each load of one part: in, hot, first and last out."""
    rows = []
    for (load, part), group in groupby(run.turns, key=lambda t: (t.load, t.part)):
        turns = list(group)
        rows.append(
            (
                str(load),
                f"{len(turns)} x {part}",
                _clock(turns[0].into),
                _clock(max(t.core for t in turns)),
                _clock(turns[0].out),
                _clock(turns[-1].out),
            )
        )
    header = ("Load", "What", "In from", "All hot by", "First out", "Last out")
    caption = "Hours and minutes from the first piece going in; hot by the slow bound."
    return Table(header, rows, (2, 3, 4, 5), caption)


def _clock(minutes: float) -> str:
    """Minutes as hours and minutes.

    Examples
    --------
    >>> _clock(71.6), _clock(4.0)
    ('1:12', '0:04')
    """
    whole = math.floor(minutes + 0.5)
    return f"{whole // 60}:{whole % 60:02d}"


# -- one part -----------------------------------------------------------------------------


def _part(name: str, steam: PartSteam, say: Say) -> list[Block]:
    loading = steam.loading
    heating = to_svg(heating_drawing(name, steam, say.display, 62.0), theme="print", wide=0.4)
    cooling = to_svg(
        cooling_drawing(name, steam.window, loading.seconds, say.display, 55.0),
        theme="print", wide=0.4,
    )  # fmt: skip
    blocks: list[Block] = [
        NewPage(),
        Heading(f"{name}: heat, carry, dry"),
        Text(_heat_words(steam, say), "lead"),
        Pair((Picture(heating, "Core in the box"),), (Picture(cooling, "Out of the box"),), 0.52),
        Text(PROOF, "small"),
        Heading("Out of the box and onto the form", 3),
        Text(f"{loading.verdict.capitalize()}: {loading.reason}."),
    ]
    blocks += _remedies(steam)
    blocks += [Heading("Moisture", 3), *_moisture(steam)]
    return blocks


def _heat_words(steam: PartSteam, say: Say) -> str:
    band = steam.heating
    target = format_temperature(band.target, say.display)
    low, high = steam.practice
    return (
        f"Leave it in for {steam.minutes:.0f} min. The core reaches {target} after "
        f"{_minutes(band.low)} to {_minutes(band.high)}; shops leave this thickness "
        f"{low:.0f} to {high:.0f} min."
    )


def _minutes(seconds: float) -> str:
    minutes = seconds / 60.0
    return f"{minutes:.0f} min" if minutes >= 10 else f"{minutes:.1f} min"


def _remedies(steam: PartSteam) -> list[Block]:
    rows = [
        (
            remedy.text.rstrip("."),
            f"{math.ceil(remedy.seconds)} s",
            f"{math.floor(remedy.low)} to {math.floor(remedy.high)} s",
            remedy.verdict,
        )
        for remedy in steam.loading.remedies
        if remedy.helps
    ]
    if not rows:
        return []
    return [Table(("What would help", "Loading", "Window", ""), rows, (1, 2))]


def _moisture(steam: PartSteam) -> list[Block]:
    steamed = steam.steamed
    rows = [
        ("Into the box", f"{steam.moisture:.0f} %"),
        ("Out of it", f"about {steamed.mid:.0f} % ({steamed.low:.0f} to {steamed.high:.0f})"),
        ("The shop's air holds it at", f"{steam.balance:.0f} %"),
    ]
    if steam.gluing is not None:
        rows.append((f"Down to {steam.glue_at:.0f} % for gluing", _days(steam.gluing)))
    rows.append(("Dry on the form", _days(steam.setting)))
    if steam.soaking is not None and steam.soaking.high > 0.0:
        rows.append((f"Soak to {BENDING_MOISTURE:.0f} %", _days(steam.soaking)))
    return [
        Facts(rows, 1),
        Text(HOLD, "hold"),
        Text(SETTING_NOTE, "small"),
        Text(" ".join(DRYING_DOUBTS), "small"),
    ]


def _days(span: SpanOfDays) -> str:
    if math.isinf(span.mid):
        return f"never: {span.reason}"
    if span.high == 0.0:
        return "at once"
    if span.high < 2.0:
        return f"{24 * span.low:.0f} to {max(24 * span.high, 1.0):.0f} hours"
    return f"{span.low:.0f} to {span.high:.0f} days"


# -- what others report -------------------------------------------------------------------


def _dry_stock(plan: Plan) -> list[Block]:
    dry = [s for s in plan.steamed.values() if s.moisture < BENDING_MOISTURE]
    if not dry:
        return []
    rows = [Text(f"{advice.text} ({advice.source})", "small") for advice in DRY_STOCK]
    return [Heading("Dry stock"), *rows]


def _reported() -> list[Block]:
    rows = [(str(row), row.standing) for row in (*WORKING_SECONDS, *SETTING_DAYS)]
    return [Heading("What shops report"), Table(("Reported", "Who"), rows)]
