"""Clamps, marks, order, mass and clashes of small frames."""

import math
from dataclasses import replace

import numpy as np
import pytest
import trimesh

from overbend.errors import FrameError
from overbend.frame import (
    WET_FRICTION,
    JointSpec,
    assembly_of,
    body_mass,
    clashes,
    end_cut,
    glue_face,
    joints_of,
    piece_mass,
    shared_volume,
    story_sticks,
)
from overbend.wood import Value
from support.bodies import bar, bent, quarter


def posts(y=250.0, x=0.0, tag=""):
    return [bar(f"{tag}post/{side}", 500.0, 40.0, 40.0, "side", (x, sign * y, 0.0),
                turn=math.pi / 2) for side, sign in (("left", 1), ("right", -1))]  # fmt: skip


def cross_rail(name, x=0.0, height=300.0, y=230.0):
    return bar(name, 2 * y, 50.0, 20.0, "plan", (x, -y, height), turn=math.pi / 2)


def box_frame():
    """Four posts, two rails to the front, two across."""
    front, back = posts(x=180.0, tag="f"), posts(x=-180.0, tag="b")
    rails = [cross_rail("frail", 180.0), cross_rail("brail", -180.0)]
    sides = [
        bar(f"side/{side}", 320.0, 20.0, 50.0, "side", (-160.0, sign * 250.0, 200.0))
        for side, sign in (("left", 1), ("right", -1))
    ]
    bodies = [*front, *back, *rails, *sides]
    specs = [
        ("ff", "frail", "fpost"), ("bb", "brail", "bpost"), ("sf", "side", "fpost"),
        ("sb", "side", "bpost"),
    ]  # fmt: skip
    joints = [
        j for name, a, b in specs for j in joints_of(JointSpec(name, "mortise-tenon", a, b), bodies)
    ]
    return bodies, joints


# -- clamps -------------------------------------------------------------------------------


def wedge_joint(degrees, count=0):
    """A slat on a beam with its faces at an angle."""
    slat = bar("slat", 300.0, 45.0, 18.0, "side",
               (-150.0 * math.cos(math.radians(degrees)), 0.0, 30.0 - 150.0 *
                math.sin(math.radians(degrees))), turn=math.radians(degrees))  # fmt: skip
    beam = bar("beam", 300.0, 30.0, 40.0, "front", (0.0, -150.0, -20.0))
    (made,) = joints_of(JointSpec("w", "wedge", "slat", "beam", count=count, reach=60.0),
                        [slat, beam])  # fmt: skip
    return made, slat, beam


@pytest.mark.parametrize(
    ("degrees", "word"), [(0.0, "holds"), (5.0, "holds"), (9.0, "close"), (17.0, "fails")]
)
def test_clamp_against_friction(degrees, word):
    face = glue_face(*wedge_joint(degrees))
    assert math.degrees(face.off) == pytest.approx(degrees, abs=1e-6)
    assert face.word == word
    assert face.hold == pytest.approx(tuple(math.atan(m) for m in (0.1, 0.15, 0.25)))
    assert (face.pegs is None) == (word == "holds")
    assert (face.caul is not None) == (word == "fails")


def test_a_caul_makes_up_the_angle():
    caul = glue_face(*wedge_joint(17.0)).caul
    assert caul.thick - caul.thin == pytest.approx(caul.length * math.tan(math.radians(17.0)))
    assert caul.width == 45.0
    assert caul.on == "beam"


def test_locating_dowels_stand_square_to_the_face_on_it():
    made, slat, beam = wedge_joint(12.0)
    pegs = glue_face(made, slat, beam).pegs
    assert pegs.axis == pytest.approx([0.0, 0.0, -1.0])
    assert np.ptp(pegs.points[:, 1]) > 10.0
    assert pegs.points[:, 2] == pytest.approx([0.0, 0.0])
    assert glue_face(*wedge_joint(12.0, count=1)).pegs is None  # dowels hold it already


def test_friction_is_an_input():
    made, slat, beam = wedge_joint(9.0)
    rough = Value(0.5, "", "mine", "yours", "friction")
    assert glue_face(made, slat, beam, rough).word == "holds"
    assert WET_FRICTION.status == "assumed"
    square = glue_face(made, slat, beam, clamp=np.array([0.0, 0.0, -3.0]))
    assert square.off == pytest.approx(0.0, abs=1e-6)
    with pytest.raises(FrameError, match="above zero"):
        glue_face(made, slat, beam, replace(rough, value=0.0))


# -- marks --------------------------------------------------------------------------------


