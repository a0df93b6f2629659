"""One gate for every request and websocket: whom the page answers, and with what headers.

The server listens on this machine only, but other pages in the same browser and other programs
can reach it too. Four things keep them out: the name in `Host` must be one of ours (a foreign
name that resolves here is refused), `Origin` must be our own, `Sec-Fetch-Site` must not say
that another site asks, and a cookie shows that the link with the start token was opened. The
cookie is same-site strict and closed to scripts.

With `--lan` it also listens to other devices. Whoever comes by the machine's own address in the
network, not by its loopback name, is far: the start link and its cookie are nothing there. A far
device gives a code once, gets a cookie of its own, and with that reaches the day's pages only.
"""

from __future__ import annotations

import hmac
from contextlib import suppress
from urllib.parse import parse_qs

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import ClientDisconnect
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from overbend.web.devices import Devices
from overbend.web.keys import Keys
from overbend.web.words import words

__all__ = ["LARGEST_BODY", "POLICY", "Guard"]

LARGEST_BODY = 5_000_000
"""Largest request body that is read [bytes]."""

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
    "connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
"""Content-security policy: nothing inline, nothing from elsewhere."""

_HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "cache-control": "no-store",
}
_SECURE_ONLY = "cross-origin-opener-policy"  # browsers refuse it, aloud, on a plain far address
_OPEN = "/start"  # the one place that is reached without the cookie
_DOOR = "/let-in"  # where a far device gives its code
_AT_THE_DOOR = frozenset(
    f"/static/{name}" for name in ("tokens.css", "page.css", "day.css", "theme.js", "icon.svg")
)
_DAY = ("/day/", "/day-", "/static/")  # what a device that was let in may reach
_FAR_BODY = 300_000  # bytes that a far device may send at once


class Guard:
    """Pass on what comes from the page itself, refuse everything else.

    Parameters
    ----------
    app : what it stands in front of.
    keys : what opens the page.
    devices : who else is let in; None: this machine only.
    """

    def __init__(self, app: ASGIApp, keys: Keys, devices: Devices | None = None) -> None:
        self.app, self.keys, self.devices = app, keys, devices

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request or websocket."""
        if scope["type"] not in ("http", "websocket"):
            await self.app(scope, receive, send)
            return
        why = self._refusal(scope)
        if why is not None:
            await self._refuse(scope, receive, send, *why)
        elif self.devices is not None and self._far(scope):
            await self._from_afar(self.devices, scope, receive, send)
        elif scope["type"] == "http" and scope["path"] == _OPEN:
            await _dressed(self._start(scope), scope, receive, send)
        elif not self.keys.opens(Headers(scope=scope).getlist("cookie")):
            await self._refuse(scope, receive, send, 403, words("guard.locked"))
        else:
            await _dressed(self.app, scope, _capped(receive), send)

    def _far(self, scope: Scope) -> bool:
        """Whether a request comes by this machine's address in the network."""
        return Headers(scope=scope).get("host", "") not in self.keys.hosts

    async def _from_afar(
        self, devices: Devices, scope: Scope, receive: Receive, send: Send
    ) -> None:
        """Answer a far device: the door, and the day's pages when it is known."""
        headers = Headers(scope=scope)
        device = devices.knows(headers.getlist("cookie"))
        scope["device"] = device.name if device is not None else ""
        if scope["type"] == "websocket" or not _far_may(scope["path"], device is not None):
            if device is None and scope["type"] == "http" and scope["method"] == "GET":
                await _dressed(RedirectResponse(_DOOR, 303), scope, receive, send)
                return
            await self._refuse(scope, receive, send, 403, words("guard.far"))
            return
        if scope["method"] not in ("GET", "HEAD") and headers.get("origin") is None:
            await self._refuse(scope, receive, send, 403, words("guard.origin"))
        elif _too_long(headers.get("content-length", "0"), _FAR_BODY):
            await self._refuse(scope, receive, send, 413, words("guard.far.large"))
        else:
            await _dressed(self.app, scope, _capped(receive, _FAR_BODY), send)

    def _named(self, host: str, scope: Scope) -> bool:
        """Whether a name is one of ours, for whoever asks by it."""
        client = scope.get("client") or ("", 0)
        if host in self.keys.hosts:
            return _loopback(client[0])
        server = scope.get("server") or ("", 0)
        return self.devices is not None and host == f"{server[0]}:{self.keys.port}"

    def _refusal(self, scope: Scope) -> tuple[int, str] | None:
        """Why a request is refused before its cookie is looked at, with the status."""
        headers = Headers(scope=scope)
        host, origin = headers.get("host", ""), headers.get("origin")
        socket = scope["type"] == "websocket"
        if not self._named(host, scope):
            return 421, words("guard.host")
        if origin is None and socket:
            return 403, words("guard.origin")
        if origin is not None and origin != f"http://{host}":
            return 403, words("guard.origin")
        if headers.get("sec-fetch-site", "same-origin") not in _sites(scope, socket):
            return 403, words("guard.site")
        if _too_long(headers.get("content-length", "0")):
            return 413, words("guard.large")
        return None

    def _start(self, scope: Scope) -> Response:
        """Exchange the token of the start link for the cookie."""
        query = parse_qs(scope["query_string"].decode("latin-1"))
        given = query.get("token", [""])[0]
        if not hmac.compare_digest(given.encode(), self.keys.token.encode()):
            return PlainTextResponse(words("guard.locked"), 403)
        answer = RedirectResponse(_landing(query.get("open", [""])[0]), 303)
        answer.set_cookie(
            self.keys.name, self.keys.cookie, httponly=True, samesite="strict", path="/"
        )
        return answer

    async def _refuse(
        self, scope: Scope, receive: Receive, send: Send, status: int, why: str
    ) -> None:
        if scope["type"] == "websocket":
            await receive()
            await send({"type": "websocket.close", "code": 1008, "reason": why[:100]})
        else:
            await _dressed(PlainTextResponse(why, status), scope, receive, send)


