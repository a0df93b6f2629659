"""What the strips are and how much of the bend they keep."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overbend.bend import Layup, Ply, release_fraction
from overbend.errors import LayupError
from overbend.form import chord_and_rise
from overbend.form.face import Face
from overbend.plan.layup import SetUse
from support.pieces import LAMINATE, SOLID, plan_of

TRIAL = """
[made.first]
kind = "trial"
part = "slat"
form_radius = 280
released_radius = {released}
after_days = 1
"""


def test_cold_work_keeps_nothing_and_needs_no_trial():
    part = plan_of(LAMINATE).bent["bow"]
    assert (part.set.median, part.set.proven, part.set.range90) == (0.0, True, (0.0, 0.0))


def test_steamed_wood_is_a_wide_guess_until_a_trial():
    part = plan_of(SOLID).bent["slat"]
    low, high = part.set.range90
    assert not part.set.proven
    assert low < 0.8 < 0.95 < high


def test_a_trial_gives_the_set_of_a_single_strip():
    part = plan_of(SOLID, TRIAL.format(released=305)).bent["slat"]
    middle_on, middle_off = 280 + 5.5, 305 + 5.5
    assert part.set.median == pytest.approx(middle_on / middle_off, rel=2e-4)
    assert part.set.proven
    before = plan_of(SOLID).bent["slat"]
    (low, high), (low0, high0) = part.set.range90, before.set.range90
    assert high - low < high0 - low0


def test_a_trial_of_a_stack_takes_the_glue_into_account():
    text = LAMINATE.replace('"laminate"', '"steam-laminate"')
    trial = TRIAL.replace('"slat"', '"bow"').format(released=286)
    part = plan_of(text, trial).bent["bow"]
    plies = tuple(Ply(s.thickness, s.modulus.value) for s in part.strips_used)
    w_cold = float(release_fraction(Layup(plies), 1 / (280 + 5.25)))
    w = 1 - (280 + 5.25) / (286 + 5.25)
    assert part.set.median == pytest.approx(1 - w / w_cold, rel=1e-3)


def test_chord_and_rise_of_a_trial_give_the_set_that_released_it():
    own = SOLID.replace("count = 2", "count = 2\nset = { low = 0.8, median = 0.871, high = 0.9 }")
    bent = plan_of(own).bent["slat"]
    sizes = [
        chord_and_rise(Face(line, bent.face_offset, 0.0, 1.0))[:2]
        for line in (bent.glued, bent.released)
    ]
    (chord, rise), (off_chord, off_rise) = sizes
    trial = f"""
[made.first]
kind = "trial"
part = "slat"
form_chord = {chord}
form_rise = {rise}
released_chord = {off_chord}
released_rise = {off_rise}
"""
    assert plan_of(SOLID, trial).bent["slat"].set.median == pytest.approx(0.871, abs=0.004)


def test_a_contradictory_trial_is_refused():
    part = plan_of(SOLID, TRIAL.format(released=250)).bent["slat"]
    with pytest.raises(LayupError, match=r"part\.slat.*280.*250"):
        _ = part.set


def test_a_broken_trial_teaches_no_set():
    text = TRIAL.replace("released_radius = {released}", "broken = true")
    assert not plan_of(SOLID, text).bent["slat"].set.proven


def test_your_own_set_is_used_but_needs_a_trial_all_the_same():
    own = SOLID.replace("count = 2", "count = 2\nset = { low = 0.8, median = 0.9, high = 0.96 }")
    part = plan_of(own).bent["slat"]
    low, high = part.set.range90
    assert part.set.median == 0.9
    assert not part.set.proven
    assert high - low == pytest.approx(0.96 - 0.8, abs=0.02)


@given(st.floats(0.02, 0.98), st.floats(0.0, 2.0))
def test_the_range_holds_the_median(median, sd):
    low, high = SetUse(median, sd, "", True).range90
    assert 0.0 <= low <= median + 1e-12
    assert median - 1e-12 <= high <= 1.0


def test_each_strip_knows_its_wood_and_measured_thickness():
    made = """
[made.strips]
kind = "strips"
part = "bow"
ply = 2
thickness = 4.31
count = 3
"""
    part = plan_of(LAMINATE, made).bent["bow"]
    assert [s.thickness for s in part.strips_used] == [3.0, 3.0, 4.31]
    assert [s.measured for s in part.strips_used] == [False, False, True]
    assert part.strips_used[2].species == "White ash"
    assert part.depth == pytest.approx(10.31)