def test_left_and_right_share_a_stick():
    bodies, joints = box_frame()
    sticks = {s.kind: s for s in story_sticks(bodies, joints)}
    assert sticks["fpost"].ids == ("fpost/left",)
    assert sticks["fpost"].mirrored == ("fpost/right",)
    marks = sticks["fpost"].marks
    assert [(m.what, m.other, m.face) for m in marks] == [
        ("mortise", "side", "back"), ("mortise", "frail", "right")]  # fmt: skip
    assert (marks[0].start, marks[0].end) == pytest.approx((185.0, 215.0))
    assert [m.middle for m in sticks["frail"].marks] == pytest.approx([0.0, 460.0])


def test_marks_from_the_other_end():
    bodies, joints = box_frame()
    there = {s.kind: s for s in story_sticks(bodies, joints, ["fpost"])}["fpost"].marks
    assert [(m.start, m.end) for m in there] == [
        pytest.approx((185.0, 215.0)), pytest.approx((285.0, 315.0))]  # fmt: skip
    assert there[0].other == "frail"


def test_marks_on_a_bend_are_given_along_both_faces():
    rib = bent("rib", quarter(300.0, 1.2), 40.0, 20.0)
    way = np.array([-math.sin(0.6), 0.0, math.cos(0.6)])
    start = np.array([0.0, 0.0, 300.0]) - (310.0 + 100.0) * way
    peg = bar("peg", 100.0, 24.0, 24.0, "side", start, turn=math.atan2(way[2], way[0]))
    joints = joints_of(JointSpec("p", "round-tenon", "peg", "rib", diameter=12.0), [peg, rib])
    (mark,) = story_sticks([rib], joints)[0].marks
    assert mark.middle == pytest.approx(180.0)
    assert sum(mark.left) / 2 == pytest.approx(290.0 * 0.6)
    assert sum(mark.right) / 2 == pytest.approx(310.0 * 0.6)
    assert mark.edge == "right"
    assert mark.on_face == mark.right
    (back,) = story_sticks([rib], joints, ["rib"])[0].marks
    assert sum(back.right) / 2 == pytest.approx(310.0 * (1.2 - 0.6))


def test_square_ends_need_no_settings():
    cut = end_cut(bar("rail", 300.0, 50.0, 20.0, "front", turn=0.3), 0)
    assert cut.flat.square
    assert cut.edge.square
    with pytest.raises(FrameError, match="bent part"):
        end_cut(bent("rib", quarter(), 40.0, 20.0), 1)


# -- order --------------------------------------------------------------------------------


def test_a_box_frame_goes_together_in_two_steps():
    bodies, joints = box_frame()
    assembly = assembly_of(bodies, joints)
    assert assembly.stuck == ()
    assert len(assembly.steps) == 2
    assert len(assembly.groups) == 1
    assert sorted(len(g) for g in assembly.steps[0].groups) == [3, 3]
    assert sum(len(j) for s in assembly.steps for j in s.joints) == len(joints) == 8


def test_a_rail_cannot_go_between_posts_that_are_joined_already():
    """Both posts are dowelled on a sill, so the rail closes first: it must come before."""
    left, right = posts()
    sill = cross_rail("sill", height=-25.0, y=300.0)
    rail = cross_rail("rail")
    bodies = [left, right, sill, rail]
    joints = [
        *joints_of(JointSpec("foot", "dowels", "post", "sill"), bodies),
        *joints_of(JointSpec("rail", "mortise-tenon", "rail", "post"), bodies),
    ]
    assembly = assembly_of(bodies, joints)
    assert assembly.stuck == ()
    assert [s.joints[0][0].split(":")[0] for s in assembly.steps] == ["rail", "foot"]


def made_up(joint, a, b, closing, name):
    """A joint between two named parts that closes in a direction."""
    contact = replace(joint.contact, a=a, b=b)
    spec = replace(joint.spec, name=name)
    return replace(joint, id=f"{name}:{a}:{b}", spec=spec, contact=contact,
                   closing=np.array(closing))  # fmt: skip


def test_three_parts_tenoned_in_three_directions_leave_one_joint_stuck():
    """Whichever two are closed first make all three rigid."""
    bodies, joints = box_frame()
    a, b, c = (body.id for body in bodies[:3])
    corner = [
        made_up(joints[0], a, b, [1.0, 0.0, 0.0], "x"),
        made_up(joints[0], b, c, [0.0, 1.0, 0.0], "y"),
        made_up(joints[0], a, c, [0.0, 0.0, 1.0], "z"),
    ]
    assembly = assembly_of(bodies[:3], corner)
    assert len(assembly.stuck) == 1
    loose = [corner[0], corner[1], replace(corner[2], guided=False)]
    assert assembly_of(bodies[:3], loose).stuck == ()


