import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from overbend.curve import Curve, arc, chain, line
from overbend.form import FormSpec, Loads, plan_form
from overbend.form.depth import WALL
from overbend.form.spacing import JAW, TURN_BETWEEN, pitch_for, stations

HAIRPIN = chain(line(200.0), arc(75.0, math.pi), line(180.0))
HOOK = chain(line(240.0), arc(160.0, 1.9), line(180.0))


@settings(max_examples=15, deadline=None)
@given(
    data=st.data(),
    hole=st.sampled_from([30.0, 45.0, 55.0]),
    side=st.sampled_from(["concave", "convex"]),
    parts=st.sampled_from([1, 2]),
)
def test_holes_lie_in_their_body_with_wall_all_round(curves, data, hole, side, parts):
    plan = plan_form(data.draw(curves), 15.0, 50.0, FormSpec(side, parts, clamp_hole=hole))
    for index, part in enumerate(plan.parts):
        discs = [shapely.Point(h.centre).buffer(hole / 2 + WALL - 0.1) for h in part.holes]
        assert all(h.part == index for h in part.holes)
        assert all(part.body.shape.contains(disc) for disc in discs)
        centres = [h.centre for h in part.holes]
        gaps = [math.dist(a, b) for i, a in enumerate(centres) for b in centres[:i]]
        assert min(gaps, default=math.inf) > hole + WALL - 0.01
        ends = part.face.point(np.array(part.face.span))
        assert all(math.dist(c, e) >= hole for c in centres for e in ends)


@settings(max_examples=15, deadline=None)
@given(data=st.data(), parts=st.sampled_from([1, 2]), reference=st.sampled_from(["start", "end"]))
def test_clamps_share_out_all_the_wood(curves, data, parts, reference):
    curve = data.draw(curves)
    spec = FormSpec(parts=parts, reference=reference, trim=25.0)
    plan = plan_form(curve, 15.0, 50.0, spec, loads=Loads(pressure=0.9))
    assert sum(c.spacing for c in plan.clamps) == pytest.approx(curve.length + 50.0)
    assert sum(c.force for c in plan.clamps) == pytest.approx((curve.length + 50.0) * 50 * 0.9)
    order = [c.number for c in sorted(plan.clamps, key=lambda c: c.s)]
    numbers = list(range(1, len(order) + 1))
    assert order == (numbers if reference == "start" else numbers[::-1])


@settings(max_examples=15, deadline=None)
@given(data=st.data(), side=st.sampled_from(["concave", "convex"]))
def test_a_clamp_pushes_square_into_the_form_from_its_caul(curves, data, side):
    spec = FormSpec(side, clamp_hole=40.0, caul=22.0, liner=1.5, strap=1.0)
    plan = plan_form(data.draw(curves), 15.0, 50.0, spec)
    face, outside = plan.parts[0].face, 15.0 + 1.5 + 1.0 + 22.0
    for clamp in plan.clamps:
        push = np.array(clamp.direction)
        assert push == pytest.approx(face.inward(clamp.s))
        assert clamp.point == pytest.approx(face.point(clamp.s))
        depth = (np.array(clamp.seat) - clamp.point) @ push
        assert clamp.opening == pytest.approx(depth + outside)
        assert plan.parts[0].body.shape.contains(shapely.Point(clamp.point + 2.0 * push))


def test_clamps_stand_closest_where_the_bend_is_tightest():
    plan = plan_form(chain(line(260.0), arc(130.0, 1.4), line(60.0), arc(500.0, 0.5)), 16.0, 45.0,
                     FormSpec(side="convex"))  # fmt: skip
    s = np.array([c.s for c in plan.clamps])
    gaps, middles = np.diff(s), 0.5 * (s[1:] + s[:-1])
    tight = (s[:-1] > 260) & (s[1:] < 260 + 130 * 1.4)
    loose = (middles < 240) | (middles > 260 + 130 * 1.4 + 20)
    assert gaps[tight].max() < gaps[loose].min()
    assert gaps[tight].max() <= TURN_BETWEEN * 130.0 + 0.1
    assert gaps.max() <= plan.pitch.widest + 0.1


def test_a_solid_hairpin_shares_holes_between_its_legs():
    plan = plan_form(HAIRPIN, 16.0, 45.0, FormSpec(clamp_hole=45.0))
    assert plan.parts[0].body.back == "solid"
    assert {c.kind for c in plan.clamps} == {"hole"}
    assert len(plan.parts[0].holes) < len(plan.clamps)
    numbers = sorted(n for hole in plan.parts[0].holes for n in hole.numbers)
    assert numbers == [c.number for c in plan.clamps]
    seats = [c.seat for c in plan.clamps]
    rims = [min(abs(math.dist(h.centre, s) - h.diameter / 2) for h in plan.parts[0].holes)
            for s in seats]  # fmt: skip
    assert max(rims) < 1e-6


def test_without_holes_jaws_bear_on_the_back():
    plan = plan_form(HOOK, 16.0, 45.0)
    outline = plan.parts[0].body.shape.exterior
    for clamp in plan.clamps:
        assert clamp.kind == "back"
        assert outline.distance(shapely.Point(clamp.seat)) < 0.02
        assert clamp.slip < math.radians(3)
    seats = [c.seat for c in plan.clamps]
    assert min(math.dist(a, b) for a, b in pairwise(seats)) > JAW - 0.01


def test_two_straight_backed_parts_close_square_to_their_backs():
    curve = chain(line(100.0), arc(450.0, 0.8), line(60.0), heading=0.3)
    plan = plan_form(curve, 16.0, 45.0, FormSpec(parts=2, depth=80.0))
    ends = plan.parts[0].face.point(np.array(plan.parts[0].face.span))
    chord = (ends[1] - ends[0]) / math.dist(*ends)
    for clamp in plan.clamps:
        assert abs(np.array(clamp.direction) @ chord) < 1e-12
        assert clamp.slip < 1e-6
    openings = [c.opening for c in plan.clamps]
    assert np.ptp(openings) < 0.05  # the backs are parallel
    assert max(c.lean for c in plan.clamps) > 0.3


def test_spacing_is_what_one_clamp_covers():
    weak = Loads(pressure=1.2, clamp_force=2600.0)
    plan = plan_form(HOOK, 24.0, 40.0, FormSpec(), loads=weak)
    assert plan.pitch.governs == "force"
    assert plan.pitch.widest == pytest.approx(2600 / (1.2 * 40))
    assert max(c.force for c in plan.clamps) < 2600 * 1.25
    assert len(plan.clamps) > len(plan_form(HOOK, 24.0, 40.0, FormSpec()).clamps)


def test_spacing_asked_for_goes_before():
    spec = FormSpec(clamp_spacing=150.0)
    pitch = pitch_for(spec, Loads(clamp_force=500.0), 20.0, 50.0, 18.0)
    assert (pitch.widest, pitch.governs, pitch.spread) == (150.0, "asked", 76.0)


@settings(deadline=None)
@given(st.floats(25, 90), st.floats(60, 200))
def test_seats_on_an_arc_are_apart_straight_across(apart, radius):
    curve: Curve = chain(arc(radius + 50.0, 2.8))
    s = stations(curve, (0.0, curve.length), 90.0, [(50.0, apart), (-40.0, 20.0)])
    seats = curve.offset(50.0).point(s)
    assert np.hypot(*np.diff(seats, axis=0).T).min() > apart - 1e-6


def test_a_short_part_has_one_clamp_in_its_middle():
    assert stations(chain(line(30.0)), (10.0, 22.0), 80.0, [(40.0, 20.0)]).tolist() == [16.0]
