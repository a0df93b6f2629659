"""Planes, rigid motions, mirror images and rows."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overbend.curve import arc, chain, line
from overbend.errors import FrameError
from overbend.frame.placement import (
    AXES,
    REFLECTION,
    Pose,
    even_row,
    face_word,
    instance_ids,
    plane_pose,
    turn_about,
)
from overbend.project import StraightPart, instances

ANGLES = st.floats(-3.0, 3.0)
PLANES = st.sampled_from(["side", "front", "plan"])
POSES = st.builds(
    lambda plane, o, turn, tilt, about, swing: plane_pose(
        plane, o, turn=turn, tilt=tilt, about=about, swing=swing
    ),
    PLANES, st.tuples(*[st.floats(-500, 500)] * 3), ANGLES, ANGLES,
    st.sampled_from([None, "x", "y"]), ANGLES,
)  # fmt: skip


@pytest.mark.parametrize(
    ("plane", "u", "v", "w"),
    [("side", "x", "z", "-y"), ("front", "y", "z", "x"), ("plan", "x", "y", "z")],
)
def test_axes_of_the_planes(plane, u, v, w):
    pose = plane_pose(plane, (1.0, 2.0, 3.0))
    for k, name in enumerate((u, v, w)):
        assert pose.way(np.eye(3)[k]).tolist() == list(AXES[name])
    assert pose.point([0, 0, 0]).tolist() == [1.0, 2.0, 3.0]


def test_turn_tilt_and_swing_each_alone():
    turned = plane_pose("side", turn=math.radians(30.0)).way([1.0, 0.0, 0.0])
    assert turned == pytest.approx([math.cos(math.radians(30)), 0.0, 0.5])
    tilted = plane_pose("side", tilt=math.radians(20.0)).way([0.0, 1.0, 0.0])
    assert face_word(tilted * [0, 1, 0]) == "right"
    assert tilted == pytest.approx([0, -math.sin(math.radians(20)), math.cos(math.radians(20))])
    leaned = plane_pose("plan", turn=math.pi / 2, tilt=math.radians(12.0)).way([0.0, 0.0, 1.0])
    assert leaned == pytest.approx([math.sin(math.radians(12)), 0.0, math.cos(math.radians(12))])
    swung = plane_pose("side", swing=math.radians(90.0)).way([1.0, 0.0, 0.0])
    assert swung == pytest.approx([0.0, 1.0, 0.0], abs=1e-12)


@given(POSES)
def test_every_pose_is_a_rotation(pose):
    assert pose.rotation @ pose.rotation.T == pytest.approx(np.eye(3), abs=1e-12)
    assert np.linalg.det(pose.rotation) == pytest.approx(1.0)


@given(POSES, st.lists(st.tuples(*[st.floats(-400, 400)] * 3), min_size=2, max_size=5))
def test_poses_keep_distances_and_come_back(pose, points):
    local = np.array(points)
    world = pose.point(local)
    assert np.linalg.norm(world[1] - world[0]) == pytest.approx(
        np.linalg.norm(local[1] - local[0]), abs=1e-9
    )
    assert pose.local_point(world) == pytest.approx(local, abs=1e-9)


@given(POSES, st.floats(0.05, 1.0))
def test_mirror_image_is_the_reflection_of_every_point(pose, share):
    curve = chain(line(70.0), arc(220.0, 1.1), arc(400.0, -0.4), start=(12.0, -7.0), heading=0.3)
    flat = curve.point(share * curve.length)
    here = pose.point([*flat, 13.0])
    image = pose.mirrored()
    there = image.point([*curve.mirrored().point(share * curve.length), 13.0])
    assert there == pytest.approx(REFLECTION @ here, abs=1e-9)
    assert np.linalg.det(image.rotation) == pytest.approx(1.0)
    assert image.mirrored().rotation == pytest.approx(pose.rotation, abs=1e-12)


def test_rotation_about_an_axis_leaves_it_alone():
    axis = np.array([1.0, -2.0, 0.5])
    assert turn_about(axis, 0.7) @ axis == pytest.approx(axis)
    assert turn_about(axis, 0.7) @ turn_about(axis, -0.7) == pytest.approx(np.eye(3), abs=1e-12)


@given(
    st.integers(2, 20),
    st.floats(5.0, 60.0),
    st.floats(1.0, 90.0),
    st.sampled_from(["faces", "gaps"]),
    st.booleans(),
)
def test_rows_are_even(count, size, gap, fit, centred):
    gaps = count - 1 if fit == "faces" else count + 1
    span = count * size + gaps * gap
    row = even_row(count, span, size, fit, centred=centred)
    middles = np.array(row.offsets)
    assert np.diff(middles) == pytest.approx(np.full(count - 1, row.pitch))
    assert row.gap == pytest.approx(gap)
    first, last = middles[0] - size / 2, middles[-1] + size / 2
    start = -span / 2 if centred else 0.0
    end_gap = gap if fit == "gaps" else 0.0
    assert first - start == pytest.approx(end_gap, abs=1e-9)
    assert start + span - last == pytest.approx(end_gap, abs=1e-9)
    assert row.end_gap == pytest.approx(end_gap)


def test_middles_span_from_the_first_to_the_last():
    row = even_row(5, 1000.0, 44.0)
    assert row.offsets == (0.0, 250.0, 500.0, 750.0, 1000.0)
    assert row.gap == 206.0


def test_rows_that_do_not_fit_say_by_how_much():
    with pytest.raises(FrameError, match="overlap by 30 mm") as caught:
        even_row(4, 150.0, 60.0, "faces")
    assert "240" in caught.value.allowed
    with pytest.raises(FrameError, match="a row of 1"):
        even_row(1, 100.0, 10.0)


@given(st.booleans(), st.integers(1, 5))
def test_ids_are_those_of_the_project(mirror, count):
    repeat = {"repeat": {"count": count, "span": 300}} if count > 1 else {}
    place = {"plane": "side", "origin": [0, 40, 0], "mirror": mirror, **repeat}
    part = StraightPart.model_validate(
        {"kind": "straight", "wood": "ash", "section": [40, 20], "length": 500, "place": place}
    )
    assert instance_ids("rail", mirror, count) == instances("rail", part)


@pytest.mark.parametrize(
    ("way", "word"), [([0.9, 0.1, 0], "front"), ([-1, 0, 0], "back"), ([0, 1, 0], "left"),
                      ([0, 0, 2], "top"), ([0.1, 0.2, -0.3], "bottom")],
)  # fmt: skip
def test_faces_are_named_by_where_they_look(way, word):
    assert face_word(way) == word


def test_a_shifted_pose_only_moves():
    pose = Pose(np.eye(3), np.zeros(3)).shifted([1.0, -2.0, 3.0])
    assert pose.point([10.0, 0.0, 0.0]).tolist() == [11.0, -2.0, 3.0]
