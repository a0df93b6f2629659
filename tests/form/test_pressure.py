"""What the form says about spacing and pressure is what it draws."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overbend.curve import arc, chain, easement, line
from overbend.form import FormSpec, Loads, plan_form
from overbend.form.arrange import USUAL_HOLES
from overbend.form.spacing import CLOSEST, pitch_for
from overbend.units import format_length

ROCKER = chain(
    easement(250.0, 0.0, 1 / 1200), arc(1200.0, 0.4), easement(280.0, 1 / 1200, 1 / 2600)
)
ARCH = chain(line(160.0), arc(150.0, 2.7), line(120.0))


def said(lines, part):
    return next((text for text in lines if part in text), "")


@settings(max_examples=15, deadline=None)
@given(
    data=st.data(),
    force=st.floats(900.0, 9000.0),
    hole=st.sampled_from([None, 0.0, 40.0]),
    parts=st.sampled_from([1, 2]),
)
def test_the_greatest_spacing_said_is_the_one_drawn(curves, data, force, hole, parts):
    spec = FormSpec(parts=parts, clamp_hole=hole)
    plan = plan_form(data.draw(curves), 15.0, 50.0, spec, loads=Loads(1.1, 1e6, force))
    s = np.array([clamp.s for clamp in plan.clamps])
    if len(s) < 2:
        return
    drawn = float(np.diff(s).max())
    text = said(plan.reasons, "Clamps stand")
    assert plan.apart == pytest.approx(drawn)
    assert f"{format_length(drawn)} apart" in text
    over = drawn > 1.005 * plan.pitch.widest
    assert ("is wanted" in text) == over
    assert ("at most" in text.split(":")[0]) == (not over)


@settings(max_examples=15, deadline=None)
@given(data=st.data(), force=st.floats(300.0, 9000.0))
def test_the_verdict_follows_the_clamp_with_the_most_wood(curves, data, force):
    loads = Loads(1.1, 1e6, force)
    plan = plan_form(data.draw(curves), 15.0, 50.0, loads=loads)
    share = force / (max(c.spacing for c in plan.clamps) * 1.1 * 50.0)
    expected = "holds" if share > 0.999 else "close" if share >= 0.75 else "fails"
    assert plan.pressed.word == expected
    assert plan.pressed.reached == pytest.approx(1.1 * (1.0 if share > 0.999 else share))
    assert plan.pressed.reason.startswith(expected.capitalize())
    assert bool(said(plan.warnings, "wanted")) == (expected != "holds")


def test_nothing_is_said_of_pressure_when_the_clamps_are_not_known():
    plan = plan_form(ROCKER, 22.4, 50.0)
    assert plan.pressed is None
    assert not said(plan.warnings, "wanted")


def test_smaller_holes_are_taken_before_clamps_stand_too_far_apart():
    loads = Loads(1.35, 1e7, 4200.0)
    plan = plan_form(ROCKER, 29.4, 40.0, loads=loads)
    assert plan.pitch.governs == "force"
    assert plan.parts[0].holes[0].diameter in np.arange(USUAL_HOLES[0], USUAL_HOLES[1], 5.0)
    gaps = [b.s - a.s for a, b in pairwise(plan.clamps)]
    assert max(gaps) <= plan.pitch.widest
    assert plan.pressed.word == "holds"
    wide = plan_form(ROCKER, 29.4, 40.0, FormSpec(clamp_hole=55.0), loads=loads)
    assert wide.pressed.word == "close"
    text = said(wide.reasons, "Clamps stand up to")
    assert "their holes keep 75 mm from middle to middle" in text


def test_holes_asked_for_that_cost_pressure_are_said_with_what_would_help():
    loads = Loads(1.35, 1e6, 2400.0)
    plan = plan_form(ARCH, 18.0, 41.0, FormSpec(clamp_hole=45.0), loads=loads)
    free = plan_form(ARCH, 18.0, 41.0, loads=loads)
    assert plan.pressed.word == "fails"
    assert free.pressed.reached > 1.05 * plan.pressed.reached
    text = said(plan.warnings, "Fails: a clamp of 2400 N")
    assert "leave clamp holes and spacing to the form" in text
    assert f"{len(free.clamps)} clamps without holes bring" in text


def test_weak_clamps_are_not_set_closer_than_hands_can():
    loads = Loads(1.35, 1e6, 1000.0)
    pitch = pitch_for(FormSpec(), loads, 18.0, 41.0, 18.0)
    assert (pitch.widest, pitch.governs) == (CLOSEST, "closest")
    assert pitch.covered == pytest.approx(1000.0 / (1.35 * 41.0))
    plan = plan_form(chain(arc(700.0, 0.9)), 18.0, 41.0, FormSpec(clamp_hole=0.0), loads=loads)
    text = said(plan.reasons, "Clamps stand")
    assert "not set closer than 30 mm" in text
    assert "covers only 18.1 mm" in text
    assert "use stronger clamps" in said(plan.warnings, "Fails")


@pytest.mark.parametrize(
    ("liner", "strap", "text"),
    [
        (0.0, 0.0, "18 mm apart everywhere: the stack alone."),
        (2.0, 0.0, "20 mm apart everywhere: stack and liner."),
        (0.0, 1.5, "19.5 mm apart everywhere: stack and strap."),
        (2.0, 1.5, "21.5 mm apart everywhere: stack, liner and strap."),
    ],
)
def test_only_what_lies_between_the_faces_is_named(liner, strap, text):
    plan = plan_form(ROCKER, 18.0, 50.0, FormSpec(parts=2, liner=liner, strap=strap))
    assert said(plan.reasons, text)


def test_openings_say_whether_a_caul_is_counted():
    one = plan_form(ROCKER, 18.0, 50.0, FormSpec(caul=12.0))
    widest = max(c.opening for c in one.clamps)
    assert said(one.reasons, f"open to {format_length(widest)}, a caul 12 mm thick")
    assert said(plan_form(ROCKER, 18.0, 50.0, FormSpec(parts=2)).reasons, "there are no cauls")


def test_more_clamps_than_the_shop_has_are_said():
    plan = plan_form(ROCKER, 22.4, 50.0, loads=Loads(1.0, 1e6, 3000.0, 6))
    assert said(plan.warnings, f"It takes {len(plan.clamps)} clamps and the shop has 6")
    enough = Loads(1.0, 1e6, 3000.0, len(plan.clamps))
    assert not said(plan_form(ROCKER, 22.4, 50.0, loads=enough).warnings, "the shop has")
    assert math.isfinite(plan.apart)
