"""Where parts meet, against cases worked by hand, and what must not change."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overbend.curve import arc, chain, line
from overbend.frame import (
    JointSpec,
    Pose,
    find_contacts,
    joints_of,
    meetings,
    misfit_at,
    plane_pose,
    shared_volume,
)
from overbend.frame.contact import distance, never_meet, turned_round
from overbend.frame.placement import turn_about
from support.bodies import bar, bent, quarter

RADIUS, DEPTH, OFF = 400.0, 20.0, 8.0
AT, FACE, WIDE, THICK = math.radians(60.0), math.radians(66.0), 60.0, 30.0


def angled(off=OFF):
    """An arc, and behind it a rail whose face leans six degrees more than the arc's tangent.

    The arc's middle line has radius 400 about C = (0, 400) in the side view (x, z); its outer
    face has radius 410. The middle F of the rail's face lies on the radius at 60 degrees,
    `off` outside the outer face, so that the nearest tangent there is at 60 degrees; the
    rail's face is at 66.
    """
    rib = bent("rib", quarter(RADIUS, math.radians(110.0)), 40.0, DEPTH)
    out = RADIUS + DEPTH / 2 + off
    f = np.array([out * math.sin(AT), RADIUS - out * math.cos(AT)])
    inwards = np.array([-math.sin(FACE), math.cos(FACE)])  # square to the face, towards the arc
    middle = f - THICK / 2 * inwards
    along = np.array([0.0, 1.0, 0.0])
    up = np.array([math.cos(FACE), 0.0, math.sin(FACE)])
    rotation = np.stack([along, np.cross(up, along), up], axis=1)
    pose = Pose(rotation, np.array([middle[0], -90.0, middle[1]]))
    rail = replace(bar("rail", 200.0, WIDE, THICK), pose=pose)
    return rib, rail


def test_angled_contact_by_hand():
    """Every number follows from a triangle.

    In the rail face's own axes, e along the face (upwards) and N square to it, F - C has the
    components
        (F - C) . N = -418 cos 6 = -415.7102
        (F - C) . e = -418 sin 6 =  -43.6929
    so the way from the face at x along e to the circle of radius 410, square to the face, is
        t(x) = 415.7102 - sqrt(410^2 - (x - 43.6929)^2)
    which gives 12.387 mm at the lower edge x = -30, 8.045 in the middle and 5.939 at the upper.
    """
    rib, rail = angled()
    (contact,) = meetings(rib, rail, 25.0)
    assert contact.how == "side"
    assert contact.s_a == pytest.approx(RADIUS * AT, abs=1e-6)  # 418.879 mm
    assert contact.s_b == pytest.approx(90.0)
    assert math.degrees(contact.angle) == pytest.approx(6.0, abs=1e-6)
    assert math.degrees(contact.crossing) == pytest.approx(90.0)
    f = np.array([418 * math.sin(AT), 400 - 418 * math.cos(AT)])
    assert contact.point == pytest.approx([f[0], 0.0, f[1]])
    assert contact.height == pytest.approx(191.0)
    nearest = math.hypot(415.7102, 30.0 - 43.6929) - 410.0  # upper edge, straight to the centre
    assert contact.gap == pytest.approx(nearest, abs=1e-3)

    (joint,) = joints_of(JointSpec("back", "wedge", "rib", "rail"), [rib, rail])
    filler = joint.filler
    hand = [415.7102 - math.sqrt(410.0**2 - (x - 43.6929) ** 2) for x in (-30.0, 0.0, 30.0)]
    assert hand == pytest.approx([12.387, 8.045, 5.939], abs=1e-3)
    sign = 1.0 if filler.way[2] > 0 else -1.0
    at = np.interp([sign * x for x in (-30.0, 0.0, 30.0)], *_rising(filler))
    assert at == pytest.approx(hand, abs=1e-3)
    assert filler.angle == pytest.approx(math.atan((12.3870 - 5.9390) / 60.0), abs=1e-4)
    assert filler.hollow == pytest.approx((12.387 + 5.939) / 2 - 8.045, abs=2e-3)
    assert filler.thick_edge == "bottom"
    assert filler.length == 40.0


def _rising(filler):
    order = np.argsort(filler.x)
    return filler.x[order], filler.thickness[order]


def test_overlap_is_told_as_a_gap_below_zero_and_a_volume():
    rib, rail = angled(off=-3.0)
    (contact,) = meetings(rib, rail, 1.0)
    out = 407.0
    deepest = math.hypot(out * math.cos(FACE - AT), 30.0 - out * math.sin(FACE - AT)) - 410.0
    assert contact.gap == pytest.approx(deepest, abs=1e-3)
    assert shared_volume(rib, rail) > 1000.0


def test_an_end_at_a_bent_face():
    """A bar along the radius at 0.7 rad, its end 1.5 mm short of the outer face."""
    rib = bent("rib", quarter(300.0, 1.4), 40.0, 20.0)
    way = np.array([-math.sin(0.7), 0.0, math.cos(0.7)])
    start = np.array([0.0, 0.0, 300.0]) - (300.0 + 10.0 + 1.5 + 120.0) * way
    rail = bar("rail", 120.0, 30.0, 18.0, "side", start, turn=math.atan2(way[2], way[0]))
    (contact,) = meetings(rail, rib, 3.0)
    assert (contact.how, contact.end, contact.face_b) == ("end", 1, "right")
    assert contact.gap == pytest.approx(1.5)
    assert contact.s_b == pytest.approx(210.0)
    assert contact.angle == pytest.approx(0.0, abs=1e-6)
    assert contact.span_b[1] - contact.span_b[0] == pytest.approx(18.0)
    assert meetings(rail, rib, 1.0) == ()


def test_an_end_that_reaches_in_tells_how_deep():
    post = bar("post", 400.0, 40.0, 36.0, "side", turn=math.pi / 2)
    tilt = math.radians(20.0)
    slat = bar("slat", 200.0, 50.0, 8.0, "plan", (0.0, -12.0, 150.0), turn=-math.pi / 2 - tilt)
    (contact,) = meetings(slat, post, 0.0)
    assert (contact.how, contact.end, contact.face_b) == ("end", 0, "near")
    assert contact.gap == pytest.approx(-8.0 / math.cos(tilt))
    assert math.degrees(contact.angle) == pytest.approx(20.0)
    assert contact.s_a == pytest.approx(8.0 / math.cos(tilt))


def test_a_part_may_meet_another_twice():
    arch = bent("arch", chain(line(300.0), arc(120.0, -math.pi), line(300.0), heading=math.pi / 2),
                30.0, 20.0, "front")  # fmt: skip
    stay = bar("stay", 340.0, 40.0, 18.0, "front", (15.0 + 20.0, -50.0, 90.0))
    contacts = meetings(stay, arch, 0.5)
    assert sorted(round(c.s_a, 6) for c in contacts) == [50.0, 290.0]
    assert all(c.how == "side" and abs(c.gap) < 1e-9 for c in contacts)


def test_parts_that_never_meet():
    a, b = bar("a", 100.0, 20.0, 20.0), bar("b", 100.0, 20.0, 20.0, origin=(0.0, 0.0, 54.0))
    assert meetings(a, b, 10.0) == ()
    assert distance(a, b) == pytest.approx(34.0)
    error = never_meet(a, [b], "joint.x")
    assert "a and b never meet: they are 34 mm apart" in str(error)


def test_a_row_is_looked_at_once_and_told_for_each():
    ribs = [bent(f"rib/{k}", quarter(), 40.0, 20.0, "side", (0.0, 75.0 * k, 0.0)) for k in range(6)]
    ribs = [replace(r, line=ribs[0].line) for r in ribs]
    rail = bar("rail", 500.0, 40.0, 20.0, "plan", (5.0, -60.0, -20.0), turn=math.pi / 2)
    contacts = find_contacts([*ribs, rail], 5.0)
    alone = [c for rib in ribs for c in meetings(rib, rail, 5.0)]
    assert [c.a for c in contacts] == [r.id for r in ribs]
    for c, d in zip(contacts, alone, strict=True):
        assert (c.s_a, c.s_b, c.gap) == pytest.approx((d.s_a, d.s_b, d.gap), abs=1e-9)
        assert c.point == pytest.approx(d.point)
        assert c.span_b == pytest.approx(d.span_b)


def test_the_same_contact_from_the_other_side():
    rib, rail = angled()
    (contact,) = meetings(rib, rail, 25.0)
    other = turned_round(contact, rib)
    assert (other.a, other.b, other.s_a, other.s_b) == ("rail", "rib", contact.s_b, contact.s_a)
    assert rib.face_normal(other.face_b, other.s_b) == pytest.approx(other.normal)


# -- what must not change -----------------------------------------------------------------

MOTIONS = st.builds(
    lambda axis, angle, move: (turn_about((axis[0] + 2.0, *axis[1:]), angle), np.array(move)),
    st.tuples(*[st.floats(-1, 1)] * 3), st.floats(-3, 3), st.tuples(*[st.floats(-900, 900)] * 3),
)  # fmt: skip


@given(MOTIONS)
@settings(max_examples=25)
def test_contacts_move_with_the_piece(motion):
    turn, move = motion
    rib, rail = angled()
    (was,) = meetings(rib, rail, 25.0)
    moved = [
        replace(b, pose=Pose(turn @ b.pose.rotation, turn @ b.pose.origin + move))
        for b in (rib, rail)
    ]
    (now,) = meetings(*moved, 25.0)
    assert (now.s_a, now.s_b, now.gap, now.angle) == pytest.approx(
        (was.s_a, was.s_b, was.gap, was.angle), abs=1e-6
    )
    assert now.point == pytest.approx(turn @ was.point + move, abs=1e-6)


def test_mirrored_parts_meet_alike():
    from overbend.frame.standing import _mirror_images

    rib, rail = angled()
    (was,) = meetings(rib, rail, 25.0)
    (now,) = meetings(*_mirror_images([rib, rail]), 25.0)
    assert (now.s_a, now.s_b, now.gap, now.angle) == pytest.approx(
        (was.s_a, was.s_b, was.gap, was.angle), abs=1e-6
    )
    assert now.point == pytest.approx(was.point * [1.0, -1.0, 1.0], abs=1e-6)


@given(st.floats(0.0, 100.0))
def test_misfit_is_read_between_stations(s):
    found = misfit_at("rib", s, [0.0, 40.0, 100.0], [0.0, -1.0, -4.0], [0, 0, 0], [0.0, 2.0, 3.0])
    assert found.low <= 0.0 <= found.high
    assert found.most <= 4.0
    assert misfit_at("rib", 70.0, [40.0, 100.0], [-1, -4], [0, 0], [2, 3]).low == -2.5


def test_poses_of_planes_meet_as_drawn():
    post = bar("post", 400.0, 40.0, 40.0, "front", turn=math.pi / 2)
    rail = bar("rail", 300.0, 50.0, 20.0, "plan", (20.0, 0.0, 220.0))
    (contact,) = meetings(rail, post, 0.1)
    assert contact.point == pytest.approx([20.0, 0.0, 220.0])
    assert contact.normal == pytest.approx(plane_pose("plan").way([1.0, 0.0, 0.0]), abs=1e-12)
