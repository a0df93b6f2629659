"""Pages of the trial bends: list, add (free, or of a part of a piece), measure again, take out."""

from __future__ import annotations

import asyncio
import tomllib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from overbend.errors import InputError, OverbendError, TrialError, UnitError
from overbend.ledger import (
    Board,
    Form,
    Ledger,
    Measurement,
    Trial,
    lost_at_ten_days,
    read_record,
)
from overbend.ledger.ends import Ends, measured_by_ends
from overbend.plan import BentPlan, Plan
from overbend.project import read
from overbend.project.shop_state import ShopState
from overbend.units import Display, format_length, parse_duration, parse_length
from overbend.web.shop.entry import Entry, fields_of, read_all
from overbend.web.shop.kinds import Strips, ends_of, strips_of, trial_values
from overbend.web.shop.pages import form_texts, wood_names
from overbend.web.shop.place import Page, Shop, display_of
from overbend.web.shop.shelves import DRIED, SHELVES, SIDES, today
from overbend.web.shop.told import told
from overbend.web.store import Store
from overbend.web.words import words

__all__ = ["ENTRIES", "TrialPages"]

Data = dict[str, Any]
AFTER = ("1 h", "1 day", "10 days")
TREATMENTS = ("steam", "soak-steam", "cold")
_OFFERED = 60  # pieces whose parts are offered
_PART = "|"  # between piece and part in one choice; the name of no piece holds it

ENTRIES = (
    Entry("species", "wood", needed=True),
    Entry("treatment", "choice", TREATMENTS, needed=True),
    Entry("thickness", "length", needed=True),
    Entry("plies", "whole"),
    Entry("form", "choice"),
    Entry("form_radius", "length"),
    Entry("side", "choice", SIDES, needed=True),
    Entry("strap", "yes"),
    Entry("broken", "yes"),
    Entry("steam_minutes", "minutes"),
    Entry("soak_hours", "hours"),
    Entry("dried", "choice", DRIED),
    Entry("moisture", "number"),
    Entry("grain_slope", "slope"),
    Entry("board", "choice"),
    Entry("bent_on", "day"),
    Entry("run"),
    Entry("who"),
    Entry("note", "note"),
)
"""Fields of a trial bend, in the order of its form."""


@dataclass(frozen=True)
class Chosen:
    """A part that a trial bend is made of.

    Parameters
    ----------
    piece, part : ids of both.
    title : of the piece.
    strips : kinds of its strips.
    ends : its trim marks on the form.
    bent : everything computed about it.
    """

    piece: str
    part: str
    title: str
    strips: tuple[Strips, ...]
    ends: Ends
    bent: BentPlan


