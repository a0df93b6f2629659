"""Other searches beside one's own: they help, they end, they do no harm when they fail."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest

from overbend.solver import Clock, Stop
from overbend.stock import beside as module
from overbend.stock import cut, verify
from overbend.stock.beside import beside, cores
from overbend.stock.build import score
from overbend.stock.colour import stacked
from overbend.stock.least import least_cost
from overbend.stock.patterns import Problem
from overbend.stock.sample import large_shop
from overbend.stock.sawplan import SawPlan, lay_out
from overbend.stock.setups import setups_of


def problem_of(seed=3, strips=400, kinds=7, stocks=4):
    return Problem(*map(tuple, large_shop(seed, strips, kinds, stocks)[:2]), large_shop(seed)[2])


def searched(problem, seconds, others=tuple, seed=0):
    rng = np.random.default_rng(seed)
    return least_cost(problem, rng, Clock(seconds), Stop(), lambda *_: None, others)


def waited(what, seconds=20.0):
    until = time.monotonic() + seconds
    while not (found := what()):
        assert time.monotonic() < until, "waited in vain"
        time.sleep(0.05)
    return found


@pytest.fixture
def started(monkeypatch):
    """Every process that is begun."""
    made, begin = [], subprocess.Popen

    def noted(*args, **more):
        made.append(begin(*args, **more))
        return made[-1]

    monkeypatch.setattr(module.subprocess, "Popen", noted)
    monkeypatch.setattr(module, "cores", lambda: 2)
    return made


def test_another_search_tells_of_plans_that_can_be_cut(started):
    problem = problem_of()
    with beside(problem, Clock(30.0), 0) as found:
        plans = waited(lambda: list(found()))
    demands, supply, shop = problem.demands, problem.supply, problem.shop
    boards = stacked(lay_out(problem, plans[-1]), demands)
    plan = SawPlan(
        boards, setups_of(boards, demands, supply, shop), sum(b.cost for b in plans[-1]),
        sum(b.wood for b in plans[-1]), sum(d.volume for d in demands),
    )  # fmt: skip
    assert verify(plan, demands, supply, shop) == ()


def test_it_ends_with_the_search(started):
    with beside(problem_of(), Clock(30.0), 0):
        assert len(started) == 1
        assert started[0].poll() is None
    assert started[0].poll() is not None


def test_it_ends_with_an_error(started):
    with pytest.raises(ZeroDivisionError), beside(problem_of(), Clock(30.0), 0):
        raise ZeroDivisionError
    assert started[0].poll() is not None


@pytest.mark.parametrize(
    ("strips", "seconds", "cores"), [(299, 30.0, 2), (400, 2.0, 2), (400, 30.0, 1)]
)
def test_none_begins_where_it_is_not_worth_while(started, monkeypatch, strips, seconds, cores):
    monkeypatch.setattr(module, "cores", lambda: cores)
    with beside(problem_of(strips=strips), Clock(seconds), 0) as found:
        assert list(found()) == []
    assert started == []


def test_not_more_than_a_few(started, monkeypatch):
    monkeypatch.setattr(module, "cores", lambda: 64)
    with beside(problem_of(), Clock(30.0), 0):
        assert len(started) == len(module.ANEW) == 3
    assert all(one.poll() is not None for one in started)


def test_without_an_interpreter_the_search_goes_alone(started, monkeypatch):
    monkeypatch.setattr(module.sys, "executable", "")
    with beside(problem_of(), Clock(30.0), 0) as found:
        assert list(found()) == []
    assert started == []


@pytest.mark.parametrize("code", ["print('hello', flush=True)", "raise SystemExit(3)"])
def test_a_broken_one_does_no_harm(started, monkeypatch, code):
    begin = module.subprocess.Popen
    monkeypatch.setattr(
        module.subprocess, "Popen", lambda words, **more: begin([*words[:-1], code], **more)
    )
    with beside(problem_of(), Clock(30.0), 0) as found:
        waited(lambda: started[0].poll() is not None)
        assert list(found()) == []


@pytest.mark.skipif(not hasattr(os, "fork"), reason="processes are asked after as on Unix")
def test_it_ends_when_the_search_is_killed():
    program = (
        "import sys, time; from overbend.solver import Clock; import overbend.stock.beside as b\n"
        "from overbend.stock.patterns import Problem\n"
        "from overbend.stock.sample import large_shop\n"
        "b.cores = lambda: 2; begin = b.subprocess.Popen\n"
        "def noted(*a, **k):\n    p = begin(*a, **k); print(p.pid, flush=True); return p\n"
        "b.subprocess.Popen = noted\n"
        "d, s, shop = large_shop(1, 400, 7, 4)\n"
        "with b.beside(Problem(tuple(d), tuple(s), shop), Clock(60.0), 0): time.sleep(60)\n"
    )
    parent = subprocess.Popen([sys.executable, "-c", program], stdout=subprocess.PIPE, text=True)
    child = int(parent.stdout.readline())
    parent.send_signal(signal.SIGKILL)
    parent.wait()
    parent.stdout.close()
    waited(lambda: not alive(child))


def alive(pid):
    """Whether a process runs; one that only waits to be asked after does not."""
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    try:
        return Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()[0] != "Z"
    except OSError:
        return True


def test_a_better_plan_of_another_is_taken():
    problem = problem_of(5)
    longer = searched(problem, 6.0, seed=1).plan
    told = iter([[longer]])
    short = searched(problem, 1.5, lambda: next(told, []))
    assert score(short.plan) <= score(longer)


def test_cores_are_counted():
    assert 1 <= cores() <= (os.cpu_count() or 1)


def test_a_large_shop_comes_near_to_its_bound():
    demands, supply, shop = large_shop(2, 900, 17, 9)
    result = cut(demands, supply, shop, Stop(8.0), 4)
    assert verify(result.plan, demands, supply, shop) == ()
    assert result.cost.gap < 0.04  # 0.02 as measured; the machine may be busy
