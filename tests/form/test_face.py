import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overbend.curve import arc, arc_path, chain, easement, line, path_distance
from overbend.errors import CurveError, InputError
from overbend.form import FormSpec, faces_of
from overbend.form.face import STOP_LENGTH, Face, heading_range

DEPTH, LINER, STRAP = 17.0, 1.3, 0.9


def distance_from_mid_line(face, curve):
    """Of points on the written face to the written mid line: no offset formula in it."""
    mid = arc_path(curve.extended(face.reach, face.reach))
    return path_distance(mid, face.path().flatten(0.001))


@settings(max_examples=40, deadline=None)
@given(data=st.data(), side=st.sampled_from(["concave", "convex"]))
def test_face_lies_half_the_stack_and_what_is_between_from_mid_depth(curves, data, side):
    curve = data.draw(curves)
    spec = FormSpec(side=side, liner=LINER, strap=STRAP, run_out=80.0)
    (face,) = faces_of(curve, DEPTH, spec)
    expected = DEPTH / 2 + LINER + (STRAP if side == "convex" else 0.0)
    assert distance_from_mid_line(face, curve) == pytest.approx(expected, abs=0.006)


@settings(max_examples=40, deadline=None)
@given(data=st.data(), side=st.sampled_from(["concave", "convex"]))
def test_two_faces_are_stack_liner_and_strap_apart_everywhere(curves, data, side):
    curve = data.draw(curves)
    first, second = faces_of(curve, DEPTH, FormSpec(side=side, parts=2, liner=LINER, strap=STRAP))
    gaps = path_distance(second.path(), first.path().flatten(0.001))
    assert gaps == pytest.approx(DEPTH + LINER + STRAP, abs=0.006)
    s = np.linspace(*first.span, 50)
    assert np.allclose(first.inward(s), -second.inward(s))


def test_concave_face_is_on_the_side_of_the_centre():
    curve = chain(arc(300.0, 1.1))
    (inside,) = faces_of(curve, 20.0, FormSpec(side="concave"))
    (outside,) = faces_of(curve, 20.0, FormSpec(side="convex", strap=2.0))
    assert inside.radius(150.0) == pytest.approx(290.0)
    assert outside.radius(150.0) == pytest.approx(312.0)
    centre = np.array([0.0, 300.0])
    for face, way in ((inside, 1.0), (outside, -1.0)):
        to_centre = centre - face.point(150.0)
        assert way * to_centre @ face.inward(150.0) == pytest.approx(math.hypot(*to_centre))


@settings(max_examples=40, deadline=None)
@given(data=st.data())
def test_run_outs_are_straight_and_tangent(curves, data):
    curve = data.draw(curves)
    (face,) = faces_of(curve, DEPTH, FormSpec(run_out=95.0))
    for end, way in ((0.0, -1.0), (curve.length, 1.0)):
        out = face.point(end + way * np.array([30.0, 60.0, 95.0])) - face.point(end)
        assert np.allclose(out, way * np.outer([30.0, 60.0, 95.0], curve.tangent(end)), atol=1e-6)


def test_run_out_carries_trim_and_stop():
    curve = chain(arc(400.0, 0.8))
    (face,) = faces_of(curve, 15.0, FormSpec(run_out=35.0, trim=40.0))
    assert face.reach == 40.0 + STOP_LENGTH
    (face,) = faces_of(curve, 15.0, FormSpec(run_out=135.0, trim=40.0))
    assert face.reach == 135.0


def test_distance_along_a_face_of_an_arc():
    face = Face(chain(line(50.0), arc(200.0, 1.0)), 12.0, 60.0, 1.0)
    assert face.along(-60.0) == pytest.approx(-60.0)
    assert face.along(250.0) == pytest.approx(50.0 + 188.0)


def test_headings_of_an_eased_s():
    curve = chain(easement(200.0, 0.002, -0.002), arc(500.0, -0.3))
    # 0.002 * 100 / 2 to the left, as much back, then 0.3 to the right
    assert heading_range(curve) == pytest.approx(0.1 + 0.3)


@pytest.mark.parametrize(
    ("radius", "side", "liner"), [(11.0, "concave", 1.5), (-30.0, "convex", 22.0)]
)
def test_a_face_that_folds_is_refused_with_the_radius_allowed(radius, side, liner):
    tight = arc(abs(radius), math.copysign(0.5, radius))
    curve = chain(line(100.0), tight, line(60.0), *([arc(29.0, 0.3)] if radius < 0 else []))
    with pytest.raises(CurveError) as caught:
        faces_of(curve, 20.0, FormSpec(side=side, liner=liner))
    assert f"above {10 + liner:.4g} mm" in caught.value.allowed
    assert f"radius of {abs(radius):.4g} mm" in str(caught.value)
    assert "100 mm along" in str(caught.value)


def test_a_curve_that_turns_right_is_refused():
    with pytest.raises(CurveError, match="turns right"):
        faces_of(chain(arc(400.0, 0.3), arc(300.0, -0.3)), 12.0, FormSpec())


def test_wood_across_itself_is_refused():
    with pytest.raises(CurveError, match="lies across itself on"):
        faces_of(chain(line(300.0), arc(100.0, 4.6), line(300.0)), 12.0, FormSpec())
    with pytest.raises(CurveError, match="in its run-outs") as caught:
        faces_of(chain(arc(100.0, 4.6)), 12.0, FormSpec(run_out=400.0))
    assert "400 mm" in caught.value.todo


def test_no_depth_is_refused():
    with pytest.raises(InputError, match="0 mm deep"):
        faces_of(chain(line(100.0)), 0.0, FormSpec())


@pytest.mark.parametrize(
    ("key", "value"),
    [("side", "inside"), ("parts", 3), ("reference", "middle"), ("sheet_thickness", 0.0),
     ("strap", -1.0), ("depth", 0.0), ("run_out", math.nan), ("clamp_spacing", -5.0)],
)  # fmt: skip
def test_a_wrong_spec_names_its_key(key, value):
    with pytest.raises(InputError) as caught:
        FormSpec(**{key: value})
    assert f"form.{key}" in str(caught.value)
    assert caught.value.allowed
