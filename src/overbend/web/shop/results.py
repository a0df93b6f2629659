"""What a steam day came to: times against the window, what broke, and its trial bends."""

from __future__ import annotations

import datetime
import json
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID, uuid5

from overbend.errors import InputError
from overbend.ledger import Ledger, Measurement, Run, RunEvent, Trial, read_record
from overbend.ledger.ends import measured_by_ends
from overbend.web.shop.kinds import ends_from
from overbend.web.shop.plan_day import steps_of
from overbend.web.words import words

__all__ = [
    "BatchResult",
    "Taken",
    "keep",
    "kept_trials",
    "measure",
    "results",
    "standing",
    "taken",
    "trials_of",
    "whole_uid",
]

Data = Mapping[str, Any]


@dataclass(frozen=True)
class Taken:
    """Events that a run takes, and uids of those it refuses."""

    events: tuple[RunEvent, ...]
    refused: tuple[str, ...]


@dataclass(frozen=True)
class BatchResult:
    """How one batch went.

    Parameters
    ----------
    batch : as planned.
    steamed : minutes it was in the box; None when it was not taken through.
    outside : seconds from out of the box to clamped; None when it was not clamped.
    word : holds, close or fails: those seconds against the window; "" without them.
    cracked : strips that broke, by kind.
    notes : what was written.
    """

    batch: Data
    steamed: float | None
    outside: float | None
    word: str
    cracked: Counter[str]
    notes: tuple[str, ...]

    @property
    def bent(self) -> bool:
        """Whether it came out of the box at all."""
        return self.steamed is not None


def standing(events: Sequence[RunEvent]) -> list[RunEvent]:
    """Events that were not taken back.

    Examples
    --------
    >>> a = RunEvent(uid="a" * 16, at=1.0, what="tick", step="fire")
    >>> b = RunEvent(uid="b" * 16, at=2.0, what="back", text="a" * 16)
    >>> standing([a, b])
    []
    """
    back = {e.text for e in events if e.what == "back"}
    return [e for e in events if e.what != "back" and e.uid not in back]


def taken(run: Run, given: Sequence[RunEvent]) -> Taken:
    """Sort out which events a run takes: of its own steps, and none before the cautions."""
    plan = json.loads(run.plan)
    steps = {*steps_of(plan), *(b["key"] for b in plan["batches"]), ""}
    kinds = {k["key"] for part in plan["parts"].values() for k in part["kinds"]}
    read = any(e.what == "tick" and e.step == "cautions" for e in (*run.events, *given))
    good: list[RunEvent] = []
    bad: list[RunEvent] = []
    for event in given:
        fits = event.step in steps and (event.what != "cracked" or event.text in kinds)
        first = event.step == "cautions" or event.what in ("note", "back")
        (good if fits and (read or first) else bad).append(event)
    return Taken(tuple(good), tuple(e.uid for e in bad))


def results(run: Run) -> list[BatchResult]:
    """How each batch of a day went."""
    plan = json.loads(run.plan)
    events = standing(run.events)
    ticks = {e.step: e.at for e in reversed(events) if e.what == "tick"}
    return [
        _result(batch, plan["parts"][batch["part"]], ticks, events) for batch in plan["batches"]
    ]


def _result(
    batch: Data, part: Data, ticks: Mapping[str, float], events: Sequence[RunEvent]
) -> BatchResult:
    key = batch["key"]
    into, out, clamp = (ticks.get(f"{step}:{key}") for step in ("in", "out", "clamp"))
    steamed = None if into is None or out is None else max(out - into, 0.0) / 60.0
    outside = None if out is None or clamp is None else max(clamp - out, 0.0)
    mine = [e for e in events if e.step.partition(":")[2] == key or e.step == key]
    cracked = Counter(e.text for e in mine if e.what == "cracked")
    most = {k["key"]: k["count"] for k in part["kinds"]}
    return BatchResult(
        batch,
        steamed,
        outside,
        "" if outside is None else _word(outside, part["low"], part["high"]),
        Counter({k: min(n, most[k]) for k, n in cracked.items() if k in most}),
        tuple(e.text for e in mine if e.what == "note" and e.text),
    )