def _sites(scope: Scope, socket: bool) -> tuple[str, ...]:
    """Who may ask: for reading also the address line, for anything else the page alone."""
    reading = not socket and scope["method"] in ("GET", "HEAD")
    return ("same-origin", "none") if reading else ("same-origin",)


def _loopback(address: str) -> bool:
    return address.startswith("127.") or address in ("::1", "::ffff:127.0.0.1")


def _far_may(path: str, known: bool) -> bool:
    """Whether a far device may reach a place: the day's pages, once it is known.

    Examples
    --------
    >>> _far_may("/day/stool", True), _far_may("/day/stool", False), _far_may("/p/stool", True)
    (True, False, False)
    """
    if path == _DOOR or path in _AT_THE_DOOR:
        return True
    return known and (path in ("/day", "/favicon.ico") or path.startswith(_DAY))


def _too_long(length: str, most: int = LARGEST_BODY) -> bool:
    short = length.isascii() and length.isdigit() and len(length) < 12
    return not (short and int(length) <= most)


def _landing(wanted: str) -> str:
    """Where the start link leads: a piece's page of ours, else the list of pieces."""
    safe = wanted.startswith("/p/") and not set(wanted) & set("\\\r\n?#") and ".." not in wanted
    return wanted if safe else "/"


def _capped(receive: Receive, most: int = LARGEST_BODY) -> Receive:
    """Count a body that comes in pieces; one that grows too large ends the request."""
    seen = 0

    async def counted() -> Message:
        nonlocal seen
        message = await receive()
        seen += len(message.get("body", b""))
        if seen > most and message["type"] == "http.request":
            return {"type": "http.disconnect"}
        return message

    return counted


async def _dressed(app: ASGIApp, scope: Scope, receive: Receive, send: Send) -> None:
    """Send an answer with the headers every answer carries."""

    async def with_headers(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in _HEADERS.items():
                if not (name == _SECURE_ONLY and "device" in scope):
                    headers.setdefault(name, value)
        await send(message)

    with suppress(ClientDisconnect):  # who asked is gone before all was sent: nobody to answer
        await app(scope, receive, with_headers)
