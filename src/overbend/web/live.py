"""The websocket of a tab: what it may say, checked letter by letter, and who answers."""

from __future__ import annotations

import asyncio
import json
import logging
import math
from collections.abc import Awaitable, Callable
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import Any

from starlette.websockets import WebSocket, WebSocketDisconnect, WebSocketState

from overbend.errors import OverbendError, ProjectError
from overbend.web.answers import View, Views
from overbend.web.reshape import reshape
from overbend.web.session import Client, Session
from overbend.web.troubles import trouble
from overbend.web.words import ENGLISH, words

__all__ = ["Hub", "talk"]

Data = dict[str, Any]
_LOG = logging.getLogger("overbend.web")
_PATIENCE = 5.0  # s that a tab may take to receive a message
_LONGEST = 2_000_000  # characters of a text


class Hub:
    """Open projects by the path of their file."""

    def __init__(self) -> None:
        self.open: dict[Path, Session] = {}

    def session(self, path: Path) -> Session:
        """Session of a project; opened when it is not."""
        key = path.resolve()
        if key not in self.open:
            self.open[key] = Session(key)
        return self.open[key]

    async def close(self, path: Path) -> None:
        """Close one project, before its file is moved or after its last tab is gone."""
        session = self.open.pop(path.resolve(), None)
        if session is None:
            return
        await session.tell({"type": "gone"})
        await session.close()

    async def close_all(self) -> None:
        """Write what is unsaved everywhere."""
        for path in list(self.open):
            await self.close(path)


async def talk(socket: WebSocket, hub: Hub, path: Path) -> None:
    """Serve one tab until it goes."""
    await socket.accept()
    client = Client(_sender(socket))
    try:
        session = hub.session(path)
    except (OverbendError, OSError) as error:
        await client.send({"type": "notice", "kind": "unsaved", "text": str(error)})
        await socket.close()
        return
    await client.send({"type": "hello", "words": dict(ENGLISH), "file": path.name})
    await session.join(client)
    try:
        while True:
            await _heard(session, client, await socket.receive_text())
    except (WebSocketDisconnect, RuntimeError):
        session.leave(client)


def _sender(socket: WebSocket) -> Callable[[Data], Awaitable[None]]:
    """Send as JSON; a tab that does not take it in time is let go."""

    async def send(message: Data) -> None:
        if socket.application_state is not WebSocketState.CONNECTED:
            return
        text = json.dumps(message, separators=(",", ":"), allow_nan=False)
        with suppress(WebSocketDisconnect, RuntimeError, TimeoutError, OSError):
            async with asyncio.timeout(_PATIENCE):
                await socket.send_text(text)

    return send


async def _heard(session: Session, client: Client, text: str) -> None:
    """Do what a message asks; what cannot be done is said to the tab that asked."""
    key = ""
    try:
        message = _message(text)
        key = str(message.get("key", ""))[:200]
        client.seq = _whole(message, "seq")
        await _do(session, client, message)
    except OverbendError as error:
        await client.send({"type": "refused", "key": key, **trouble(error, session.reader(client))})
    except (WebSocketDisconnect, asyncio.CancelledError):
        raise
    except Exception:
        _LOG.exception("answering a tab")
        await client.send({"type": "refused", "key": key, "problem": words("page.failed")})


def _message(text: str) -> Data:
    try:
        message = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise ProjectError("the page sent something that does not read") from error
    if not isinstance(message, dict):
        raise ProjectError("the page sent something that does not read")
    return message


