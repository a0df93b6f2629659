"""Pages of the steam day: what can be steamed, the day under way, what came of it.

The state of a day is its record in the ledger: a plan written when it was begun and events
with the time they happened. A page keeps what it could not send and sends it again; an event
that is there already is not added twice.
"""

from __future__ import annotations

import asyncio
import json
import time
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from pydantic import ValidationError
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from overbend.errors import InputError, OverbendError, UnitError
from overbend.ledger import Ledger, Run, RunEvent, Trial
from overbend.plan import Plan
from overbend.project import read
from overbend.project.shop_state import ShopState
from overbend.units import Display, format_length, parse_duration, parse_length
from overbend.web.shop.kinds import ends_from
from overbend.web.shop.pages import form_texts
from overbend.web.shop.place import Page, Shop, display_of
from overbend.web.shop.plan_day import choices, day_plan, steps_of
from overbend.web.shop.results import (
    BatchResult,
    keep,
    kept_trials,
    measure,
    results,
    standing,
    taken,
    whole_uid,
)
from overbend.web.shop.told import told
from overbend.web.store import Store
from overbend.web.words import ENGLISH, words

__all__ = ["DayPages"]

Data = dict[str, Any]
Text = Callable[[Path], tuple[str, ShopState]]
_MOST = 200  # events in one request
_LARGEST = 200_000  # bytes of one request
AFTER = ("1 h", "1 day", "10 days")