class TrialPages:
    """Handlers of the trial bends.

    Parameters
    ----------
    page : fills a template.
    store : the projects.
    shop : the ledger.
    text : newest text of a project, and what the shop has learnt where that is used.
    """

    def __init__(
        self,
        page: Page,
        store: Store,
        shop: Shop,
        text: Callable[[Path], tuple[str, ShopState]],
    ) -> None:
        self.page, self.store, self.shop, self.text = page, store, shop, text

    def routes(self) -> list[Route]:
        """Addresses of the trial bends."""
        one = "/shop/trials/{number:int}"
        return [
            Route("/shop/trials", self.show),
            Route("/shop/trials", self.add, methods=["POST"]),
            Route(one + "/measure", self.measure, methods=["POST"]),
            Route(one + "/delete", self.delete, methods=["POST"]),
        ]

    async def show(self, request: Request) -> Response:
        """Every trial bend, and the form for another."""
        chosen = await self._chosen(request.query_params.get("of", ""))
        key = request.query_params.get("strips", "")
        return await self._list(request, chosen, self._start(chosen, key))

    async def add(self, request: Request) -> Response:
        """Add a trial bend, with what was measured on it."""
        display, typed = display_of(request), await form_texts(request)
        chosen = await self._chosen(typed.get("of", ""))
        try:
            ends = chosen.ends if chosen else None
            number = await self.shop.write(lambda book: _add(book, typed, display, ends))
        except OverbendError as error:
            return await self._list(request, chosen, {}, str(error), typed)
        return RedirectResponse(f"/shop/trials#n{number}", 303)

    async def measure(self, request: Request) -> Response:
        """Measure a trial bend again."""
        display, typed = display_of(request), await form_texts(request)
        number = request.path_params["number"]
        try:
            found = _measurements(typed, display, 1)
            if not found:
                raise TrialError(words("trials.nothing"))
            await self.shop.write(lambda book: book.measure(number, found[0]))
        except OverbendError as error:
            return await self._list(request, None, self._start(None, ""), str(error))
        return RedirectResponse(f"/shop/trials#n{number}", 303)

    async def delete(self, request: Request) -> Response:
        """Take a trial bend out."""
        number = request.path_params["number"]
        await self.shop.write(lambda book: book.remove_trial(number))
        return RedirectResponse("/shop/trials", 303)

    # -- the page ----------------------------------------------------------------------
    async def _list(
        self,
        request: Request,
        chosen: Chosen | None,
        values: Mapping[str, Any],
        problem: str = "",
        typed: Mapping[str, str] | None = None,
    ) -> Response:
        display = display_of(request)
        trials, boards, forms, rest = await self.shop.read(_everything, ((), (), (), {}))
        shown = [told(n, t, rest.get(n), display) for n, t in reversed(trials)]
        choices = {
            "board": [("", words("shop.none")), *_choices("boards", boards, display)],
            "form": [("", words("shop.none")), *_choices("forms", forms, display)],
        }
        fields = fields_of("trials", ENTRIES, display, values, typed, choices)
        return self.page(
            "shop_trials.html", 400 if problem else 200, tab="trials", trials=shown,
            fields=fields, problem=problem, woods=wood_names(), units=display.system,
            own=bool(typed and typed.get("own_wood")), typed=typed or {}, after=AFTER,
            offered=await asyncio.to_thread(self._offered), chosen=chosen,
            of="" if chosen is None else f"{chosen.piece}{_PART}{chosen.part}",
            chord="" if chosen is None else format_length(chosen.ends.chord(0.0), display),
            opened=bool(chosen or problem or not shown),
        )  # fmt: skip

    def _start(self, chosen: Chosen | None, key: str) -> Data:
        """Values a form starts with."""
        start: Data = {"bent_on": today(), "plies": 1, "treatment": "steam", "side": "concave"}
        if chosen is None or not chosen.strips:
            return start
        strips = next((s for s in chosen.strips if s.key == key), chosen.strips[0])
        cold = chosen.bent.part.method == "laminate"
        more: Data = {"plies": len(chosen.bent.strips_used)} if cold else {}
        if cold:  # glued in one go: the whole stack lies on the form
            more["form_radius"] = min(s.form_radius for s in chosen.strips)
        return {**start, **trial_values(strips, chosen.bent), **more}

    def _offered(self) -> list[tuple[str, str]]:
        """Bent parts of the pieces, with what they are called."""
        out = []
        for entry in self.store.entries()[:_OFFERED]:
            try:
                data = tomllib.loads(self.store.path(entry.id).read_text("utf-8"))
                parts = dict(data.get("part", {}))
                bent = [n for n, p in parts.items() if p.get("kind") == "bent"]
            except (OSError, ValueError, AttributeError, TypeError, OverbendError):
                continue
            title = entry.title or entry.id
            out += [(f"{entry.id}{_PART}{name}", f"{title}: {name}") for name in bent]
        return out

    async def _chosen(self, of: str) -> Chosen | None:
        """The part that was chosen; None for none."""
        piece, _, name = of.partition(_PART)
        if not name:
            return None
        path = self.store.path(piece)
        text, state = self.text(path)
        return await asyncio.to_thread(_part_of, text, path, state, piece, name)


def _part_of(text: str, path: Path, state: ShopState, piece: str, name: str) -> Chosen:
    plan = Plan(read(text, path), None, state)
    part = plan.bent.get(name)
    if part is None:
        raise InputError(words("trials.part.gone"), name[:60])
    return Chosen(piece, name, plan.project.name, strips_of(part), ends_of(part), part)


