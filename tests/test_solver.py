"""What a search returns: the gap, and the time it has left."""

import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overbend.solver import Clock, Solution, Stop

POSITIVE = st.floats(1e-3, 1e9)


@given(POSITIVE, st.floats(0.0, 1.0))
def test_the_gap_is_the_share_that_could_be_saved(objective, share):
    bound = objective * (1 - share)
    gap = Solution(objective, bound, 1.0, "feasible").gap
    assert gap == pytest.approx(share, abs=1e-9)
    assert 0.0 <= gap <= 1.0


@given(POSITIVE, st.floats(0.0, 1e9))
def test_no_gap_once_the_bound_is_reached(objective, over):
    assert Solution(objective, objective + over, 0.1, "optimal").gap == 0.0


def test_nothing_found_is_an_endless_gap():
    assert Solution(None, 3.0, 0.1, "unknown").gap == float("inf")
    assert Solution(None, 0.0, 0.1, "infeasible").gap == float("inf")


def test_nothing_to_pay_has_no_gap():
    assert Solution(0.0, 0.0, 0.1, "optimal").gap == 0.0


def test_a_value_below_zero_has_a_gap_above_zero():
    assert Solution(-80.0, -100.0, 0.1, "feasible").gap == pytest.approx(0.25)


def test_stop_is_twenty_seconds_and_the_proof():
    assert (Stop().seconds, Stop().gap) == (20.0, 0.0)


def test_a_clock_runs_down():
    start = time.monotonic()
    clock = Clock(60.0, start=start)
    assert not clock.over
    before = clock.left
    time.sleep(0.06)
    assert clock.used >= 0.06
    assert clock.left < before <= 60.0
    late = Clock(0.05, start=start)
    assert late.left == 0.0
    assert late.over


@given(st.floats(-1e6, 0.0))
def test_no_time_is_over_at_once(seconds):
    clock = Clock(seconds)
    assert clock.over
    assert clock.left == 0.0


def test_a_cancelled_clock_is_over_with_time_left():
    said = []
    clock = Clock(1000.0, cancel=lambda: bool(said))
    assert not clock.over
    assert not clock.cancelled
    said.append("stop")
    assert clock.cancelled
    assert clock.over
    assert clock.left > 900.0


@given(st.floats(10.0, 1e5), st.floats(0.0, 1.0))
def test_a_part_takes_its_share_of_what_is_left(seconds, share):
    clock = Clock(seconds, start=time.monotonic() - seconds / 4)
    part = clock.part(share)
    assert part.seconds == pytest.approx(seconds * 0.75 * share, abs=1.0)
    assert part.seconds <= clock.seconds


def test_a_part_is_cancelled_with_the_whole():
    said = []
    part = Clock(50.0, cancel=lambda: bool(said)).part(0.5)
    assert not part.over
    said.append("stop")
    assert part.over


def test_a_part_of_a_clock_run_out_has_no_time():
    assert Clock(5.0, start=time.monotonic() - 9.0).part(0.5).over
