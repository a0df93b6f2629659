"""Shaving a form: identical faces, arcs by hand, wood that is missing, and what holds always."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overbend.curve import Curve, Piece, arc, chain, line
from overbend.errors import CurveError
from overbend.form.face import Face
from overbend.form.shave import LEAST, laid_together, relaid, shave


def arc_face(radius, d=8.0, side=1.0, length=300.0, reach=60.0):
    """Face on a mid-depth arc that turns left."""
    return Face(chain(arc(radius, length / radius)), d, reach, side)


def elsewhere(face):
    return replace(face, glued=face.glued.moved(31.0, -12.0, 0.7))


# -- identical faces ----------------------------------------------------------------------
@pytest.mark.parametrize("reference", ["start", "end"])
def test_identical_faces_leave_nothing_wherever_they_lie(reference):
    curve = chain(line(40.0), arc(300.0, 0.8), line(70.0), stations={"knee": 100.0})
    face = Face(curve, 9.0, 55.0, 1.0)
    found = shave(face, elsewhere(face), reference)
    assert found.kind == "nothing"
    assert np.abs(found.depth).max() < 1e-6
    assert relaid(found).most[0] < 1e-3


def test_a_difference_below_what_is_worth_while_is_nothing():
    found = shave(arc_face(400.0), arc_face(399.5))
    assert 0.0 < found.most[0] < LEAST
    assert found.kind == "nothing"


# -- by hand ------------------------------------------------------------------------------
def depth_by_hand(old_radius, new_radius, angle):
    """Depth between two circles that touch at angle 0, along the old one's radius.

    Both centres lie above the touching point, at heights of their radii. From the old centre
    in the direction to the old circle's point, the new circle is met at distance t with
    |old centre + t u - new centre| = new radius.
    """
    u = np.array([math.sin(angle), -math.cos(angle)])
    between = np.array([0.0, old_radius - new_radius])
    b = float(u @ between)
    t = -b + math.sqrt(b * b - float(between @ between) + new_radius**2)
    return old_radius - t


@pytest.mark.parametrize(("old", "new"), [(400.0, 372.0), (372.0, 400.0), (900.0, 895.0)])
def test_two_arcs_leave_the_sliver_between_two_circles(old, new):
    """Body on the hollow side of the wood: faces at +8 mm, radii less by 8."""
    found = shave(arc_face(old, length=290.0), elsewhere(arc_face(new, length=290.0)))
    inside = (found.s > 0.0) & (found.s < min(290.0, 290.0 * new / old))
    for s, depth in zip(found.s[inside], found.depth[inside], strict=True):
        assert depth == pytest.approx(depth_by_hand(old - 8.0, new - 8.0, s / old), abs=1e-7)


def test_the_other_side_of_the_wood_turns_the_sign():
    """Body outside the bend: a tighter face has wood missing."""
    old, new = (arc_face(r, d=-8.0, side=-1.0) for r in (400.0, 380.0))
    found = shave(old, new)
    i = int(np.argmin(np.abs(found.s - 250.0)))
    by_hand = -depth_by_hand(408.0, 388.0, found.s[i] / 400.0)
    assert found.kind == "add"
    assert found.depth[i] == pytest.approx(by_hand, abs=1e-7)


def test_laid_together_at_the_other_end_the_sliver_turns_round():
    old, new = arc_face(400.0), arc_face(380.0)
    a, b = shave(old, new, "start"), shave(old, new, "end")
    assert b.most[0] == pytest.approx(a.most[0], abs=1e-6)
    assert b.along == pytest.approx(a.along[::-1], abs=1e-9)
    assert b.depth == pytest.approx(a.depth[::-1], abs=1e-6)
    assert a.places[0].along == b.places[0].along == pytest.approx(-60.0)


def test_a_straight_run_out_opens_like_a_wedge():
    """Behind the bend both faces run straight, apart by the angle between them."""
    old, new = (Face(chain(arc(r, 0.5 * 400 / r)), 8.0, 70.0, 1.0) for r in (400.0, 390.0))
    found = shave(old, new)
    end = found.s > old.glued.length + 20.0
    slope = np.diff(found.depth[end]) / np.diff(found.along[end])
    assert slope == pytest.approx(np.full(len(slope), math.tan(0.5 * 400 / 390 - 0.5)), rel=1e-6)


# -- table --------------------------------------------------------------------------------
def test_the_table_names_marks_and_stations_and_measures_along_the_old_face():
    curve = chain(line(40.0), arc(300.0, 0.9), stations={"knee": 120.0})
    old = Face(curve, 10.0, 60.0, 1.0)
    new = Face(chain(line(40.0), arc(290.0, 0.9 * 300 / 290)), 10.0, 60.0, 1.0)
    found = shave(old, new, spacing=75.0, names={"knee": 120.0})
    names = [p.name for p in found.places if p.name]
    assert names == ["end of face", "reference end", "knee", "trim", "end of face"]
    along = [p.along for p in found.places if not p.name]
    assert along == pytest.approx([75.0, 150.0, 225.0])
    knee = next(p for p in found.places if p.name == "knee")
    assert knee.along == pytest.approx(40.0 + 80.0 * 290.0 / 300.0)
    assert knee.depth == pytest.approx(np.interp(knee.s, found.s, found.depth), abs=0.01)
    assert found.at_trim[0] == pytest.approx(0.0, abs=1e-9)
    assert found.at_trim[1] == pytest.approx(
        next(p.depth for p in found.places if p.name == "trim"), abs=1e-6
    )


# -- wood that is missing -----------------------------------------------------------------
def test_a_form_that_needs_adding_is_said_so_and_laid_anew_it_need_not_be():
    found = shave(arc_face(380.0), arc_face(400.0))
    assert found.kind == "add"
    assert found.missing[0] == pytest.approx(8.03, abs=0.01)
    laid = relaid(found)
    assert laid.kind == "shave"
    assert laid.depth.min() > -1e-5
    assert laid.most[0] < 0.5 * found.missing[0]


def test_laid_anew_no_other_small_move_takes_off_less():
    found = shave(arc_face(380.0), arc_face(400.0))
    laid = relaid(found)
    best, fitting = laid.most[0], 0
    rng = np.random.default_rng(4)
    for back, turn in rng.normal(0.0, [0.3, 0.001], (60, 2)):
        moved = replace(laid.new, glued=laid.new.glued.moved(0.0, back, turn), reach=120.0)
        other = _gaps(laid, moved, laid.s)
        if min(other) >= -1e-3:
            fitting += 1
            assert max(other) > best - 0.02
    assert fitting > 5


def _gaps(laid, face, s):
    """Depths of a face under the old one by bisection along its normals."""
    at, into = laid.old.point(s), laid.old.inward(s)

    def beside(u):
        gap = face.point(u) - at
        return into[:, 0] * gap[:, 1] - into[:, 1] * gap[:, 0]

    low, high = np.maximum(s - 30.0, face.span[0]), np.minimum(s + 30.0, face.span[1])
    first = beside(low)
    for _ in range(50):
        middle = 0.5 * (low + high)
        before = beside(middle) * first > 0.0
        low, high = np.where(before, middle, low), np.where(before, high, middle)
    return ((face.point(low) - at) * into).sum(axis=1)


def test_a_bump_in_the_middle_of_the_new_face_is_missing_however_it_is_laid():
    """Straight face against one that dips and rises: laying anew sets it back instead."""
    flat = Face(Curve((Piece(400.0, 1e-9, 1e-9),)), 8.0, 60.0, 1.0)
    bumped = chain(line(120.0), arc(500.0, -0.1), arc(500.0, 0.2), arc(500.0, -0.1), line(180.0))
    found = shave(flat, Face(bumped, 8.0, 60.0, 1.0))
    assert found.most[0] > 1.0 or found.missing[0] > 1.0
    assert relaid(found).depth.min() > -1e-5


# -- errors -------------------------------------------------------------------------------
def test_faces_of_different_halves_are_refused():
    with pytest.raises(CurveError, match="different sides"):
        shave(arc_face(400.0), arc_face(400.0, d=-8.0, side=-1.0))


def test_faces_too_far_apart_are_refused_in_words():
    with pytest.raises(CurveError, match="too far apart"):
        shave(arc_face(400.0, length=600.0), arc_face(90.0, length=600.0, d=3.0))


# -- always -------------------------------------------------------------------------------
bends = st.tuples(
    st.floats(220.0, 900.0), st.floats(0.2, 1.0), st.floats(0.0, 90.0), st.floats(0.97, 1.03),
    st.sampled_from([-1.0, 1.0]),
)  # fmt: skip


@settings(max_examples=40, deadline=None)
@given(bends)
def test_shaving_never_exceeds_the_difference_and_lands_on_the_new_face(bend):
    radius, angle, straight, tighter, side = bend
    old = Face(chain(line(straight + 5.0), arc(radius, angle)), 8.0 * side, 60.0, side)
    pieces = tuple(
        Piece(p.length, tighter * p.kappa0, tighter * p.kappa1) for p in old.glued.pieces
    )
    new = elsewhere(replace(old, glued=Curve(pieces)))
    found = shave(old, new)
    laid = laid_together(old, new)
    apart = np.hypot(*(laid.point(found.s) - old.point(found.s)).T)
    turned = abs(tighter - 1.0) * angle
    assert (np.abs(found.depth) <= apart / math.cos(turned) + 1e-6).all()
    onto = old.point(found.s) + found.depth[:, None] * old.inward(found.s)
    longer = replace(laid, reach=laid.reach + 40.0)
    dense = longer.point(np.linspace(*longer.span, 20_001))
    step = float(np.hypot(*(dense[1] - dense[0])))
    for p in onto[::17]:
        assert np.hypot(*(dense - p).T).min() < step
