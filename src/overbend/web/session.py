"""One project that is open on the page: its text, its readers, its worker.

Everything here happens on the event loop's thread; only planning and writing run elsewhere.
The newest change wins: while a plan is being made, further moves of a drag replace each other,
and when it is done only the last of them is planned.
"""

from __future__ import annotations

import asyncio
import json
import logging
import threading
import time
from collections.abc import Awaitable, Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path
from typing import Any

from overbend.book.us_units import Reader, reader_of
from overbend.errors import OverbendError, ProjectError
from overbend.plan import Cutting
from overbend.project import Loaded, build_curve, read
from overbend.project.shop_state import ShopState
from overbend.web import tracing
from overbend.web.answers import Answer, View, answers, one_section, slow_answers
from overbend.web.disk import Change, Disk, text_of
from overbend.web.draft import Draft, changed, with_element
from overbend.web.fields import Fields, typed
from overbend.web.handles import Handle, handles_of, moved, stepped
from overbend.web.history import History
from overbend.web.replan import Replanner
from overbend.web.saw_desk import SawDesk
from overbend.web.scene import Pane
from overbend.web.troubles import trouble
from overbend.web.words import words

__all__ = ["Client", "Session"]

Data = dict[str, Any]
_LOG = logging.getLogger("overbend.web")
_FAILED = words("page.failed")
REST = 0.12
"""How long the pointer rests before the slow answers are computed [s]."""
SAWN = 0.25
"""How often news of the search for boards is shown at most [s]."""
KEEP = 0.3
"""How often the file on disk and the text are brought in step [s]."""


@dataclass(eq=False)
class Client:
    """One tab.

    Parameters
    ----------
    send : sends it a message.
    view : what it looks at.
    seq : number of its last request; answers carry the one they answer.
    drag : where its pointer was last while dragging, not planned yet.
    pane : the sheet as it was last drawn for it.
    handles : what there was to take hold of on it; grabbed is the one being dragged.
    held : values being tried.
    shown : its sections as they were last sent.
    """

    send: Callable[[Data], Awaitable[None]]
    view: View = field(default_factory=View)
    seq: int = 0
    drag: tuple[str, float, float, float] | None = None
    pane: Pane | None = None
    handles: dict[str, Handle] = field(default_factory=dict)
    grabbed: Handle | None = None
    held: dict[str, object] = field(default_factory=dict)
    shown: Data = field(default_factory=dict)

    def unseen(self, data: Data) -> Data:
        """Return an answer, of a drag only what is not on the page already."""
        given = data.get("sections", {})
        fresh = {id: made for id, made in given.items() if self.shown.get(id) != made}
        self.shown |= given
        return {**data, "sections": fresh} if data.get("draft") else data


