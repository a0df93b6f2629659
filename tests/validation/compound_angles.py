"""Compound angles of splayed frames: published formulas, a worked example, and vectors.

Sources
-------
[1] "Compound miters", Popular Woodworking no. 119 (December 2000), p. 46: for N sides that
    slope by S from level, tan MA = 1 / (cos S tan(360 / 2N)) and, mitred,
    tan BA = cos MA tan S, with MA measured from the blade and BA from the upright. Worked
    there: N = 4, S = 30 deg gives tan MA = 1.1547, MA = 49.1074 deg.
[2] D. L. Snyder and B. Gottesman, "Compound-Angle Joinery" (2015), derives the same settings
    by rotation matrices and by spherical trigonometry.

A mitre here is measured from square, so it is 90 deg - MA. The table is a setting chart as
printed beside saws, two decimals, for N sides at a pitch from level; its entries are met to
half of their last digit. One entry of it, 25 deg and seven sides, prints 23.56 where the
formula of [1] gives 23.58; it is left out. The worked example of [1] rounds cos 30 deg to
0.8660, which is 0.0008 deg.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overbend.frame import Body, Pose, end_cut, saw_angles, shared_volume, straight_line

CHART = [  # pitch of the sides, number of sides, mitre, bevel [deg]
    (5, 4, 44.89, 3.53), (10, 5, 35.58, 5.86), (15, 6, 29.15, 7.44), (20, 8, 21.27, 7.52),
    (25, 6, 27.62, 12.20), (30, 4, 40.89, 20.70), (30, 6, 26.57, 14.48), (35, 9, 16.60, 11.31),
    (40, 10, 13.98, 11.46), (45, 4, 35.26, 30.00), (45, 10, 12.94, 12.62), (50, 5, 25.03, 26.76),
]  # fmt: skip


def side_board(sides, slope, length=400.0, width=90.0, thick=16.0):
    """A side of a frame of `sides` sides that slope by `slope` from level, along x.

    Its axes: along the board, up its face (inwards and upwards), and square to its face. The
    planes that end it stand upright and halve the corners.
    """
    along = np.array([1.0, 0.0, 0.0])
    up_face = np.array([0.0, math.cos(slope), math.sin(slope)])
    square = np.array([0.0, -math.sin(slope), math.cos(slope)])
    half = math.pi / sides
    ends = [np.array([x * math.cos(half), math.sin(half), 0.0]) for x in (-1.0, 1.0)]
    rotation = np.stack([along, -square, up_face], axis=1)  # along, left, across
    pose = Pose(rotation, np.zeros(3))
    cuts = tuple(rotation.T @ n for n in ends)
    return Body("side/1", "side", straight_line(length), width, thick, pose, cuts)


@pytest.mark.parametrize(("pitch", "sides", "mitre", "bevel"), CHART)
def test_settings_of_the_chart(pitch, sides, mitre, bevel):
    cut = end_cut(side_board(sides, math.radians(pitch)), 1).flat
    assert abs(math.degrees(cut.mitre)) == pytest.approx(mitre, abs=0.0051)
    assert abs(math.degrees(cut.tilt)) == pytest.approx(bevel, abs=0.0051)


def test_worked_example():
    cut = end_cut(side_board(4, math.radians(30.0)), 1).flat
    assert 90.0 - abs(math.degrees(cut.mitre)) == pytest.approx(49.1074, abs=1e-3)


@given(st.integers(3, 16), st.floats(0.02, 1.5))
def test_published_formulas(sides, slope):
    ma = math.atan(1.0 / (math.cos(slope) * math.tan(math.pi / sides)))
    ba = math.atan(math.cos(ma) * math.tan(slope))
    cut = end_cut(side_board(sides, slope), 1).flat
    assert abs(cut.mitre) == pytest.approx(0.5 * math.pi - ma, abs=1e-9)
    assert abs(cut.tilt) == pytest.approx(ba, abs=1e-9)


@given(st.floats(-1.3, 1.3), st.floats(-1.2, 1.2))
def test_settings_give_the_plane_back(mitre, tilt):
    """The saw as it stands: the gauge turns the board, the blade leans."""
    c, s = math.cos(tilt), math.sin(tilt)
    plane = np.array([c * math.cos(mitre), c * math.sin(mitre), s])
    cut = saw_angles(7.0 * plane, *np.eye(3))
    assert (cut.mitre, cut.tilt) == pytest.approx((mitre, tilt))


@pytest.mark.parametrize(("sides", "pitch"), [(4, 33.0), (5, 62.0), (6, 20.0)])
def test_mitred_sides_close_without_room_or_overlap(sides, pitch):
    """Turn a side about the upright through the frame's middle: the mitres meet."""
    board = side_board(sides, math.radians(pitch))
    corner = board.point(board.length)
    reach = 0.5 * board.length / math.tan(math.pi / sides)
    middle = np.array([0.5 * board.length, reach, 0.0])
    turn = 2.0 * math.pi / sides
    c, s = math.cos(turn), math.sin(turn)
    about = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
    pose = board.pose
    turned = Pose(about @ pose.rotation, middle + about @ (pose.origin - middle))
    after = replace(board, id="side/2", pose=turned)
    assert after.point(0.0) == pytest.approx(corner, abs=1e-9)
    assert after.end_normal(0) == pytest.approx(-board.end_normal(1), abs=1e-9)
    assert after.rings(np.array([0.0, after.length]))[0] == pytest.approx(
        board.rings(np.array([0.0, board.length]))[1], abs=1e-9
    )
    assert shared_volume(board, after) < 1e-6
