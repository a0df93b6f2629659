import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overbend.curve import arc, chain, easement, line
from overbend.errors import CurveError, InputError
from overbend.form import MDF, FormSpec, Loads, plan_form
from overbend.units import Display

ROCKER = chain(
    easement(250.0, 0.0, 1 / 1200), arc(1200.0, 0.4), easement(280.0, 1 / 1200, 1 / 2600)
)
ARCH = chain(line(140.0), arc(150.0, math.pi), line(110.0), stations={"rail": 90.0})
STRIPS = Loads(pressure=1.0, strip_stiffness=1.1e7)


def said(lines, part):
    return any(part in text for text in lines)


def test_a_shallow_rocker_has_a_straight_back_and_says_why():
    plan = plan_form(ROCKER, 22.4, 50.0, loads=STRIPS)
    assert plan.parts[0].body.back == "straight"
    assert said(plan.reasons, "a straight back is one cut")
    assert said(plan.reasons, "holes, so that each pushes square")
    assert {h.diameter for h in plan.parts[0].holes} == {50.0}
    assert plan.warnings == ()


def test_an_arch_has_a_parallel_back_and_says_why():
    plan = plan_form(ARCH, 18.0, 45.0, FormSpec(strap=1.0, liner=1.5), loads=STRIPS)
    assert plan.parts[0].body.back == "parallel"
    assert said(plan.reasons, "it turns 180°, and so the two jaws of a clamp stay parallel")
    assert said(plan.reasons, "The face lies 10.5 mm from mid-depth on the concave side")
    assert plan.parts[0].holes == ()
    assert plan.warnings == ()


def test_a_strap_under_the_wood_is_counted_on_the_convex_side():
    plan = plan_form(ARCH, 18.0, 45.0, FormSpec("convex", strap=1.0, liner=1.5))
    assert said(plan.reasons, "11.5 mm from mid-depth on the convex side: half the stack 9 mm, "
                              "strap 1 mm, liner 1.5 mm.")  # fmt: skip


def test_two_parts():
    plan = plan_form(ROCKER, 20.0, 50.0, FormSpec(parts=2, strap=1.0, liner=2.0))
    assert [p.face.d for p in plan.parts] == [12.0, -11.0]
    assert said(plan.reasons, "The two faces are 23 mm apart everywhere")
    assert all(len(p.pins) >= 2 and p.layers.count == 3 for p in plan.parts)
    assert plan.warnings == ()


def test_sentences_follow_the_display():
    plan = plan_form(ROCKER, 25.4, 50.8, FormSpec(sheet_thickness=19.05), display=Display("in"))
    assert said(plan.reasons, "The face lies 1/2 in from mid-depth")
    assert said(plan.reasons, "3 layers of 3/4 in make 2-1/4 in, 1/4 in more than the wood.")
    assert not any(" mm" in text for text in plan.reasons)


@pytest.mark.parametrize(
    ("spec", "loads", "part"),
    [
        (FormSpec(depth=62.0, clamp_hole=0.0, material=MDF), Loads(1.0, 9e7), "gives away"),
        (FormSpec(clamp_spacing=190.0), STRIPS, "leave the glue between them unpressed"),
        (FormSpec(), Loads(1.5, 1e7, 900.0), "of the 1.5 MPa wanted"),
        (FormSpec(clamp_hole=0.0), STRIPS, "from square on the back and may slip"),
        (FormSpec(stock_sheet=(1000.0, 1000.0)), STRIPS, "does not fit a sheet of 1000 mm x 1000"),
    ],
)
def test_shortcomings_of_a_rocker_form_are_said(spec, loads, part):
    plan = plan_form(ROCKER, 22.4, 50.0, spec, loads=loads)
    assert said(plan.warnings, part), plan.warnings


def test_holes_that_find_no_room_are_said():
    plan = plan_form(ARCH, 18.0, 45.0, FormSpec(depth=55.0, clamp_hole=60.0))
    assert said(plan.warnings, "no room for 60 mm clamp holes in a body 55 mm deep")
    assert {c.kind for c in plan.clamps} == {"back"}
    crowded = plan_form(ROCKER, 22.4, 50.0, FormSpec(depth=70.0, clamp_hole=50.0))
    assert said(crowded.warnings, "left out")  # at the ends, where the body is shallowest


def test_holes_as_wide_as_the_body_are_said():
    plan = plan_form(ROCKER, 22.4, 50.0, FormSpec(depth=50.0, clamp_hole=60.0), loads=STRIPS)
    assert said(plan.warnings, "take the whole depth of the body where it is least: make it 100 mm")