class Session:
    """An open project.

    Parameters
    ----------
    path : of its file.

    Raises
    ------
    OverbendError
        When the file cannot be read as a text at all.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self.text = text_of(path)
        self.history = History(self.text)
        self.version = 1
        self.disk = Disk(path, self.text)
        self.clients: set[Client] = set()
        self._draft: Draft | None = None
        self._loaded: Loaded | None = None  # the last that could be read
        self._wake = asyncio.Event()
        self._tick = 0
        self._replanner = Replanner()
        self.shop_state = ShopState()
        self._news = asyncio.Event()
        self._desk = SawDesk(partial(_from_thread, asyncio.get_running_loop(), self._news))
        self._pool = ThreadPoolExecutor(1, "overbend-plan")
        # a drag never waits for what is being computed in full: it has a thread of its own
        self._drags = Replanner()
        self._drag_pool = ThreadPoolExecutor(1, "overbend-drag")
        self._tasks = [asyncio.create_task(self._work()), asyncio.create_task(self._keep())]
        self._tasks.append(asyncio.create_task(self._tell_sawn()))

    # -- readers -----------------------------------------------------------------------
    async def join(self, client: Client) -> None:
        """Let a tab in: it gets the text, and answers follow."""
        self.clients.add(client)
        await client.send({"type": "text", **self._state(client), "by": "", "own": False})
        self._wake.set()

    def leave(self, client: Client) -> None:
        """Let a tab go, with what it was dragging."""
        self.clients.discard(client)
        if client.held:
            self._drop(client)
            self._wake.set()

    async def close(self) -> None:
        """Write what is unsaved and stop."""
        self._desk.close()
        for task in self._tasks:
            task.cancel()
        await asyncio.gather(*self._tasks, return_exceptions=True)
        self._draft = None
        await self._settle()
        for pool in (self._pool, self._drag_pool):
            pool.shutdown(wait=False, cancel_futures=True)

    async def look(self, client: Client, view: View) -> None:
        """Note what a tab looks at now; what keeps the text from being read is in its units."""
        before, client.view = client.view.system, view
        self._wake.set()
        if view.system != before and self._reading(client)["trouble"] is not None:
            await client.send({"type": "text", **self._state(client), "by": "", "own": True})

    def reader(self, client: Client) -> Reader:
        """Who reads messages in a tab."""
        return _reader(self.text, self.path, client.view)

    async def tell(self, message: Data, but: Client | None = None) -> None:
        """Send a message to every tab."""
        for client in list(self.clients):
            if client is not but:
                await client.send(message)

    def use(self, state: ShopState) -> None:
        """Plan with what the shop has and has learnt from now on."""
        self.shop_state = self._replanner.shop_state = self._drags.shop_state = state
        self._wake.set()

    def _state(self, client: Client) -> Data:
        return {
            "version": self.version,
            "text": self.text,
            "undo": self.history.can_undo,
            "redo": self.history.can_redo,
            "saved": self.disk.holds(self.text),
            **self._reading(client),
        }

    def _reading(self, client: Client) -> Data:
        """Plain values of the text, or what keeps it from being read."""
        try:
            loaded = self.readable()
        except OverbendError as error:
            return {"raw": None, "trouble": trouble(error, self.reader(client))}
        raw = json.loads(json.dumps(loaded.raw, default=str))
        return {"raw": raw, "trouble": None}

    # -- changes -----------------------------------------------------------------------
    async def type(self, client: Client, key: str, text: str) -> None:
        """Put what was typed into a field into the file."""
        fields = self._fields(client)
        value = typed(text, key, fields.raw, fields.display.system)
        await self.commit(changed(self.text, [(key, value)], self.path), client, key)

    async def element(self, client: Client, act: str, key: str, index: int) -> None:
        """Add an element to a list of the file, or take one out."""
        fresh = with_element(self.text, act, key, index, self.path)
        await self.commit(fresh, client, key)

    async def put(self, client: Client | None, edits: list[tuple[str, object]], what: str) -> None:
        """Put plain values into the file."""
        await self.commit(changed(self.text, edits, self.path), client, what)

    async def rewrite(self, client: Client, base: int, text: str) -> None:
        """Take the whole text as typed, readable or not, unless it changed since `base`."""
        if base != self.version:
            await client.send({"type": "behind", **self._state(client)})
            return
        own = text.replace("\n", "\r\n") if "\r\n" in self.text and "\r\n" not in text else text
        await self.commit(own, client, words("change.text"))

    async def undo(self, client: Client, step: int) -> None:
        """Go back or forward in the history."""
        self._let_go()
        there, back = self.history.undo, self.history.redo
        if step > 0:
            there, back = back, there
        text = there()
        if text is None:
            return
        try:
            await self._trace_again()
        except OverbendError:
            back()  # the picture stayed where it was, so the text does too
            raise
        await self._show(text, client, words("change.undo" if step < 0 else "change.redo"))

    async def _trace_again(self) -> None:
        """Put the traced picture where it lay at this place of the history."""
        wanted = self.history.picture
        if wanted is not None and await asyncio.to_thread(tracing.put_back, self.path, wanted):
            await self.tell({"type": "trace", "placed": tracing.as_data(self.path)})

    async def traced(self, before: tracing.Kept) -> None:
        """Note that the traced picture is another now: a step, unless only its look changed."""
        after = tracing.kept(self.path)
        if not before.lies_as(after):
            self.history.trace(before, after)
        await self.tell({"type": "trace", "placed": tracing.as_data(self.path)})
        undo, redo = self.history.can_undo, self.history.can_redo
        await self.tell({"type": "steps", "undo": undo, "redo": redo})

    async def commit(self, text: str, client: Client | None, what: str) -> None:
        """Make a text the project's, for every tab and for undo."""
        if text != self.text:
            self.history.add(text)
        await self._show(text, client, what)

    async def _show(self, text: str, client: Client | None, what: str) -> None:
        if text != self.text:
            self.text = text
            self.version += 1
            self._let_go()
        for other in list(self.clients):
            state = self._state(other)
            await other.send({"type": "text", **state, "by": what, "own": other is client})
        self._wake.set()

    # -- dragging ----------------------------------------------------------------------
    def pull(self, client: Client, handle: str, x: float, y: float, step: float) -> None:
        """Note where a handle was pulled to on the client's sheet; planned when there is time."""
        if client.grabbed is None or client.grabbed.id != handle:
            if handle not in client.handles:
                raise ProjectError(words("handle.none"))
            client.grabbed = client.handles[handle]
        client.drag = (handle, x, y, step)
        self._desk.drop()
        self._wake.set()

    def scrub(self, client: Client, key: str, text: str) -> None:
        """Try a value that is dragged sideways."""
        fields = self._fields(client)
        client.held[key] = typed(text, key, fields.raw, fields.display.system)
        self._wake.set()

    async def nudge(self, client: Client, handle: str, way: tuple[int, int], step: float) -> None:
        """Move a handle a step with the keyboard, and keep it there."""
        fields = self._fields(client)
        project = fields.project
        part = project.bent.get(client.view.part) or next(iter(project.bent.values()), None)
        if part is None:
            raise ProjectError(words("handle.none"))
        # the drawing may be behind when a key is pressed again: where the handle is now counts
        curve = build_curve(part.curve, project, self.path.parent)
        found = next((h for h in handles_of(part.curve, curve, fields) if h.id == handle), None)
        if found is None:
            raise ProjectError(words("handle.none"))
        edits = stepped(found, way, step, fields)
        await self.put(client, edits, found.label)

    async def drop(self, client: Client) -> None:
        """End a drag: what was last pulled stays."""
        self._pull_now(client)
        what = client.grabbed.label if client.grabbed else ", ".join(client.held)
        edits = list(client.held.items())
        self._drop(client)
        if edits:
            await self.put(client, edits, what)
        self._wake.set()

    def cancel(self, client: Client) -> None:
        """End a drag and put everything back."""
        self._drop(client)
        self._wake.set()

    def _drop(self, client: Client) -> None:
        client.drag, client.grabbed = None, None
        client.held.clear()
        self._draft = None

    def _let_go(self) -> None:
        """The text under a draft changed: it is laid over anew."""
        self._draft = None

    def _pull_now(self, client: Client) -> None:
        """Turn the last place of the pointer into values."""
        if client.drag is None or client.grabbed is None or client.pane is None:
            return
        _, x, y, step = client.drag
        client.drag = None
        fields = self._fields(client)
        place = client.pane.in_model(x, y)
        client.held.update(moved(client.grabbed, *place, step, fields))

    def _fields(self, client: Client) -> Fields:
        """Values of the project as one tab reads them."""
        loaded = self.readable()
        return Fields(loaded, client.view.display(loaded))

    def readable(self) -> Loaded:
        """The project as last read.

        Raises
        ------
        ProjectError
            When the text does not read.
        """
        if self._loaded is None or self._loaded.text != self.text:
            self._loaded = read(self.text, self.path)
        return self._loaded

    # -- working -----------------------------------------------------------------------
    async def _work(self) -> None:
        """Plan whenever something changed; the slow rest when nothing did for a while."""
        while True:
            await self._wake.wait()
            while self._wake.is_set():
                self._wake.clear()
                try:
                    await self._round()
                except Exception:
                    _LOG.exception("planning %s", self.path.name)
                    await self.tell({"type": "notice", "kind": "failed", "text": _FAILED})

    async def _round(self) -> None:
        """Answer, and when nothing changes for a while the rest too."""
        await self._answer_all()
        try:
            async with asyncio.timeout(REST):
                await self._wake.wait()
        except TimeoutError:
            await self._answer_rest()

    async def _answer_all(self) -> None:
        """One quick answer for every tab, the dragging one first."""
        began = time.perf_counter()
        trial = await self._trial()
        dragging = trial is not None
        clients = sorted(self.clients, key=lambda c: not c.held)
        for client in clients:
            if dragging and not client.held:
                continue  # other tabs follow when the drag ends
            seq, view = client.seq, client.view
            view = _still(view, client.pane) if dragging else view
            reply = await self._planned(trial, view)
            if reply.handles:
                client.handles = reply.handles
            if reply.window is not None:
                client.pane = Pane(view.width, view.height, reply.window)
            self._tick += 1
            head = {"type": "answers", "tick": self._tick, "seq": seq, "version": self.version}
            took = round(1000.0 * (time.perf_counter() - began), 1)
            await client.send({**head, **client.unseen(reply.data), "took": took})

    async def _trial(self) -> Loaded | OverbendError | None:
        """The project with what is being dragged laid over, or why not; None for no drag."""
        for client in self.clients:
            try:
                self._pull_now(client)
            except OverbendError as error:
                await client.send({"type": "refused", **trouble(error, self.reader(client))})
        held = [edit for client in self.clients for edit in client.held.items()]
        if not held:
            return None
        try:
            self._draft = self._draft or Draft(self.readable())
            return self._draft.put(held)
        except OverbendError as error:
            return error

    async def _planned(self, trial: Loaded | OverbendError | None, view: View) -> Answer:
        loop = asyncio.get_running_loop()
        pool = self._pool if trial is None else self._drag_pool
        return await loop.run_in_executor(pool, self._plan, trial, self.text, view)

    def _plan(self, trial: Loaded | OverbendError | None, text: str, view: View) -> Answer:
        try:
            if isinstance(trial, OverbendError):
                raise trial
            if trial is not None:
                return answers(self._drags, trial, view, True)
            return answers(self._replanner, read(text, self.path), view, False)
        except OverbendError as error:
            draft = trial is not None
            why = trouble(error, _reader(text, self.path, view))
            return Answer({"stage": "quick", "draft": draft, "trouble": why})

    async def _answer_rest(self) -> None:
        """Slow answers, piece by piece, until something changes."""
        if any(client.held for client in self.clients):
            return
        for client in list(self.clients):
            if self._wake.is_set():
                return
            try:
                loaded = read(self.text, self.path)
            except OverbendError:
                return
            system = client.view.display(loaded).system
            sawn = self._desk.state(system)
            over = threading.Event()
            pieces = slow_answers(self._replanner, loaded, client.view, over.is_set, sawn)
            seq = client.seq
            while (piece := await self._unless_woken(pieces, over, client)) is not None:
                self._tick += 1
                head = {"type": "answers", "tick": self._tick, "seq": seq, "version": self.version}
                await client.send({**head, **client.unseen(piece)})
                key = piece.get("sections", {}).get("cutting", {}).get("saw")
                if key:
                    self._desk.want(loaded, system, key, self.shop_state)
                    self._news.set()

    async def _unless_woken(
        self, pieces: Iterator[Data], over: threading.Event, client: Client
    ) -> Data | None:
        """Next piece of slow answers; None when it was the last, or something changes before."""
        work = asyncio.get_running_loop().run_in_executor(
            self._pool, _next, pieces, self.reader(client)
        )
        woken = asyncio.ensure_future(self._wake.wait())
        either: list[asyncio.Future[Any]] = [work, woken]
        try:
            await asyncio.wait(either, return_when=asyncio.FIRST_COMPLETED)
        finally:
            woken.cancel()
            if not work.done():  # it ends at its next step, and nobody waits for it
                over.set()
                work.add_done_callback(_forgotten)
        return work.result() if work.done() else None

    # -- boards ------------------------------------------------------------------------
    def saw(self, client: Client, act: str) -> None:
        """Stop the search for boards, or look on."""
        self._desk.act(client.view.display(self.readable()).system, act)
        self._news.set()

    @property
    def cutting(self) -> Cutting | None:
        """The cutting plan that is shown; None while there is none."""
        return self._desk.cutting

    async def _tell_sawn(self) -> None:
        """Show how the search for boards stands whenever it has news and nothing is dragged."""
        while True:
            await self._news.wait()
            self._news.clear()
            for client in list(self.clients):
                if not any(c.held for c in self.clients):
                    await self._show_sawn(client)
            await asyncio.sleep(SAWN)

    async def _show_sawn(self, client: Client) -> None:
        with suppress(OverbendError):
            loaded = self.readable()
            sawn = self._desk.state(client.view.display(loaded).system)
            given = self._replanner, loaded, client.view, "cutting", sawn
            loop = asyncio.get_running_loop()
            piece = await loop.run_in_executor(self._pool, partial(one_section, *given))
            self._tick += 1
            head = {"type": "answers", "tick": self._tick, "seq": client.seq}
            await client.send({**head, "version": self.version, **client.unseen(piece)})

    # -- the file ----------------------------------------------------------------------
    async def _keep(self) -> None:
        while True:
            await asyncio.sleep(KEEP)
            await self._settle()

    async def _settle(self) -> None:
        """Bring file and text in step, and say what happened."""
        dragged = self._draft is not None and self._draft.edits
        wanted = self._draft.text if self._draft is not None and dragged else self.text
        change = await asyncio.to_thread(self.disk.settle, wanted)
        if change is not None:
            await self._happened(change)

    async def _happened(self, change: Change) -> None:
        if change.kind == "taken":
            self.history.add(change.text)
            await self._show(change.text, None, words("change.disk"))
        notices = {
            "taken": words("notice.disk"),
            "conflict": words("notice.conflict", file=change.file),
            "gone": words("notice.gone"),
            "unsaved": words("notice.unsaved", why=change.why),
        }
        if change.kind in notices:
            await self.tell({"type": "notice", "kind": change.kind, "text": notices[change.kind]})
        if change.kind in ("saved", "conflict", "gone"):
            await self.tell({"type": "saved", "version": self.version})


def _reader(text: str, path: Path, view: View) -> Reader:
    """Who reads messages about a text, whether it reads or not."""
    return reader_of(text, view.system, (path.name,))


def _still(view: View, pane: Pane | None) -> View:
    """The view with the part of the model it shows already, so that nothing jumps."""
    if pane is None or (pane.width, pane.height) != (view.width, view.height):
        return view
    return replace(view, window=pane.window)


def _forgotten(work: asyncio.Future[Any]) -> None:
    """Take note of how something ended that nobody waits for any more."""
    if not work.cancelled() and work.exception() is not None:
        _LOG.error("planning in the background", exc_info=work.exception())


def _from_thread(loop: asyncio.AbstractEventLoop, news: asyncio.Event) -> None:
    """Raise a flag of the loop from another thread, unless the loop is gone."""
    with suppress(RuntimeError):
        loop.call_soon_threadsafe(news.set)


def _next(pieces: Iterator[Data], reader: Reader) -> Data | None:
    """Next piece of slow answers; an error of ours ends them."""
    try:
        return next(pieces, None)
    except OverbendError as error:
        return {"stage": "full", "trouble": trouble(error, reader)}
