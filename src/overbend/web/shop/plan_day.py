"""From the plan's steam run to the day's steps, as plain data that the run keeps.

A batch is what goes onto one form at once: a solid part, a strapped bundle, or the loose strips
of one part. It goes in, comes out and is clamped; the steps of all batches follow each other by
the timetable, after the cautions, the fire and the first steam, and before the fire is put out.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from typing import Any

from overbend.book.say import Say
from overbend.errors import InputError
from overbend.plan import BentPlan, Plan
from overbend.plan.steam import PartSteam, sets_of
from overbend.steam.cautions import cautions_for
from overbend.steam.run import Load, SteamRun, Turn, timetable
from overbend.web.shop.entry import wood_name
from overbend.web.shop.kinds import ends_data, ends_of, strips_of, trial_values
from overbend.web.words import words

__all__ = ["Choice", "choices", "day_plan", "steps_of", "together"]

Data = dict[str, Any]


@dataclass(frozen=True)
class Choice:
    """One part that a steam day may take, and how many of it.

    Parameters
    ----------
    part : its name.
    most : bends that one day takes: one for each form, one only of a trial.
    minutes : in the box.
    facts : what else there is to say, in words.
    """

    part: str
    most: int
    minutes: float
    facts: tuple[str, ...]


def together(part: BentPlan) -> int:
    """Pieces that go into the box one by one for one bend: loose strips, else one."""
    strips = len(part.strips_used)
    return 1 if strips == 1 or part.part.steam.bundle else strips


def choices(plan: Plan, run: SteamRun) -> tuple[Choice, ...]:
    """Parts of a run, with what a day takes of each."""
    return tuple(_choice(plan, load) for load in run.loads)


def _choice(plan: Plan, load: Load) -> Choice:
    part = plan.bent[load.blank.name]
    steam = plan.steamed[part.name]
    most = load.blank.count // together(part)
    forms = part.part.form.count
    days = -(-sets_of(part) // forms)
    kind = "proven" if part.set.proven else "trial"
    facts = (
        words(f"day.days.{kind}", days=days),
        words("day.holds", count=load.fits.total),
        Say(plan.display).words(f"{steam.loading.verdict}: {steam.loading.reason}"),
    )
    return Choice(part.name, most, steam.minutes, facts)


def day_plan(plan: Plan, run: SteamRun, wanted: Mapping[str, int]) -> Data:
    """Everything the day's page needs, as plain data.

    Parameters
    ----------
    plan : of the piece.
    run : its steam run.
    wanted : how many bends of each part.

    Raises
    ------
    InputError
        When nothing is wanted.
    """
    known = {c.part: c.most for c in choices(plan, run)}
    counts = {p: min(max(n, 0), known[p]) for p, n in wanted.items() if p in known}
    loads = [
        Load(replace(x.blank, count=counts[x.blank.name] * together(plan.bent[x.blank.name])),
             x.fits, x.loads)
        for x in run.loads if counts.get(x.blank.name)
    ]  # fmt: skip
    if not loads:
        raise InputError(words("day.nothing"))
    benders = max(1, plan.project.shop.people // 2)
    batches = _batches(plan, timetable(loads, benders))
    boiler = plan.project.shop.boiler
    source = boiler.heat if boiler and boiler.heat else "unknown"
    return {
        "cautions": [Say(plan.display).words(text) for text in cautions_for(source)],
        "to_steam": None if run.boiler is None else run.boiler.minutes_to_steam,
        "facts": _facts(run, Say(plan.display)),
        "hot": plan.project.shop.steam_box.temperature if plan.project.shop.steam_box else 98.0,
        "units": plan.display.system,
        "benders": benders,
        "parts": {x.blank.name: _part(plan, x.blank.name) for x in loads},
        "batches": batches,
    }


def _facts(run: SteamRun, say: Say) -> list[str]:
    """Water and boiler in words."""
    need = run.need
    water = f"{need.water:.1f} litres" if say.unit == "mm" else f"{need.water / 3.785:.1f} US gal"
    facts = [words("day.water", water=water)]
    if run.boiler is not None:
        said = f"{run.boiler.verdict}: {run.boiler.reason}"
        facts.append(words("day.boiler", said=say.words(said)))
    return facts


def _part(plan: Plan, name: str) -> Data:
    part, steam = plan.bent[name], plan.steamed[name]
    display = plan.display
    kinds = []
    for strips in strips_of(part):
        label = words(
            "day.kind", wood=wood_name(strips.species), size=Say(display).thick(strips.thickness)
        )
        kinds.append(
            {"key": strips.key, "label": label, "count": strips.count,
             "trial": trial_values(strips, part)}
        )  # fmt: skip
    ends = ends_of(part)
    return {
        "kinds": kinds,
        "ends": ends_data(ends),
        "at_rest": ends.chord(1.0 - part.set.median),
        "minutes": steam.minutes,
        "loading": steam.loading.seconds,
        "low": _seconds(steam.loading.low),
        "high": _seconds(steam.loading.high),
        "heat": _heat(steam),
    }


def _heat(steam: PartSteam) -> str:
    low, high = steam.practice
    band = steam.heating
    return words(
        "day.heat", low=f"{band.low / 60:.1f}", high=f"{band.high / 60:.1f}",
        practice=f"{low:.0f} to {high:.0f}",
    )  # fmt: skip


def _seconds(seconds: float) -> float:
    """A window's bound, at most four hours."""
    return seconds if math.isfinite(seconds) else 14400.0


def _batches(plan: Plan, turns: Sequence[Turn]) -> list[Data]:
    """Turns gathered into what goes onto one form at once."""
    sizes = {name: together(part) for name, part in plan.bent.items()}

    def place(turn: Turn) -> tuple[str, int, int]:
        return turn.part, (turn.number - 1) // sizes[turn.part] + 1, turn.load

    out = []
    for (part, number, load), group in groupby(sorted(turns, key=place), key=place):
        mine = list(group)
        into = min(t.into for t in mine)
        out.append(
            {
                "key": f"{part}/{number}" + (f".{load}" if _split(mine, sizes[part]) else ""),
                "part": part,
                "number": number,
                "pieces": len(mine),
                "bender": mine[0].bender,
                "into": into,
                "out": into + plan.steamed[part].minutes,
            }
        )
    return sorted(out, key=lambda b: (b["into"], b["part"], b["number"]))


def _split(turns: Sequence[Turn], whole: int) -> bool:
    """Whether the box held only some of a bend's strips at once."""
    return len(turns) < whole


def steps_of(plan: Mapping[str, Any]) -> list[str]:
    """Keys of a day's steps, in order.

    Examples
    --------
    >>> one = {"key": "leg/1", "into": 0.0, "out": 30.0}
    >>> two = {"key": "leg/2", "into": 6.0, "out": 36.0}
    >>> steps_of({"batches": [one, two]})[3:8]
    ['in:leg/1', 'in:leg/2', 'out:leg/1', 'clamp:leg/1', 'out:leg/2']
    """
    return ["cautions", "fire", "hot", *_turns(plan["batches"]), "shut"]


def _turns(batches: Sequence[Mapping[str, Any]]) -> Iterator[str]:
    moves: list[tuple[float, int, int, str]] = []
    for i, batch in enumerate(batches):
        moves.append((batch["into"], 1, i, f"in:{batch['key']}"))
        moves.append((batch["out"], 0, i, f"out:{batch['key']}"))
    for _, _, _, step in sorted(moves):
        yield step
        if step.startswith("out:"):
            yield f"clamp:{step[4:]}"
