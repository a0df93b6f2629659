"""A drag at the server: what an answer holds, and that nothing slow is in its way."""

import asyncio
import shutil
import threading
import time
from pathlib import Path

import numpy as np
import pytest

from overbend.errors import ProjectError
from overbend.project import read
from overbend.web import session as session_module
from overbend.web.answers import View, answers
from overbend.web.draft import Draft
from overbend.web.replan import Replanner
from overbend.web.session import Client, Session
from support.apart import apart
from support.browser import PIECES

BENCH = PIECES / "slatted-bench.toml"
VIEW = View(width=200.0, height=150.0, open=frozenset({"boards"}))


class Tab:
    """A tab without a browser."""

    def __init__(self, session):
        self.session, self.heard = session, []
        self.client = Client(self.hear, VIEW)

    async def hear(self, message):
        self.heard.append(message)

    def answers(self):
        return [m for m in self.heard if m["type"] == "answers"]

    async def until(self, what, seconds=60.0):
        end = time.monotonic() + seconds
        while not (found := [m for m in self.answers() if what(m)]):
            assert time.monotonic() < end
            await asyncio.sleep(0.005)
        return found[-1]

    async def open(self):
        await self.session.join(self.client)
        await self.until(lambda m: m["stage"] == "full")

    async def pull(self, seq, dx):
        handle, pane = self.client.handles["point.5"], self.client.pane
        x, y = pane.on_sheet(np.array([528.0 + dx, 370.0]))
        assert handle.moves
        self.client.seq = seq
        self.session.pull(self.client, "point.5", float(x), float(y), 1.0)
        return await self.until(lambda m: m["seq"] == seq and "took" in m)


def run(tmp_path, act):
    async def whole():
        session = Session(Path(shutil.copy(BENCH, tmp_path)))
        try:
            return await act(session)
        finally:
            await session.close()

    return apart(whole())


def test_a_drag_tells_only_what_changed_and_the_drop_tells_all(tmp_path):
    async def act(session):
        tab = Tab(session)
        await tab.open()
        first = await tab.pull(1, 2.0)
        assert first["draft"]
        assert first["sections"]["curves"]["folded"]
        assert "more" not in first["sections"]["curves"]
        assert first["sections"]["boards"]["more"]  # it is open
        again = await tab.pull(2, 2.0)
        assert again["sections"] == {}
        assert again["scene"]["svg"] == first["scene"]["svg"]
        tab.client.seq = 3
        await session.drop(tab.client)
        last = await tab.until(lambda m: m["seq"] == 3 and "took" in m)
        assert not last["draft"]
        assert all(last["sections"][id]["more"] for id in ("curves", "bends", "boards"))
        assert "[530, 370]" in session.text

    run(tmp_path, act)


def test_a_drag_does_not_wait_for_what_is_computed_in_full(tmp_path, monkeypatch):
    begun, over, real = threading.Event(), threading.Event(), session_module.slow_answers

    def sluggish(*given):
        begun.set()
        over.wait(120)
        yield from real(*given)

    async def act(session):
        tab = Tab(session)
        await tab.open()
        monkeypatch.setattr(session_module, "slow_answers", sluggish)
        await session.look(tab.client, VIEW)
        assert await asyncio.to_thread(begun.wait, 60)
        try:
            answer = await tab.pull(7, 1.0)
        finally:
            over.set()
        assert answer["draft"]
        session.cancel(tab.client)

    run(tmp_path, act)


async def holds(session, text):
    """Wait until the file holds a text, which it looks after several times a second."""
    assert session_module.KEEP < 0.5
    end = time.monotonic() + 60.0
    while text not in session.path.read_text():
        assert time.monotonic() < end
        await asyncio.sleep(0.02)


def test_the_file_holds_what_is_dragged_while_it_is_dragged(tmp_path):
    async def act(session):
        tab = Tab(session)
        await tab.open()
        await tab.pull(1, 4.0)
        await holds(session, "[532, 370]")
        assert "[528, 370]" in session.text
        session.cancel(tab.client)
        await holds(session, BENCH.read_text())
        assert session.path.read_text() == BENCH.read_text()

    run(tmp_path, act)


@pytest.mark.parametrize("name", ["slatted-bench", "hearth-rocker"])
def test_a_trial_is_answered_as_its_text_would_be(name):
    file = PIECES / f"{name}.toml"
    base = read(file.read_text(), file)
    edits = {
        "slatted-bench": [("curve.rib.through.2.1", 39.5), ("dimensions.seat_depth", 433)],
        "hearth-rocker": [("dimensions.rocker_radius", 1011)],
    }[name]
    view = View(width=190.0, height=140.0)
    trial = Draft(base).put(edits)
    quick = answers(Replanner(), trial, view, True)
    whole = answers(Replanner(), read(trial.text, file), view, True)
    assert quick.data == whole.data


def test_a_value_that_cannot_be_is_said_and_the_next_is_answered():
    base = read(BENCH.read_text(), BENCH)
    draft = Draft(base)
    with pytest.raises(ProjectError, match="out of range"):
        draft.put([("part.rib.width", -4)])
    assert draft.put([("part.rib.width", 41)]).project.bent["rib"].width == 41
