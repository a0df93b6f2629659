"""The search for boards beside the server: watched, stopped, replaced, broken."""

import os
import time
from dataclasses import replace

import pytest

from overbend.plan import Plan
from overbend.project import read
from overbend.project.shop_state import ShopState
from overbend.web import sawing
from overbend.web.sawing import Asked, Sawing, key_of
from support import slow_search
from support.pieces import ROOT

PATH = ROOT / "examples" / "low-stool.toml"
ASKED = Asked("one", PATH.read_text(), PATH, "in", ShopState())


def until(what, seconds=60.0):
    end = time.monotonic() + seconds
    while not what():
        assert time.monotonic() < end, "waited in vain"
        time.sleep(0.01)


@pytest.fixture
def search(monkeypatch):
    news = []
    made = Sawing(lambda: news.append(made.state))
    made.news = news

    def using(name):
        monkeypatch.setattr(sawing, "_search", getattr(slow_search, name))
        return made

    yield using
    made.close()


def alive(pid):
    try:
        os.kill(pid, 0)
    except OSError:
        return False
    return True


def test_each_better_plan_is_told_and_stopping_keeps_the_best(search):
    s = search("patient")
    s.want(ASKED)
    assert s.state.phase == "busy"
    until(lambda: len(s.news) > 4)
    s.stop()
    until(lambda: s.state.phase != "busy")
    costs = [state.cost for state in s.news]
    assert s.state.phase == "stopped"
    assert costs == sorted(costs, reverse=True)
    assert s.state.cutting == ("one", costs[-1])
    assert s.state.bound == 10.0


def test_the_same_wish_does_not_begin_again_and_another_replaces_it(search):
    s = search("patient")
    s.want(ASKED)
    until(lambda: s.state.cost is not None)
    first = s._process
    s.want(ASKED)
    assert s._process is first
    s.want(replace(ASKED, key="two"))
    until(lambda: not first.is_alive())
    assert s.state.key == "two"
    until(lambda: s.state.cost is not None)
    s.stop()
    until(lambda: s.state.phase == "stopped")
    assert s.state.cutting[0] == "two"


def test_a_drag_ends_a_search_but_not_a_plan_that_is_there(search):
    s = search("deaf")
    s.want(ASKED)
    until(lambda: s.state.cost == len(ASKED.text))
    process = s._process
    s.drop()
    until(lambda: not process.is_alive())
    assert s.state.phase == "none"
    s = search("patient")
    s.want(ASKED)
    until(lambda: s.state.cost is not None)
    s.stop()
    until(lambda: s.state.phase == "stopped")
    s.drop()
    assert s.state.cutting is not None


def test_looking_on_keeps_the_plan_until_there_is_another(search):
    s = search("patient")
    s.want(ASKED)
    until(lambda: s.state.cost is not None)
    s.stop()
    until(lambda: s.state.phase == "stopped")
    kept = s.state.cutting
    s.longer(replace(ASKED, seconds=30.0))
    assert (s.state.phase, s.state.cutting) == ("busy", kept)
    until(lambda: s.state.cost is not None)


def test_a_search_that_dies_is_said(search):
    s = search("dying")
    s.want(ASKED)
    until(lambda: s.state.phase == "trouble")
    assert s.state.cutting is None


def test_no_search_outlives_its_owner(search):
    s = search("deaf")
    s.want(ASKED)
    until(lambda: s.state.cost is not None)
    pid = s._process.pid
    s.close()
    until(lambda: not alive(pid))


def test_the_key_follows_what_is_cut_and_nothing_else():
    def key(text):
        return key_of(Plan(read(text, PATH)).to_cut)

    text = PATH.read_text()
    assert key(text) == key(text.replace('name = "Low stool"', 'name = "Milking stool"'))
    assert key(text) != key(text.replace("price = 8.75", "price = 8.25"))


def test_the_real_search_gives_the_plan_of_the_project():
    made = Sawing(lambda: None)
    made.want(replace(ASKED, seconds=3.0))
    until(lambda: made.state.phase != "busy", 120)
    assert made.state.phase == "done", made.state.trouble
    plan = made.state.cutting.result.plan
    assert plan is not None
    assert made.state.cost == plan.cost > 0
    made.close()