class DayPages:
    """Handlers of the steam day.

    Parameters
    ----------
    page : fills a template.
    store : the projects.
    shop : the ledger.
    text : newest text of a project, and what the shop has learnt where that is used.
    now : seconds since 1970.
    """

    def __init__(
        self, page: Page, store: Store, shop: Shop, text: Text, now: Callable[[], float]
    ) -> None:
        self.page, self.store, self.shop, self.text, self.now = page, store, shop, text, now

    def routes(self) -> list[Route]:
        """Addresses of the day."""
        return [
            Route("/day", self.pieces),
            Route("/day/{id:path}", self.day),
            Route("/day-state/{id:path}", self.state),
            Route("/day-begin/{id:path}", self.begin, methods=["POST"]),
            Route("/day-events/{id:path}", self.events, methods=["POST"]),
            Route("/day-keep/{id:path}", self.keep, methods=["POST"]),
            Route("/day-measure/{id:path}", self.measure, methods=["POST"]),
        ]

    async def pieces(self, _request: Request) -> Response:
        """Every piece, to choose whose day it is."""
        entries = await asyncio.to_thread(self.store.entries)
        return self.page("day_pieces.html", entries=entries)

    async def day(self, request: Request) -> Response:
        """The day under way, a past one, or the choice of what to steam."""
        id, path = self._piece(request)
        wanted = request.query_params.get("run", "")
        runs = await self._runs(id)
        number = _number(wanted) if wanted else _under_way(runs)
        if number in runs:
            return await self._run_page(request, id, number, runs[number])
        return await self._start_page(request, id, path, runs)

    async def state(self, request: Request) -> Response:
        """Events of a day, for a page that asks again."""
        id = request.path_params["id"]
        number = _number(request.query_params.get("run", ""))
        runs = await self._runs(id)
        if number not in runs:
            raise InputError(words("day.none"))
        return self._state(number, runs[number])

    async def begin(self, request: Request) -> Response:
        """Begin a day with what was chosen."""
        id, path = self._piece(request)
        typed, display = await form_texts(request), display_of(request)
        runs = await self._runs(id)
        if _under_way(runs) is None:
            wanted = {k[5:]: _number(v) for k, v in typed.items() if k.startswith("part ")}
            run = await asyncio.to_thread(self._planned_run, id, path, display, wanted)
            await self.shop.write(lambda ledger: ledger.add(run))
        return RedirectResponse(f"/day/{id}", 303)

    def _planned_run(self, id: str, path: Path, display: Display, wanted: dict[str, int]) -> Run:
        plan = self._plan(path, display)
        if plan.steam_run is None:
            raise InputError(words("day.nothing"))
        data = day_plan(plan, plan.steam_run, wanted)
        return Run(
            project=plan.project.name[:120] or id[:120],
            piece=id[:120],
            fingerprint=plan.fingerprint,
            begun_at=self.now(),
            plan=json.dumps(data, separators=(",", ":"), allow_nan=False),
        )

    async def events(self, request: Request) -> Response:
        """Take in what happened; answer with everything that happened so far."""
        id = request.path_params["id"]
        number, given = _events(await _body(request), self.now(), request.scope.get("device", ""))
        runs = await self._runs(id)
        if number not in runs:
            raise InputError(words("day.none"))
        sorted_out = taken(runs[number], given)
        await self.shop.write(lambda ledger: ledger.log(number, sorted_out.events))
        runs = await self._runs(id)
        return self._state(number, runs[number], [e.uid for e in given])

    async def keep(self, request: Request) -> Response:
        """Put the day's results into the ledger."""
        id = request.path_params["id"]
        number, run = await self._asked(id, await form_texts(request))
        await self.shop.write(lambda ledger: keep(ledger, run))
        return RedirectResponse(f"/day/{id}?run={number}#kept", 303)

    async def measure(self, request: Request) -> Response:
        """Keep what was measured after release."""
        id = request.path_params["id"]
        typed, display = await form_texts(request), display_of(request)
        number, run = await self._asked(id, typed)
        batch, kind = typed.get("batch", ""), typed.get("kind", "")
        try:
            given = [(a, c) for a in AFTER if (c := typed.get(f"chord {a}", "").strip())]
            if not given:
                raise UnitError(words("day.measure.empty"))
            for after, text in given:
                chord, hours = parse_length(text, display.system), parse_duration(after) / 3600.0

                def add(ledger: Ledger, chord: float = chord, hours: float = hours) -> None:
                    measure(ledger, run, batch, kind, chord, hours)

                await self.shop.write(add)
        except OverbendError as error:
            return await self._run_page(request, id, number, run, str(error), typed)
        return RedirectResponse(f"/day/{id}?run={number}#kept", 303)

    # -- pieces of pages ---------------------------------------------------------------
    async def _run_page(
        self,
        request: Request,
        id: str,
        number: int,
        run: Run,
        problem: str = "",
        typed: dict[str, str] | None = None,
    ) -> Response:
        display = display_of(request)
        over = _over(run)
        kept = await self.shop.read(lambda ledger: kept_trials(ledger, run), {}) if over else {}
        told = [_told(r, run, kept, display) for r in results(run)] if over else []
        return self.page(
            "day.html", 400 if problem else 200, id=id, title=run.project, number=number,
            state=_state_of(id, number, run), over=over, told=told, problem=problem,
            typed=typed or {}, after=AFTER, notes=_loose_notes(run), units=display.system,
            kept=len(kept),
        )  # fmt: skip

    async def _start_page(
        self, request: Request, id: str, path: Path, runs: dict[int, Run]
    ) -> Response:
        display = display_of(request)
        plan, why, offered = await asyncio.to_thread(self._offered, path, display)
        return self.page(
            "day_start.html", id=id, title=plan.project.name if plan else path.stem,
            offered=offered, why=why, past=_past(runs), units=display.system,
        )  # fmt: skip

    def _offered(self, path: Path, display: Display) -> tuple[Plan | None, str, Any]:
        """Plan, what keeps a day from being planned, and what can be steamed."""
        try:
            plan = self._plan(path, display)
            if not plan.steamed:
                return plan, words("day.cold"), ()
            run = plan.steam_run
            if run is None:
                return plan, words("day.nobox"), ()
            return plan, "", choices(plan, run)
        except OverbendError as error:
            return None, str(error), ()

    def _plan(self, path: Path, display: Display) -> Plan:
        text, state = self.text(path)
        return Plan(read(text, path), display, state)

    def _state(self, number: int, run: Run, had: list[str] | None = None) -> JSONResponse:
        events = [e.model_dump() for e in run.events]
        return JSONResponse({"run": number, "now": self.now(), "events": events, "had": had or []})

    def _piece(self, request: Request) -> tuple[str, Path]:
        id = request.path_params["id"]
        return id, self.store.path(id)

    async def _runs(self, id: str) -> dict[int, Run]:
        """Days of a piece by number."""
        held = await self.shop.read(lambda ledger: ledger.all_of(Run), ())
        return {n: run for n, run in held if run.piece == id}

    async def _asked(self, id: str, typed: dict[str, str]) -> tuple[int, Run]:
        number, runs = _number(typed.get("run", "")), await self._runs(id)
        if number not in runs:
            raise InputError(words("day.none"))
        return number, runs[number]


