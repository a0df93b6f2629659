"""The cutting plan of an open project, searched for in a process of its own.

The search takes seconds and the page must not wait for it: it runs beside the server, tells of
each better plan, and keeps the best when it is asked to stop. A change of what is to be cut, or
a drag, ends it.
"""

from __future__ import annotations

import hashlib
import multiprocessing
import signal
import threading
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field, replace
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from pathlib import Path
from time import monotonic
from typing import TYPE_CHECKING, Any, Literal

if TYPE_CHECKING:
    from overbend.plan import Cutting, ToCut
    from overbend.project.shop_state import ShopState
    from overbend.units import System

__all__ = ["Asked", "Sawing", "Sawn", "key_of"]

Phase = Literal["none", "busy", "done", "stopped", "trouble"]


@dataclass(frozen=True)
class Asked:
    """What a search starts from.

    Parameters
    ----------
    key : of what is to be cut, see `key_of`.
    text, path : of the project.
    system : the unit names are written in.
    shop_state : what the shop has.
    seconds : the search may take; None: what the project gives it.
    """

    key: str
    text: str
    path: Path | None
    system: System
    shop_state: ShopState
    seconds: float | None = None


@dataclass(frozen=True)
class Sawn:
    """How far the search is.

    Parameters
    ----------
    key : of what it is for.
    phase : "none", "busy", "done", "stopped" (the best so far) or "trouble".
    cost, bound : of the best plan so far, and the least any could cost.
    began : when the search began, by the clock of `time.monotonic` [s].
    cutting : the plan, once it is there.
    trouble : what went wrong.
    """

    key: str = ""
    phase: Phase = "none"
    cost: float | None = None
    bound: float | None = None
    began: float = field(default_factory=monotonic)
    cutting: Cutting | None = None
    trouble: str = ""


def key_of(asked: ToCut) -> str:
    """Mark of what is to be cut: equal marks, equal plans.

    Parameters
    ----------
    asked : strips, blanks, boards, sheets and how the shop cuts.
    """
    return hashlib.sha256(repr(asked).encode()).hexdigest()[:16]


class Sawing:
    """One search at a time, the newest.

    Parameters
    ----------
    changed : called, from another thread, whenever the state is another.
    """

    def __init__(self, changed: Callable[[], None]) -> None:
        self.state = Sawn()
        self._changed = changed
        self._lock = threading.Lock()
        self._pipe: Connection | None = None
        self._process: BaseProcess | None = None
        self._stopped = False

    def want(self, asked: Asked) -> None:
        """Begin a search unless it is running or done already."""
        if asked.key == self.state.key and self.state.phase != "none":
            return
        self._begin(asked, None)

    def longer(self, asked: Asked) -> None:
        """Search again, giving it more time; the plan that is there stays until then."""
        if self.state.phase != "busy":
            self._begin(asked, self.state.cutting)

    def stop(self) -> None:
        """End the search and keep its best."""
        if self._pipe is not None and self.state.phase == "busy":
            self._stopped = True
            with suppress(OSError):
                self._pipe.send("stop")

    def drop(self) -> None:
        """End a running search and forget it."""
        if self.state.phase == "busy":
            self._end()
            self.state = Sawn()

    def close(self) -> None:
        """End whatever runs."""
        self._end()

    def _begin(self, asked: Asked, kept: Cutting | None) -> None:
        self._end()
        context = multiprocessing.get_context("spawn")
        here, there = context.Pipe()
        process = context.Process(target=_search, args=(there, asked), daemon=True)
        with self._lock:
            self.state = Sawn(asked.key, "busy", cutting=kept)
            self._pipe, self._process, self._stopped = here, process, False
        process.start()
        there.close()
        threading.Thread(target=self._listen, args=(here, process), daemon=True).start()

    def _end(self) -> None:
        with self._lock:
            process, self._process, self._pipe = self._process, None, None
        if process is not None and process.is_alive():
            process.terminate()

    def _listen(self, pipe: Connection, process: BaseProcess) -> None:
        """Take in what the search tells until it ends."""
        while self._heard(pipe):
            self._changed()
        process.terminate()
        process.join()

    def _heard(self, pipe: Connection) -> bool:
        """Take in one message; whether more are to come."""
        try:
            message = pipe.recv()
        except (EOFError, OSError):
            message = {"phase": "trouble"}
        with self._lock:
            if self._pipe is not pipe:
                return False  # another search has begun
            phase: Phase = message.get("phase", "busy")
            if phase == "done" and self._stopped:
                message["phase"] = "stopped"
            self.state = replace(self.state, **message)
            if phase != "busy":
                self._process, self._pipe = None, None
        if phase != "busy":
            self._changed()
        return phase == "busy"


def _search(pipe: Connection, asked: Asked) -> None:
    """Search in a process of its own; anything that comes through the pipe ends it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    from overbend.errors import OverbendError
    from overbend.plan import Plan
    from overbend.project import read
    from overbend.solver import Solution, Stop
    from overbend.units import Display

    def told(better: Solution) -> None:
        pipe.send({"cost": better.objective, "bound": better.bound})

    try:
        loaded = read(asked.text, asked.path)
        plan = Plan(loaded, Display(asked.system), asked.shop_state)
        stop = None if asked.seconds is None else Stop(asked.seconds)
        made = plan.cut_with(stop, progress=told, cancel=pipe.poll)
        last: dict[str, Any] = {"phase": "done", "cutting": made}
        if made is not None:
            last |= {"cost": made.result.cost.objective, "bound": made.result.cost.bound}
    except OverbendError as error:
        last = {"phase": "trouble", "trouble": str(error)}
    with suppress(OSError):
        pipe.send(last)
