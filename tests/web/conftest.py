"""A server of its own for every test that asks for one, and a browser that looks at it."""

from __future__ import annotations

import itertools
import os
from contextlib import suppress
from pathlib import Path

import pytest

from support.browser import Corner, Server, Tab, stock

NAMES = ("slatted-bench", "low-stool", "hearth-rocker")
NUMBERS = itertools.count(1)
CHROMIUM = os.environ.get("OVERBEND_CHROMIUM", "/usr/bin/chromium")


@pytest.fixture(scope="session")
def running(tmp_path_factory):
    made = Server(tmp_path_factory.mktemp("served"))
    yield made
    made.stop()


@pytest.fixture
def server(running):
    """The server that all share, and a folder of pieces of one's own in it."""
    start = len(running.log)
    yield Corner(running, stock(running.folder / f"t{next(NUMBERS)}", *NAMES))
    assert "Traceback" not in running.log[start:], running.log[start:]


@pytest.fixture
def lone(tmp_path):
    """A server of one's own, to be killed."""
    made = Server(stock(tmp_path / "pieces", *NAMES))
    yield made
    made.stop()
    assert "Traceback" not in made.log, made.log


@pytest.fixture(scope="session")
def chromium():
    playwright = pytest.importorskip("playwright.sync_api")
    if not Path(CHROMIUM).exists():
        if os.environ.get("CI"):
            pytest.fail(f"no browser at {CHROMIUM}")
        pytest.skip(f"no browser at {CHROMIUM}")
    with playwright.sync_playwright() as running:
        browser = running.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield browser
        browser.close()


@pytest.fixture
def tab(chromium, server):
    made = []

    def fresh(width: int = 1400, height: int = 900, context=None, on=None, **more) -> Tab:
        own = context or chromium.new_context(viewport={"width": width, "height": height}, **more)
        made.append(Tab(own, on or server))
        return made[-1]

    yield fresh
    for one in made:
        remote = [u for u in one.asked if not u.startswith((one.server.root, "data:", "blob:"))]
        one.page.close()
        assert remote == []
    for one in made:
        with suppress(Exception):
            one.context.close()
