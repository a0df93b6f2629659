"""A bent part, stage by stage."""

import numpy as np
import pytest

from overbend.bend import release
from overbend.errors import OverbendError
from overbend.plan import open_plan
from support.pieces import EXAMPLES, LAMINATE, SOLID, plan_of


def test_what_comes_off_the_form_is_the_drawing():
    for part in plan_of(LAMINATE, SOLID).bent.values():
        assert part.misfit < 0.05
        off = release(part.layup, part.glued)
        assert part.released.length == pytest.approx(off.length)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.stem)
def test_every_example_comes_off_its_form_as_drawn(path):
    for part in open_plan(path).bent.values():
        assert part.misfit < 0.05
        assert 0.0 < part.springback < 0.3


def test_the_form_is_bent_past_the_target():
    part = plan_of(LAMINATE).bent["bow"]
    form, target = part.shapes["form"], part.shapes["target"]
    assert form.radius < target.radius
    assert form.turn > target.turn
    assert part.springback == pytest.approx(1 - target.turn / form.turn)


def test_the_band_lies_round_the_released_line_and_widens_towards_the_tip():
    band = plan_of(SOLID).bent["slat"].band
    width = band.high - band.low
    assert band.low[-1] < 0 < band.high[-1]
    assert width[0] < 1e-6 < width[100] < width[-1]


FORM = """
[made.form]
kind = "form"
part = "bow"
chord = {chord}
rise = {rise}
"""


def test_a_form_made_as_planned_gives_the_drawing():
    check = plan_of(LAMINATE).bent["bow"].form.parts[0].check
    part = plan_of(LAMINATE, FORM.format(chord=check.chord, rise=check.rise)).bent["bow"]
    assert part.misfit < 0.05


def test_a_form_made_too_open_is_solved_forward_and_the_difference_reported():
    plan = plan_of(LAMINATE).bent["bow"]
    check = plan.form.parts[0].check
    made = FORM.format(chord=check.chord * 1.01, rise=check.rise * 0.94)
    part = plan_of(LAMINATE, made).bent["bow"]
    assert part.glued.turn < part.designed.form.turn
    assert part.misfit > 3.0
    assert part.form.glued.turn == pytest.approx(plan.form.glued.turn)


def test_a_made_form_given_by_points_on_its_face():
    plan = plan_of(LAMINATE).bent["bow"]
    face = plan.form.parts[0].face
    points = face.point(np.linspace(0, face.glued.length, 9))
    rows = ", ".join(f"[{x:.4f}, {-y:.4f}]" for x, y in points)
    made = f'[made.form]\nkind = "form"\npart = "bow"\npoints = [{rows}]\n'
    part = plan_of(LAMINATE, made).bent["bow"]
    assert part.misfit < 0.5


def test_a_separate_bending_form_changes_the_gluing_form():
    text = LAMINATE.replace('"laminate"', '"steam-laminate"')
    other = """
[[curve.drum.segment]]
line = 40
[[curve.drum.segment]]
easement = { length = 90, to_radius = 310 }
[[curve.drum.segment]]
arc = { radius = 310, angle = 47 }
[[curve.drum.segment]]
line = 65
"""
    form = '[part.bow.form]\nsteam_on = "drum"\n'
    part = plan_of(text, form, other).bent["bow"]
    same = plan_of(text).bent["bow"]
    assert part.misfit < 0.05
    assert part.set_curve is not None
    assert part.glued.turn != pytest.approx(same.glued.turn, abs=1e-6)


def test_an_error_says_which_part():
    text = LAMINATE.replace("thickness = 4.5", "thickness = 640")
    with pytest.raises(OverbendError, match=r"part\.bow"):
        _ = plan_of(text).bent["bow"].form


def test_strips_follow_the_shop():
    part = plan_of(LAMINATE).bent["bow"]
    assert [s.count for s in part.strips] == [6, 3]
    assert part.strips[0].length >= part.strips[0].net_length + 2 * 28
    assert part.ids == ("bow/1", "bow/2", "bow/3")