def test_parts_without_a_joint_stay_apart():
    bodies, joints = box_frame()
    assembly = assembly_of([*bodies, bar("loose", 50.0, 9.0, 9.0)], joints)
    assert sorted(len(g) for g in assembly.groups) == [1, 8]


def test_no_room_for_a_clamp_is_told():
    """A guard stands 20 mm behind the left post, on the line of the rail's clamp."""
    rail, (left, right) = cross_rail("rail"), posts()
    guard = bar("guard", 400.0, 60.0, 60.0, "side", (0.0, 270.0 + 20.0 + 30.0, 100.0),
                turn=math.pi / 2)  # fmt: skip
    bodies = [rail, left, right, guard]
    joints = joints_of(JointSpec("r", "mortise-tenon", "rail", "post"), bodies)
    held = made_up(joints[0], "guard", "rail", joints[0].closing, "g")
    (step,) = assembly_of(bodies, [*joints, held]).steps
    assert "r:rail:post/left" in step.no_clamp
    assert "r:rail:post/right" not in step.no_clamp
    assert assembly_of(bodies, joints).steps[0].no_clamp == ()


# -- mass and clashes ---------------------------------------------------------------------


def test_mass_with_tenons_and_mortises():
    bodies, joints = box_frame()
    masses = {m.id: m for m in piece_mass(bodies, joints, dict.fromkeys(
        ["fpost", "bpost", "frail", "brail", "side"], 700.0)).parts}  # fmt: skip
    tenon = joints[0].blocks[0]
    assert masses["frail"].made == pytest.approx(460.0 * 50.0 * 20.0 + 2 * tenon.volume)
    assert masses["frail"].kg == pytest.approx(masses["frail"].made * 700e-9)
    holes = [j.blocks[1].volume for j in joints if j.blocks[1].part == "fpost/left"]
    assert masses["fpost/left"].made == pytest.approx(500.0 * 1600.0 - sum(holes))
    assert masses["frail"].centre == pytest.approx([180.0, 0.0, 300.0], abs=1e-9)


def test_centre_of_gravity_against_closed_meshes():
    """Without joints the piece is the sum of its solids."""
    bodies = [
        bent("rib", quarter(300.0, 1.1), 40.0, 20.0, "side", (10.0, 70.0, 20.0), turn=0.2),
        bar("rail", 400.0, 55.0, 24.0, "front", (5.0, -200.0, 90.0), turn=0.4),
    ]
    density = {"rib": 690.0, "rail": 550.0}
    piece = piece_mass(bodies, [], density)
    meshes = [trimesh.Trimesh(b.mesh(0.02).vertices, b.mesh(0.02).triangles) for b in bodies]
    kg = [m.volume * density[b.kind] * 1e-9 for m, b in zip(meshes, bodies, strict=True)]
    assert piece.kg == pytest.approx(sum(kg), rel=1e-3)
    centre = sum(w * m.center_mass for w, m in zip(kg, meshes, strict=True)) / sum(kg)
    assert piece.centre == pytest.approx(centre, abs=0.05)
    with pytest.raises(FrameError, match="density of 0"):
        body_mass(bodies[0], 0.0)
    with pytest.raises(FrameError, match="stands anywhere"):
        _ = piece_mass([], [], {}).centre


def test_a_tenon_drawn_in_takes_its_shoulders_away():
    post = posts()[0]
    slat = bar("slat", 300.0, 50.0, 20.0, "plan", (0.0, 250.0 - 8.0, 300.0), turn=-math.pi / 2)
    (made,) = joints_of(JointSpec("s", "mortise-tenon", "slat", "post", thickness=8.0, width=40.0),
                        [slat, post])  # fmt: skip
    mass = body_mass(slat, 700.0, [made])
    assert made.sizes["tenon length"] == pytest.approx(12.0)
    assert mass.made == pytest.approx(300.0 * 1000.0 - 12.0 * (1000.0 - 320.0))


def test_clashes_tell_the_volume():
    a = bar("a", 100.0, 30.0, 20.0)
    b = bar("b", 100.0, 30.0, 20.0, origin=(90.0, 10.0, 5.0))
    (found,) = clashes([a, b])
    assert (found.a, found.b, found.joint) == ("a", "b", False)
    assert found.volume == pytest.approx(10.0 * 20.0 * 15.0)
    assert clashes([a, b], [("b", "a")])[0].joint
    touching = bar("b", 100.0, 30.0, 20.0, origin=(100.0, 0.0, 0.0))
    assert clashes([a, touching]) == ()


def test_shared_volume_of_bends():
    """Two like arcs, one lifted by half its depth, share what lies between two circles."""
    low = bent("low", quarter(300.0, 1.0), 40.0, 20.0)
    same = replace(low, id="same")
    assert shared_volume(low, same) == pytest.approx(low.volume, rel=1e-3)