def _over(run: Run) -> bool:
    """Whether a day is at its end."""
    return any(e.what == "tick" and e.step == "shut" for e in standing(run.events))


def _under_way(runs: dict[int, Run]) -> int | None:
    return next((n for n, run in reversed(runs.items()) if not _over(run)), None)


def _past(runs: dict[int, Run]) -> list[tuple[int, str]]:
    return [(n, _when(run)) for n, run in reversed(runs.items()) if _over(run)]


def _when(run: Run) -> str:
    return time.strftime("%Y-%m-%d %H:%M", time.localtime(run.begun_at))


def _state_of(id: str, number: int, run: Run) -> str:
    """What the page of a day under way starts with, as JSON."""
    plan = json.loads(run.plan)
    said = {k: v for k, v in ENGLISH.items() if k.startswith(("day.", "word."))}
    state = {"id": id, "run": number, "plan": plan, "steps": steps_of(plan), "say": said}
    return json.dumps(state, separators=(",", ":"))


def _loose_notes(run: Run) -> list[str]:
    """Notes that belong to no batch."""
    keys = {b["key"] for b in json.loads(run.plan)["batches"]}
    return [
        e.text
        for e in standing(run.events)
        if e.what == "note" and e.step.partition(":")[2] not in keys and e.step not in keys
    ]


def _told(result: BatchResult, run: Run, kept: Mapping[str, Trial], display: Display) -> Data:
    """A batch of the summary in words."""
    batch, part = result.batch, json.loads(run.plan)["parts"][result.batch["part"]]
    return {
        "key": batch["key"],
        "part": batch["part"],
        "number": batch["number"],
        "bent": result.bent,
        "steamed": None if result.steamed is None else round(result.steamed, 1),
        "outside": None if result.outside is None else round(result.outside),
        "word": result.word,
        "low": int(part["low"]),
        "high": int(part["high"]),
        "kinds": [_kind(k, result, kept.get(whole_uid(run, batch["key"], k["key"])), display)
                  for k in part["kinds"]],
        "notes": result.notes,
        "on_form": format_length(ends_from(part["ends"]).chord(0.0), display),
        "at_rest": format_length(part["at_rest"], display),
    }  # fmt: skip


def _kind(kind: Data, result: BatchResult, trial: Trial | None, display: Display) -> Data:
    """Strips of a kind: how many broke, and what was measured on a whole one."""
    broken = result.cracked[kind["key"]]
    measured = trial is not None and trial.measurements
    said = told(0, trial, None, display).lines if trial is not None and measured else ()
    return {**kind, "broken": broken, "whole": kind["count"] - broken, "said": said}


def _number(text: str) -> int:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else 0


async def _body(request: Request) -> Data:
    """A request's JSON, of bounded size."""
    data = b""
    async for piece in request.stream():
        data += piece
        if len(data) > _LARGEST:
            raise InputError(words("day.large"))
    try:
        found = json.loads(data)
    except (ValueError, RecursionError) as error:
        raise InputError(words("day.garbled")) from error
    if not isinstance(found, dict):
        raise InputError(words("day.garbled"))
    return found


def _events(body: Data, now: float, who: str) -> tuple[int, list[RunEvent]]:
    """Number of the day and its new events; none from the future."""
    run, given = body.get("run"), body.get("events")
    if type(run) is not int or not isinstance(given, list) or len(given) > _MOST:
        raise InputError(words("day.garbled"))
    try:
        events = [RunEvent.model_validate(e) for e in given]
    except ValidationError as error:
        raise InputError(words("day.garbled")) from error
    return run, [e.model_copy(update={"at": min(e.at, now), "who": who}) for e in events]
