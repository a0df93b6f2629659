"""Letting a phone or tablet in: the page with the code, the page that takes it, the list."""

from __future__ import annotations

import io
import socket
from collections.abc import Callable

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from overbend.web.devices import DEVICE_DAYS, Devices
from overbend.web.shop.pages import form_texts
from overbend.web.shop.place import Page, display_of
from overbend.web.words import words

__all__ = ["PhonePages", "addresses", "qr_svg", "qr_terminal"]


class PhonePages:
    """Handlers of the phone pages.

    Parameters
    ----------
    page : fills a template.
    devices : who is let in; None when the server was started for this machine only.
    day : turns seconds since 1970 into a day and time.
    """

    def __init__(self, page: Page, devices: Devices | None, day: Callable[[float], str]) -> None:
        self.page, self.devices, self.day = page, devices, day

    def routes(self) -> list[Route]:
        """Addresses of the phone pages."""
        return [
            Route("/phones", self.phones),
            Route("/phones/code", self.code, methods=["POST"]),
            Route("/phones/strike", self.strike, methods=["POST"]),
            Route("/let-in", self.door),
            Route("/let-in", self.let_in, methods=["POST"]),
        ]

    async def phones(self, request: Request) -> Response:
        """The code with its picture, and who is let in."""
        devices = self.devices
        if devices is None:
            return self.page("shop_phones.html", tab="phones", lan=False, units=_units(request))
        found = devices.code
        places = [f"http://{a}:{devices.port}/let-in" for a in addresses()]
        link = f"{places[0]}?code={found[0]}" if found and places else ""
        return self.page(
            "shop_phones.html", tab="phones", lan=True, units=_units(request), places=places,
            code=found[0] if found else "", left=int(found[1]) if found else 0,
            picture=qr_svg(link) if link else "", days=int(DEVICE_DAYS),
            held=[(d, self.day(d.since)) for d in devices.held],
        )  # fmt: skip

    async def code(self, _request: Request) -> Response:
        """Make a fresh code."""
        if self.devices is not None:
            self.devices.fresh_code()
        return RedirectResponse("/phones", 303)

    async def strike(self, request: Request) -> Response:
        """Take a device off the list."""
        typed = await form_texts(request)
        if self.devices is not None:
            self.devices.strike(typed.get("id", ""))
        return RedirectResponse("/phones", 303)

    async def door(self, request: Request) -> Response:
        """The page on which a device gives its code; looking at it uses nothing up."""
        code = request.query_params.get("code", "")[:40]
        return self.page("day_door.html", code=code, device=_kind_of(request), problem="")

    async def let_in(self, request: Request) -> Response:
        """Take a code and give the device its cookie."""
        typed = await form_texts(request)
        name = typed.get("name", "")
        if self.devices is None:
            off = words("phones.off")
            return self.page("day_door.html", 404, code="", device=name, problem=off)
        answer, value = self.devices.let_in(typed.get("code", ""), name)
        if answer != "in":
            status = 429 if answer == "many" else 403
            problem = words(f"phones.{answer}")
            return self.page("day_door.html", status, code="", device=name, problem=problem)
        reply = RedirectResponse("/day", 303)
        reply.set_cookie(
            self.devices.cookie, value, max_age=int(DEVICE_DAYS * 86400), httponly=True,
            samesite="strict", path="/",
        )  # fmt: skip
        return reply


def _units(request: Request) -> str:
    return display_of(request).system


def _kind_of(request: Request) -> str:
    """What a device calls itself, roughly."""
    agent = request.headers.get("user-agent", "")
    for mark, name in (("iPhone", "iPhone"), ("iPad", "iPad"), ("Android", "Android")):
        if mark in agent:
            return name
    return ""


def addresses() -> list[str]:
    """Addresses of this machine in its networks, the one that is likely used first.

    No packet is sent: a datagram socket only looks up which way it would send.
    """
    found: list[str] = []
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # an address kept for documentation
            found.append(probe.getsockname()[0])
        except OSError:
            pass
    try:
        more = socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)
    except OSError:
        more = []
    found += [str(entry[4][0]) for entry in more]
    return [a for a in dict.fromkeys(found) if not a.startswith(("127.", "0."))]


def qr_svg(text: str) -> str:
    """A text as a picture to be read by a camera, in plain attributes.

    Examples
    --------
    >>> picture = qr_svg("http://192.168.1.20:8737/let-in?code=ABCDE-FGHJK")
    >>> picture.startswith("<svg"), "style=" in picture
    (True, False)
    """
    import segno

    out = io.BytesIO()
    segno.make(text, micro=False).save(
        out, kind="svg", xmldecl=False, svgns=True, omitsize=True, border=4, dark="#000",
        light="#fff", svgclass="qr", lineclass=None,
    )  # fmt: skip
    return out.getvalue().decode()


def qr_terminal(text: str) -> str:
    """The same for a terminal.

    Examples
    --------
    >>> len(qr_terminal("http://192.168.1.20:8737/let-in").splitlines()) > 10
    True
    """
    import segno

    out = io.StringIO()
    segno.make(text, micro=False).terminal(out=out, border=2, compact=True)
    return out.getvalue()