def _word(seconds: float, low: float, high: float) -> str:
    return "holds" if seconds <= low else "close" if seconds <= high else "fails"


# -- into the ledger ----------------------------------------------------------------------


def keep(ledger: Ledger, run: Run) -> int:
    """Put what broke and what did not into the ledger as trial bends; twice does nothing more.

    Of each batch and kind of strip: one whole strip on its own, which can be measured later,
    the other whole ones together, and each broken one.

    Returns
    -------
    How many trial bends were added.
    """
    there = {trial.uid for _, trial in ledger.all_of(Trial)}
    added = 0
    for trial in trials_of(run):
        if trial.uid not in there:
            ledger.add(trial)
            added += 1
    return added


def trials_of(run: Run) -> Iterator[Trial]:
    """Trial bends that a steam day is, as far as breaking goes."""
    plan = json.loads(run.plan)
    for result in results(run):
        if result.bent:
            for kind in plan["parts"][result.batch["part"]]["kinds"]:
                yield from _trials(run, result, kind)


def _trials(run: Run, result: BatchResult, kind: Data) -> Iterator[Trial]:
    broken = result.cracked[kind["key"]]
    whole = kind["count"] - broken
    sizes = [(f"broken {i}", 1, True) for i in range(broken)]
    sizes += [("whole", 1, False)] if whole > 0 else []
    sizes += [("others", whole - 1, False)] if whole > 1 else []
    day = datetime.date.fromtimestamp(run.begun_at).isoformat()
    for name, count, cracked in sizes:
        note = words("day.trial.note", part=result.batch["part"], day=day)
        if name == "others":
            note += " " + words("day.trial.loose")
        values = {
            **kind["trial"],
            "uid": _uid(run, result.batch["key"], kind["key"], name),
            "steam_minutes": round(result.steamed or 0.0, 1),
            "plies": count,
            "broken": cracked,
            "bent_on": day,
            "run": f"{day} {run.project}",
            "note": " ".join([note, *result.notes])[:2000],
        }
        yield read_record(Trial, values, "steam day")


def kept_trials(ledger: Ledger, run: Run) -> dict[str, Trial]:
    """Trial bends of a day that are in the ledger, by their name."""
    mine = {trial.uid for trial in trials_of(run)}
    return {trial.uid: trial for _, trial in ledger.all_of(Trial) if trial.uid in mine}


def whole_uid(run: Run, batch: str, kind: str) -> str:
    """Name of the trial bend that a whole strip of a batch is measured as."""
    return _uid(run, batch, kind, "whole")


def _uid(run: Run, *names: str) -> str:
    return uuid5(UUID(run.uid), "|".join(names)).hex


def measure(
    ledger: Ledger, run: Run, batch: str, kind: str, chord: float, after_hours: float
) -> Measurement:
    """Add what was measured on a whole strip of a batch to its trial bend.

    Parameters
    ----------
    ledger, run : open, and the day.
    batch, kind : keys of what was measured.
    chord : distance between its trim marks [mm].
    after_hours : time from release [h].

    Raises
    ------
    InputError
        When there is no such batch, or nothing of it is whole.
    TrialError
        When the distance fits no shape of the part.
    """
    uid = whole_uid(run, batch, kind)
    keep(ledger, run)
    found = next(((n, t) for n, t in ledger.all_of(Trial) if t.uid == uid), None)
    if found is None:
        raise InputError(words("day.measure.none"), batch[:60])
    number, trial = found
    plan = json.loads(run.plan)
    part = plan["parts"][next(b["part"] for b in plan["batches"] if b["key"] == batch)]
    measured = measured_by_ends(trial, ends_from(part["ends"]), chord, after_hours)
    if measured not in trial.measurements:
        ledger.measure(number, measured)
    return measured