def _everything(book: Ledger) -> tuple[Any, Any, Any, Any]:
    with book.reading():
        return book.all_of(Trial), book.all_of(Board), book.all_of(Form), lost_at_ten_days(book)


def _choices(
    shelf: str, held: Sequence[tuple[int, Any]], display: Display
) -> list[tuple[str, str]]:
    """Records as choices of a field, newest first."""
    line = SHELVES[shelf].line
    return [(str(n), f"{n}: {line(record, display)[0]}") for n, record in reversed(held)]


# -- what was typed -----------------------------------------------------------------------


def _add(book: Ledger, typed: Mapping[str, str], display: Display, ends: Ends | None) -> int:
    """Add what was typed to the ledger."""
    values = read_all("trials", ENTRIES, typed, display)
    form = _held(book, Form, values.pop("form", ""))
    board = _held(book, Board, values.pop("board", ""))
    if form is not None:
        values["form"] = form.uid
        if "form_radius" not in values and form.radius is not None:
            values |= {"form_radius": form.radius, "side": form.side}
    if board is not None:
        values["board"] = board.uid
    if "form_radius" not in values:
        raise InputError(f"{words('shop.trials.form_radius')} is missing")
    trial = read_record(Trial, values, words("shop.trials.one"))
    measured = _measurements(typed, display, len(AFTER), trial, ends)
    return book.add(trial.model_copy(update={"measurements": tuple(measured)}))


def _held(book: Ledger, kind: type[Any], number: str) -> Any:  # noqa: ANN401 - a Board or a Form
    """Record by the number that was chosen; None when none was."""
    if not number:
        return None
    found = {str(n): record for n, record in book.all_of(kind)}
    if number not in found:
        raise InputError(f"there is no number {number[:20]!r} on that shelf")
    return found[number]


def _measurements(
    typed: Mapping[str, str],
    display: Display,
    rows: int,
    trial: Trial | None = None,
    ends: Ends | None = None,
) -> list[Measurement]:
    """Measurements from the rows of a form; rows that are empty are left out."""
    out = []
    for i in range(rows):
        given = {
            name: text
            for name in ("radius", "chord", "rise", "ends")
            if (text := typed.get(f"m{i} {name}", "").strip())
        }
        if given:
            out.append(_measured(typed, i, given, display, trial, ends))
    return out


def _measured(
    typed: Mapping[str, str],
    row: int,
    given: Mapping[str, str],
    display: Display,
    trial: Trial | None,
    ends: Ends | None,
) -> Measurement:
    if set(given) not in ({"radius"}, {"chord", "rise"}, {"ends"}):
        raise TrialError(words("trials.two"), todo=words("trials.two.todo"))
    hours = _time(typed.get(f"m{row} after", ""))
    sizes = {name: _size(name, text, display) for name, text in given.items()}
    if "ends" in sizes:
        if trial is None or ends is None:
            raise TrialError(words("trials.part.gone"))
        return measured_by_ends(trial, ends, sizes["ends"], hours)
    error = typed.get("error", "").strip()
    values: Data = {"after_hours": hours, **sizes}
    values["error"] = _size("error", error, display) if error else None
    values["past_half"] = "rise" in sizes and bool(typed.get("past_half"))
    return read_record(Measurement, values, words("trials.measured"))


def _time(text: str) -> float:
    try:
        hours = parse_duration(text.strip() or "0 s", "h") / 3600.0
    except OverbendError as error:
        raise error.at(words("trials.after")) from error
    if hours < 0.0:
        raise UnitError(f"a time of {text!r}", words("trials.after"), "zero or more")
    return hours


def _size(name: str, text: str, display: Display) -> float:
    where = words("shop.trials.one") if name == "error" else words(f"trials.{name}")
    try:
        value = parse_length(text, display.system)
    except OverbendError as error:
        raise error.at(where) from error
    if value < 0.0 or (value == 0.0 and name != "rise"):
        raise UnitError(f"a length of {text!r}", where, "above zero")
    return value