def test_shortcomings_of_tight_forms_are_said():
    hairpin = chain(line(200.0), arc(75.0, math.pi), line(200.0))
    one = plan_form(hairpin, 16.0, 45.0)
    assert said(one.reasons, "solid behind the bend")
    assert said(one.warnings, "of wood to press, more than")
    two = plan_form(ARCH, 18.0, 45.0, FormSpec(parts=2))
    assert said(two.warnings, "leans up to 90° from it")


def test_a_run_out_made_longer_is_said():
    plan = plan_form(ROCKER, 22.4, 50.0, FormSpec(run_out=20.0, trim=25.0))
    assert plan.parts[0].face.reach == 55.0
    assert said(plan.reasons, "runs on 55 mm beyond the part instead of 20 mm")


@settings(max_examples=12, deadline=None)
@given(
    data=st.data(), dx=st.floats(-900, 900), dy=st.floats(-900, 900), turn=st.floats(-3, 3),
    parts=st.sampled_from([1, 2]),
)  # fmt: skip
def test_a_moved_curve_has_the_same_form_moved(curves, data, dx, dy, turn, parts):
    curve = data.draw(curves)
    spec = FormSpec(parts=parts, liner=1.0)
    here = plan_form(curve, 15.0, 50.0, spec, loads=STRIPS)
    there = plan_form(curve.moved(dx, dy, turn), 15.0, 50.0, spec, loads=STRIPS)
    c, s = math.cos(turn), math.sin(turn)

    def moved(xy):
        return np.array(xy) @ np.array([[c, s], [-s, c]]) + [dx, dy]

    assert (here.reasons, here.warnings) == (there.reasons, there.warnings)
    for a, b in zip(here.clamps, there.clamps, strict=True):
        assert np.allclose(moved([a.point, a.seat]), [b.point, b.seat])
        assert np.allclose(moved(a.direction) - [dx, dy], b.direction)
    outlines = [(here.stop.outline, there.stop.outline)]
    for a, b in zip(here.parts, there.parts, strict=True):
        outlines.append((a.outline, b.outline))
        assert np.allclose(a.outline.vertices[:, 2], b.outline.vertices[:, 2])
        for m, n in zip((*a.holes, *a.pins), (*b.holes, *b.pins), strict=True):
            assert np.allclose(moved(m.centre), n.centre)
        for m, n in zip(a.marks, b.marks, strict=True):
            assert np.allclose(moved(m.line), n.line)
        assert (a.check, a.layers) == (b.check, b.layers)
    for a, b in outlines:
        assert np.allclose(moved(a.vertices[:, :2]), b.vertices[:, :2])


@settings(max_examples=12, deadline=None)
@given(data=st.data(), side=st.sampled_from(["concave", "convex"]))
def test_the_same_part_from_its_other_end_has_the_mirrored_form(curves, data, side):
    curve = data.draw(curves)
    turned = curve.reversed().mirrored()
    here = plan_form(curve, 15.0, 50.0, FormSpec(side, reference="start"), loads=STRIPS)
    there = plan_form(turned, 15.0, 50.0, FormSpec(side, reference="end"), loads=STRIPS)
    assert there.parts[0].body.area == pytest.approx(here.parts[0].body.area, rel=1e-5)
    assert there.parts[0].body.back == here.parts[0].body.back
    assert len(there.clamps) == len(here.clamps)
    flip = np.array([1.0, -1.0])
    for a, b in zip(here.clamps, there.clamps[::-1], strict=True):
        assert np.allclose(np.array(a.point) * flip, b.point, atol=0.05)
        assert a.number == b.number
    assert np.allclose(here.stop.outline.vertices[:, :2] * flip, there.stop.outline.vertices[:, :2])
    ours = {m.key: m.along for m in here.parts[0].marks}
    theirs = {m.key: m.along for m in there.parts[0].marks}
    assert theirs["wood.end"] == pytest.approx(ours["wood.start"])
    assert theirs["middle"] == pytest.approx(ours["middle"])


def test_a_straight_part_can_have_a_form():
    plan = plan_form(chain(line(500.0)), 20.0, 50.0)
    assert plan.parts[0].body.back == "straight"
    assert plan.parts[0].check.rise == pytest.approx(0.0, abs=1e-9)
    assert plan.give == 0.0


def test_what_cannot_be_is_refused():
    with pytest.raises(InputError, match="0 mm wide"):
        plan_form(ROCKER, 20.0, 0.0)
    with pytest.raises(CurveError, match="mirror the curve"):
        plan_form(ROCKER.mirrored(), 20.0, 50.0)
    with pytest.raises(InputError, match=r"form.loads.pressure"):
        Loads(pressure=0.0)