async def _do(session: Session, client: Client, message: Data) -> None:
    match message.get("type"):
        case "view":
            await session.look(client, _view(message, client.view))
        case "open":
            client.view = replace(client.view, open=_names(message, "open", 60))
        case "type":
            await session.type(client, _text(message, "key", 300), _text(message, "text", 2000))
        case "scrub":
            session.scrub(client, _text(message, "key", 300), _text(message, "text", 200))
        case "pull":
            place = (_number(message, "x"), _number(message, "y"))
            step = _step(message, client, session)
            session.pull(client, _text(message, "handle", 60), *place, step)
        case "drop":
            await session.drop(client)
        case "cancel":
            session.cancel(client)
        case "nudge":
            way = (_way(message, "dx"), _way(message, "dy"))
            step = _step(message, client, session)
            await session.nudge(client, _text(message, "handle", 60), way, step)
        case _:
            await _do_more(session, client, message)


async def _do_more(session: Session, client: Client, message: Data) -> None:
    """Changes of lists, tables and the whole text; undo."""
    match message.get("type"):
        case "element":
            act = _text(message, "act", 10)
            if act not in ("insert", "remove"):
                raise ProjectError(f"the page asked to {act!r}")
            index = _whole(message, "index")
            await session.element(client, act, _text(message, "key", 300), index)
        case "put":
            value = message.get("value")
            await session.put(client, [(_text(message, "key", 300), value)], str(message["key"]))
        case "text":
            whole = _text(message, "text", _LONGEST)
            await session.rewrite(client, _whole(message, "base"), whole)
        case "curve":
            await reshape(session, client, message)
        case "saw":
            session.saw(client, _text(message, "act", 10))
        case "undo":
            await session.undo(client, -1)
        case "redo":
            await session.undo(client, 1)
        case other:
            raise ProjectError(f"the page asked for {str(other)[:40]!r}")


# -- reading messages ---------------------------------------------------------------------


def _view(message: Data, old: View) -> View:
    """What a tab looks at, kept within reason."""
    mode, units = message.get("mode", old.mode), message.get("units", old.system)
    if mode not in Views or units not in (None, "mm", "in"):
        raise ProjectError("the page asked for a view there is none of")
    return replace(
        old,
        part=_text(message, "part", 60) if "part" in message else old.part,
        mode=mode,
        width=min(max(_number(message, "width"), 40.0), 2000.0),
        height=min(max(_number(message, "height"), 30.0), 2000.0),
        strip=min(max(_number(message, "strip"), 20.0), 400.0),
        system=units,
        open=_names(message, "open", 60) if "open" in message else old.open,
    )


def _step(message: Data, client: Client, session: Session) -> float:
    """Snap of a drag [mm]: by its grain, coarse, usual or fine, in the reader's unit."""
    system = client.view.system or session.readable().project.units
    sizes = {
        "mm": {"coarse": 5.0, "usual": 1.0, "fine": 0.1, "free": 0.01},
        "in": {"coarse": 6.35, "usual": 25.4 / 16, "fine": 25.4 / 64, "free": 0.01},
    }
    return sizes[system].get(str(message.get("grain")), sizes[system]["usual"])


def _text(message: Data, name: str, longest: int) -> str:
    value = message.get(name)
    if not isinstance(value, str) or len(value) > longest or "\0" in value:
        raise ProjectError(f"the page sent no usable {name}", allowed=f"{longest} characters")
    return value


def _names(message: Data, name: str, most: int) -> frozenset[str]:
    given = message.get(name)
    if not isinstance(given, list) or len(given) > most or not all(type(n) is str for n in given):
        raise ProjectError(f"the page sent no usable {name}", allowed=f"{most} names")
    return frozenset(n[:60] for n in given)


def _number(message: Data, name: str) -> float:
    value = message.get(name)
    if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) < 1e7:
        raise ProjectError(f"the page sent no usable {name}")
    if not math.isfinite(value):
        raise ProjectError(f"the page sent no usable {name}")
    return float(value)


def _whole(message: Data, name: str) -> int:
    value = _number(message, name)
    if not value.is_integer():
        raise ProjectError(f"the page sent no usable {name}")
    return int(value)


def _way(message: Data, name: str) -> int:
    return max(-1, min(1, _whole(message, name)))
