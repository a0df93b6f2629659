import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from overbend.curve import arc, chain, line, path_distance
from overbend.form import FormSpec, check_face, chord_and_rise
from overbend.form.face import STOP_LENGTH, Face
from overbend.form.marks import marks_of, stop_of

CURVE = chain(
    line(90.0),
    arc(260.0, 1.2),
    line(40.0),
    arc(310.0, -0.5),
    stations={"rail": 130.0, "tip": 470.0},
)


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_marks_cross_the_face_square_at_their_places(side):
    face = Face(CURVE, side * 11.0, 80.0, side)
    marks = {m.key: m for m in marks_of(face, 30.0, "start")}
    assert {k: m.s for k, m in marks.items()} == pytest.approx({
        "wood.start": -30.0, "trim.start": 0.0, "tangent.start": 90.0, "station.rail": 130.0,
        "middle": CURVE.length / 2, "station.tip": 470.0, "trim.end": CURVE.length,
        "tangent.end": CURVE.length, "wood.end": CURVE.length + 30.0,
    })  # fmt: skip
    for mark in marks.values():
        a, b = np.array(mark.line)
        assert np.allclose((b - a) / math.dist(a, b), face.inward(mark.s))
        assert (face.point(mark.s) - a) @ face.inward(mark.s) == pytest.approx(4.0)


def test_marks_count_from_the_reference_end():
    face = Face(CURVE, 11.0, 80.0, 1.0)
    whole = face.along(CURVE.length)
    there = {m.key: m.along for m in marks_of(face, 30.0, "start")}
    back = {m.key: m.along for m in marks_of(face, 30.0, "end")}
    assert back["trim.end"] == 0.0
    assert back["wood.end"] == pytest.approx(-30.0)
    assert all(there[k] + back[k] == pytest.approx(whole) for k in there)


def test_a_straight_part_has_no_tangent_marks():
    keys = [m.key for m in marks_of(Face(chain(line(200.0)), 5.0, 60.0, 1.0), 20.0, "start")]
    assert keys == ["wood.start", "trim.start", "middle", "trim.end", "wood.end"]


@pytest.mark.parametrize("end", ["start", "end"])
@pytest.mark.parametrize("side", ["concave", "convex"])
def test_the_stop_stands_on_the_run_out_against_the_wood(end, side):
    spec = FormSpec(side=side, trim=20.0, run_out=70.0, liner=2.0, strap=1.0, reference=end)
    face = Face(CURVE, spec.sign * (8.0 + spec.between), 70.0, spec.sign)
    stop = stop_of(face, spec, 16.0, 54.0)
    block = shapely.Polygon(stop.outline.vertices[:, :2])
    assert stop.length == STOP_LENGTH
    assert stop.height == pytest.approx(spec.between + 12.0)
    assert block.area == pytest.approx(STOP_LENGTH * stop.height)
    wood_end = -20.0 if end == "start" else CURVE.length + 20.0
    assert stop.s == wood_end
    assert block.distance(shapely.Point(face.point(wood_end))) < 1e-9
    beyond = wood_end + (-15.0 if end == "start" else 15.0)
    assert block.contains(shapely.Point(face.behind(beyond, -5.0)))
    assert not block.intersects(shapely.Point(face.behind(beyond, 5.0)))


# -- numbers to verify by ------------------------------------------------------------------


@settings(deadline=None)
@given(st.floats(150, 2000), st.floats(0.1, 5.0), st.sampled_from([1.0, -1.0]))
def test_chord_and_rise_of_an_arc(radius, angle, side):
    face = Face(chain(arc(radius, angle)), side * 9.0, 60.0, side)
    r = radius - side * 9.0
    chord, rise, x = chord_and_rise(face)
    assert chord == pytest.approx(2 * r * math.sin(angle / 2), rel=1e-9)
    assert rise == pytest.approx(r * (1 - math.cos(angle / 2)), rel=1e-9)
    assert x == pytest.approx(chord / 2, abs=1e-4 * r)


def test_rise_of_an_s_is_its_greater_belly():
    mostly_right = chain(arc(400.0, 0.3), arc(300.0, -0.9))
    assert chord_and_rise(Face(mostly_right, 5.0, 60.0, 1.0))[1] < 0
    mostly_left = chain(arc(400.0, 0.9), arc(300.0, -0.3))
    assert chord_and_rise(Face(mostly_left, 5.0, 60.0, 1.0))[1] > 0


@settings(max_examples=30, deadline=None)
@given(data=st.data(), reference=st.sampled_from(["start", "end"]))
def test_ordinates_lie_on_the_face(curves, data, reference):
    curve = data.draw(curves)
    face = Face(curve, 9.0, 60.0, 1.0)
    check = check_face(face, reference, {"middle": curve.length / 2}, 30.0)
    a, b = face.point(np.array([0.0, curve.length]))
    u = (b - a) / math.dist(a, b)
    bulge = np.array([u[1], -u[0]])
    if reference == "end":
        a, u = b, -u
    rows = np.array([(r.x, r.y, r.along) for r in check.ordinates])
    points = a + rows[:, :1] * u + rows[:, 1:2] * bulge
    assert path_distance(face.path(), points).max() < 0.005
    along = rows[:, 2] if reference == "start" else check.length - rows[:, 2]
    s = np.interp(along, [face.along(s) for s in curve.grid(0.5)], curve.grid(0.5))
    assert np.hypot(*(points - face.point(s)).T).max() < 0.02
    steps = np.diff(
        [getattr(r, "x" if check.spaced == "chord" else "along") for r in check.ordinates]
    )
    assert np.ptp(steps) < 0.01
    assert steps.max() <= 30.01
    assert check.ordinates[0].y == pytest.approx(0.0, abs=1e-6)
    assert check.ordinates[-1].along == pytest.approx(check.length)


def spaced(angle: float) -> str:
    face = Face(chain(arc(200.0, angle)), 9.0, 60.0, 1.0)
    return check_face(face, "start", {}, 40.0).spaced


def test_a_face_that_leans_far_from_its_chord_is_tabled_along_itself():
    assert [spaced(4.0), spaced(1.9), spaced(1.3)] == ["face", "face", "chord"]


def test_the_legs_of_an_arch_get_their_lines_too():
    arch = chain(line(178.0), arc(178.0, 1.43), line(51.0), arc(178.0, 1.43), line(182.0))
    check = check_face(Face(arch, 10.0, 60.0, 1.0), "start", {}, 50.0)
    assert check.spaced == "face"
    rows = [r for r in check.ordinates if r.along <= 178.0]
    assert len(rows) >= 4
    assert max(b.along - a.along for a, b in pairwise(check.ordinates)) <= 50.0
    assert rows[-1].x < 30.0  # a leg stands almost square to the chord


def test_radii_at_places():
    face = Face(CURVE, 11.0, 80.0, 1.0)
    places = {"leg": 30.0, "bend": 200.0, "back": 500.0}
    radii = {r.key: r.radius for r in check_face(face, "start", places, 50.0).radii}
    assert radii["leg"] == math.inf
    assert radii["bend"] == pytest.approx(249.0)
    assert radii["back"] == pytest.approx(-321.0)
