"""Pages are there before what computes is imported; what computes is waited for."""

import asyncio
import subprocess
import sys
import threading

import httpx
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import PlainTextResponse
from starlette.routing import Route

from overbend.web.late import Late
from support.apart import apart

HEAVY = ("numpy", "scipy", "pydantic", "shapely", "overbend.plan", "overbend.project")


def test_the_pages_need_nothing_that_computes():
    code = f"import sys; import overbend.web.app; print([m for m in {HEAVY!r} if m in sys.modules])"
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert said.stdout.strip() == "[]"


class Rooms:
    def __init__(self, gate):
        assert gate.wait(60)
        self.closed, self.warmed = False, threading.Event()

    def routes(self):
        return [Route("/deep", self.deep)]

    async def deep(self, _request: Request):
        return PlainTextResponse("deep")

    def warm(self):
        self.warmed.set()

    async def close(self):
        self.closed = True


async def ask(app, path):
    async with httpx.AsyncClient(
        transport=httpx.ASGITransport(app), base_url="http://here", timeout=60
    ) as client:
        return await client.get(path)


async def quick(_request: Request):
    return PlainTextResponse("quick")


async def both_ways():
    gate, made = threading.Event(), []

    def make():
        made.append(Rooms(gate))
        return made[-1]

    late = Late(make)
    app = Starlette(routes=[Route("/quick", quick), late])
    late.begin()
    asking = asyncio.create_task(ask(app, "/deep"))
    assert (await ask(app, "/quick")).text == "quick"
    assert not asking.done()
    gate.set()
    assert (await asking).text == "deep"
    assert (await ask(app, "/nowhere")).status_code == 404
    assert await asyncio.to_thread(made[0].warmed.wait, 60)
    await late.close()
    return made


def test_a_page_does_not_wait_and_the_rest_does():
    made = apart(both_ways())
    assert [rooms.closed for rooms in made] == [True]


async def stopped():
    gate, sent = threading.Event(), []
    late = Late(lambda: Rooms(gate))

    async def send(message):
        sent.append(message)

    scope = {"type": "http", "method": "GET", "path": "/deep", "headers": []}
    asking = asyncio.create_task(late.handle(scope, None, send))
    await asyncio.sleep(0)
    asking.cancel()
    await asking
    gate.set()
    await late.close()
    return sent[0]["status"]


def test_stopped_while_it_begins_who_waits_is_answered():
    assert apart(stopped()) == 503
