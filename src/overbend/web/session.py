"""One project that is open on the page: its text, its readers, its worker.

Everything here happens on the event loop's thread; only planning and writing run elsewhere.
The newest change wins: while a plan is being made, further moves of a drag replace each other,
and when it is done only the last of them is planned.
"""

from __future__ import annotations

import asyncio
import json
import logging
import time
import tomllib
from collections.abc import Awaitable, Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from overbend.errors import OverbendError, ProjectError
from overbend.project import Loaded, build_curve, read
from overbend.web.answers import Answer, View, answers, slow_answers, trouble
from overbend.web.disk import Change, Disk, text_of
from overbend.web.draft import Draft, changed, with_element
from overbend.web.fields import Fields, typed
from overbend.web.handles import Handle, handles_of, moved, stepped
from overbend.web.history import History
from overbend.web.replan import Replanner
from overbend.web.scene import Pane
from overbend.web.words import words

__all__ = ["Client", "Session"]

Data = dict[str, Any]
_LOG = logging.getLogger("overbend.web")
_FAILED = words("page.failed")
REST = 0.12
"""How long the pointer rests before the slow answers are computed [s]."""
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
    """

    send: Callable[[Data], Awaitable[None]]
    view: View = field(default_factory=View)
    seq: int = 0
    drag: tuple[str, float, float, float] | None = None
    pane: Pane | None = None
    handles: dict[str, Handle] = field(default_factory=dict)
    grabbed: Handle | None = None
    held: dict[str, object] = field(default_factory=dict)


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
        self._draft_text = ""
        self._loaded: Loaded | None = None  # the last that could be read
        self._wake = asyncio.Event()
        self._tick = 0
        self._replanner = Replanner()
        self._pool = ThreadPoolExecutor(1, "overbend-plan")
        self._tasks = [asyncio.create_task(self._work()), asyncio.create_task(self._keep())]

    # -- readers -----------------------------------------------------------------------
    async def join(self, client: Client) -> None:
        """Let a tab in: it gets the text, and answers follow."""
        self.clients.add(client)
        await client.send({"type": "text", **self._state(), "by": "", "own": False})
        self._wake.set()

    def leave(self, client: Client) -> None:
        """Let a tab go, with what it was dragging."""
        self.clients.discard(client)
        if client.held:
            self._drop(client)
            self._wake.set()

    async def close(self) -> None:
        """Write what is unsaved and stop."""
        for task in self._tasks:
            task.cancel()
        await asyncio.gather(*self._tasks, return_exceptions=True)
        self._draft = None
        await self._settle()
        self._pool.shutdown(wait=False, cancel_futures=True)

    def look(self, client: Client, view: View) -> None:
        """Note what a tab looks at now."""
        client.view = view
        self._wake.set()

    async def tell(self, message: Data, but: Client | None = None) -> None:
        """Send a message to every tab."""
        for client in list(self.clients):
            if client is not but:
                await client.send(message)

    def _state(self) -> Data:
        return {
            "version": self.version,
            "text": self.text,
            "undo": self.history.can_undo,
            "redo": self.history.can_redo,
            "saved": self.disk.holds(self.text),
            **self._reading(),
        }

    def _reading(self) -> Data:
        """Plain values of the text, or what keeps it from being read."""
        try:
            loaded = self.readable()
        except OverbendError as error:
            return {"raw": None, "trouble": trouble(error)}
        raw = json.loads(json.dumps(tomllib.loads(loaded.text), default=str))
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
            await client.send({"type": "behind", **self._state()})
            return
        own = text.replace("\n", "\r\n") if "\r\n" in self.text and "\r\n" not in text else text
        await self.commit(own, client, words("change.text"))

    async def undo(self, client: Client, step: int) -> None:
        """Go back or forward in the history."""
        self._let_go()
        text = self.history.undo() if step < 0 else self.history.redo()
        if text is not None:
            what = words("change.undo" if step < 0 else "change.redo")
            await self._show(text, client, what)

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
        state = self._state()
        for other in list(self.clients):
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
            await asyncio.wait_for(self._wake.wait(), REST)
        except TimeoutError:
            await self._answer_rest()

    async def _answer_all(self) -> None:
        """One quick answer for every tab, the dragging one first."""
        text, dragging = await self._trial()
        clients = sorted(self.clients, key=lambda c: not c.held)
        for client in clients:
            if dragging and not client.held:
                continue  # other tabs follow when the drag ends
            seq, view, began = client.seq, client.view, time.perf_counter()
            view = _still(view, client.pane) if dragging else view
            reply = await self._planned(text, view, dragging)
            if reply.handles:
                client.handles = reply.handles
            if reply.window is not None:
                client.pane = Pane(view.width, view.height, reply.window)
            self._tick += 1
            head = {"type": "answers", "tick": self._tick, "seq": seq, "version": self.version}
            took = round(1000.0 * (time.perf_counter() - began), 1)
            await client.send({**head, **reply.data, "took": took})

    async def _trial(self) -> tuple[str, bool]:
        """Text to plan: the project's, or with what is being dragged laid over."""
        for client in self.clients:
            try:
                self._pull_now(client)
            except OverbendError as error:
                await client.send({"type": "refused", **trouble(error)})
        held = [edit for client in self.clients for edit in client.held.items()]
        if not held:
            return self.text, False
        try:
            self._draft = self._draft or Draft(self.text)
            self._draft_text = self._draft.put(held)
        except OverbendError:
            return self.text, False
        return self._draft_text, True

    async def _planned(self, text: str, view: View, draft: bool) -> Answer:
        loop = asyncio.get_running_loop()
        return await loop.run_in_executor(self._pool, self._plan, text, view, draft)

    def _plan(self, text: str, view: View, draft: bool) -> Answer:
        try:
            return answers(self._replanner, read(text, self.path), view, draft)
        except OverbendError as error:
            return Answer({"stage": "quick", "draft": draft, "trouble": trouble(error)})

    async def _answer_rest(self) -> None:
        """Slow answers, piece by piece, until something changes."""
        if any(client.held for client in self.clients):
            return
        for client in list(self.clients):
            try:
                loaded = read(self.text, self.path)
            except OverbendError:
                return
            pieces = slow_answers(self._replanner, loaded, client.view, self._wake.is_set)
            seq = client.seq
            loop = asyncio.get_running_loop()
            while (piece := await loop.run_in_executor(self._pool, _next, pieces)) is not None:
                self._tick += 1
                head = {"type": "answers", "tick": self._tick, "seq": seq, "version": self.version}
                await client.send({**head, **piece})

    # -- the file ----------------------------------------------------------------------
    async def _keep(self) -> None:
        while True:
            await asyncio.sleep(KEEP)
            await self._settle()

    async def _settle(self) -> None:
        """Bring file and text in step, and say what happened."""
        wanted = self._draft_text if self._draft is not None and self._draft_text else self.text
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


def _still(view: View, pane: Pane | None) -> View:
    """The view with the part of the model it shows already, so that nothing jumps."""
    if pane is None or (pane.width, pane.height) != (view.width, view.height):
        return view
    return replace(view, window=pane.window)


def _next(pieces: Iterator[Data]) -> Data | None:
    """Next piece of slow answers; an error of ours ends them."""
    try:
        return next(pieces, None)
    except OverbendError as error:
        return {"stage": "full", "trouble": trouble(error)}
