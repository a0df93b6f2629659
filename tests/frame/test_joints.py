"""Joints: sizes by rule and as given, what is left round them, and what is refused."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overbend.curve import arc, chain, line
from overbend.errors import FrameError
from overbend.frame import JointSpec, joints_of, meeting_holes, reach_of
from overbend.frame import joint_rules as rules
from overbend.frame.joint_records import KINDS, at_least, at_most, worst_word
from support.bodies import bar, bent, quarter

POST = bar("post", 500.0, 40.0, 44.0, "side", turn=math.pi / 2)


def rail(height=260.0, width=60.0, thick=21.0, y=20.0, **pose):
    """A rail that runs to the left from the post's left face; its width stands upright."""
    return bar("rail", 400.0, width, thick, "plan", (0.0, y, height), turn=math.pi / 2, **pose)


def joint(kind, *bodies, part="rail", to="post", **sizes):
    (made,) = joints_of(JointSpec("j", kind, part, to, **sizes), bodies)
    return made


def check(made, words):
    (found,) = [c for c in made.checks if words in c.what]
    return found


def test_mortise_and_tenon_by_rule():
    made = joint("mortise-tenon", rail(), POST)
    assert made.word == "holds"
    assert made.sizes["tenon thickness"] == 6.0  # a third of 21 is 7: the chisel below
    assert made.sizes["tenon width"] == 30.0  # five thicknesses
    assert made.sizes["tenon length"] == pytest.approx(40.0 * 2 / 3)
    assert made.sizes["shoulder at the edges"] == 15.0
    tenon, mortise = made.blocks
    assert tenon.axis == pytest.approx([0.0, -1.0, 0.0], abs=1e-12)
    assert mortise.length == pytest.approx(tenon.length + 1.0)
    assert abs(tenon.across @ [0.0, 0.0, 1.0]) == pytest.approx(1.0)
    assert check(made, "beside").value == pytest.approx((44.0 - 6.0) / 2)
    assert check(made, "behind").value == pytest.approx(40.0 - mortise.length)
    assert check(made, "to the end").value == pytest.approx(500.0 - 260.0 - 15.0)
    assert made.glue_area == pytest.approx(2 * 30.0 * 40.0 * 2 / 3)


def test_sizes_that_are_given_are_kept_and_judged():
    made = joint("mortise-tenon", rail(), POST, thickness=18.0, width=52.0, length=35.5)
    assert (made.sizes["tenon thickness"], made.sizes["tenon length"]) == (18.0, 35.5)
    assert made.rules == ("length as given",)
    assert check(made, "behind").word == "close"
    narrow = bar("post", 500.0, 40.0, 24.0, "side", turn=math.pi / 2)
    thin = joint("mortise-tenon", rail(), narrow, thickness=16.0)
    assert check(thin, "beside").word == "fails"
    near_end = joint("mortise-tenon", rail(480.0), POST)
    assert check(near_end, "to the end").word == "fails"


@pytest.mark.parametrize(
    ("sizes", "words"),
    [
        ({"width": 61.0}, "tenon 61 mm wide on rail, which is 60 mm wide"),
        ({"thickness": 22.0}, "22 mm thick on rail, which is 21 mm thick"),
        ({"length": 41.0}, "41 mm into post, which is 40 mm through"),
    ],
)
def test_tenons_that_cannot_be(sizes, words):
    with pytest.raises(FrameError, match=words) as caught:
        joint("mortise-tenon", rail(), POST, **sizes)
    assert caught.value.where == "joint.j"
    assert caught.value.allowed
    assert caught.value.todo


def test_a_through_tenon_leaves_nothing_behind_to_check():
    made = joint("mortise-tenon", rail(), POST, through=True)
    assert made.sizes["tenon length"] == pytest.approx(40.0)
    assert not [c for c in made.checks if "behind" in c.what]


def test_a_flat_rail_gets_its_tenon_along_the_grain():
    flat = bar("rail", 400.0, 22.0, 62.0, "plan", (0.0, 20.0, 260.0), turn=math.pi / 2)
    made = joint("mortise-tenon", flat, POST)
    assert abs(made.blocks[0].across @ [0.0, 0.0, 1.0]) == pytest.approx(1.0)
    assert made.sizes["tenon width"] <= 22.0


def test_round_tenon():
    made = joint("round-tenon", rail(width=26.0, thick=26.0), POST)
    assert made.sizes["tenon diameter"] == 16.0
    assert made.blocks[0].round
    assert made.blocks[0].volume == pytest.approx(math.pi * 64.0 * made.sizes["tenon length"])
    with pytest.raises(FrameError, match="across"):
        joint("round-tenon", rail(), POST, diameter=22.0)


def test_dowels_in_an_end():
    made = joint("dowels", rail(), POST)
    assert (made.sizes["dowel diameter"], made.sizes["dowels"]) == (8.0, 2.0)
    spread = [b.mouth[2] for b in made.blocks if b.part == "post"]
    assert np.ptp(spread) == pytest.approx(30.0)
    assert {b.what for b in made.blocks} == {"dowel", "dowel hole"}
    one = joint("dowels", rail(width=30.0), POST)
    assert one.sizes["dowels"] == 1.0


def test_a_housed_slat_as_drawn_is_as_deep_as_it_reaches():
    slat = rail(y=8.0, width=58.0, thick=9.0)
    made = joint("housed", slat, POST)
    assert made.sizes["housing depth"] == pytest.approx(12.0)
    assert [b.what for b in made.blocks] == ["housing"]
    short = joint("housed", rail(width=58.0, thick=9.0), POST, length=9.5)
    assert short.sizes["housing depth"] == 9.5
    assert [b.what for b in short.blocks] == ["housing", "tenon"]


def test_a_bent_slat_closes_square_to_the_post():
    curve = chain(line(20.0), arc(300.0, 0.5), line(20.0))
    slat = bent("slat", curve, 50.0, 8.0, "plan", (0.0, 8.0, 260.0), turn=math.pi / 2 - 0.4)
    made = joint("housed", slat, POST, part="slat")
    assert made.closing == pytest.approx(-made.contact.normal)
    assert any("spring it in" in rule for rule in made.rules)


def test_lap_with_and_without_dowels():
    slat = bar("slat", 300.0, 45.0, 18.0, "side", (-100.0, 0.0, 9.0))
    beam = bar("beam", 300.0, 30.0, 32.0, "front", (0.0, -150.0, -16.0))
    plain = joint("lapped", slat, beam, part="slat", to="beam")
    assert plain.glue_area == pytest.approx(45.0 * 30.0)
    assert plain.blocks == ()
    assert not plain.guided
    assert plain.word == "holds"
    pegged = joint("lapped", slat, beam, part="slat", to="beam", count=2, diameter=6.0)
    assert pegged.guided
    assert len([b for b in pegged.blocks if b.what == "dowel"]) == 2
    assert {c.part for c in pegged.checks if "beside" in c.what} == {"slat", "beam"}
    assert pegged.word == "holds"


def test_a_lap_on_a_bend_stands_open():
    rib = bent("rib", quarter(180.0, 0.8), 40.0, 16.0, origin=(0.0, 0.0, 8.0))
    beam = bar("beam", 300.0, 20.0, 46.0, "plan", (70.0, -150.0, 4.5), turn=math.pi / 2)
    made = joint("lapped", rib, beam, part="rib", to="beam", reach=8.0)
    assert check(made, "gap in the glue face").word == "fails"


def test_screws_reach_far_enough():
    slat = bar("slat", 300.0, 45.0, 18.0, "side", (-100.0, 0.0, 9.0))
    beam = bar("beam", 300.0, 30.0, 40.0, "front", (0.0, -150.0, -20.0))
    made = joint("screw", slat, beam, part="slat", to="beam")
    assert (made.sizes["screw diameter"], made.sizes["screw length"]) == (3.5, 40.0)
    assert made.sizes["pilot hole"] == pytest.approx(0.7 * 3.5)
    assert not made.guided
    short = joint("screw", slat, beam, part="slat", to="beam", length=25.0)
    assert check(short, "screw in the second part").word == "fails"


def test_a_coped_shoulder_is_as_deep_as_the_bend_is_hollow():
    radius, depth, height = 120.0, 20.0, 60.0
    rib = bent("rib", quarter(radius, 1.2), 40.0, depth)
    way = np.array([-math.sin(0.6), 0.0, math.cos(0.6)])
    start = np.array([0.0, 0.0, radius]) - (radius + depth / 2 + 150.0) * way
    bar_ = bar("bar", 150.0, 30.0, height, "side", start, turn=math.atan2(way[2], way[0]))
    made = joint("coped", bar_, rib, part="bar", to="rib")
    outer = radius + depth / 2
    assert made.sizes["cope depth"] == pytest.approx(
        outer - math.sqrt(outer**2 - (height / 2) ** 2), abs=1e-3
    )
    flat = joint("coped", rail(), POST)
    assert flat.sizes["cope depth"] == pytest.approx(0.0, abs=1e-6)
    assert any("flat shoulder" in rule for rule in flat.rules)


# -- what is refused ----------------------------------------------------------------------


def test_the_wrong_way_round():
    with pytest.raises(FrameError, match="it is rail that ends at post") as caught:
        joint("mortise-tenon", rail(), POST, part="post", to="rail")
    assert caught.value.todo == "swap the two parts"


def test_an_end_joint_of_two_faces():
    beside = bar("rail", 300.0, 40.0, 20.0, "side", (22.0 + 10.0, 0.0, 90.0), turn=math.pi / 2)
    with pytest.raises(FrameError, match="needs an end of it"):
        joint("mortise-tenon", beside, POST)
    with pytest.raises(FrameError, match="no two faces"):
        joint("lapped", rail(), POST)


def test_parts_that_never_meet_are_named_with_their_distance():
    far = rail(y=20.0 + 31.0)
    with pytest.raises(FrameError, match="rail and post never meet: they are 31 mm apart"):
        joint("mortise-tenon", far, POST)
    assert joint("mortise-tenon", far, POST, reach=40.0).word == "fails"


def test_a_part_that_is_not_there():
    with pytest.raises(FrameError, match="no placed part 'leg'"):
        joint("mortise-tenon", rail(), POST, to="leg")


def test_mortises_that_run_into_each_other():
    cross = bar("cross", 300.0, 50.0, 20.0, "side", (22.0, 0.0, 250.0))
    cross_way = joints_of(JointSpec("c", "mortise-tenon", "cross", "post", length=30.0),
                          [cross, POST])  # fmt: skip
    both = [joint("mortise-tenon", rail(), POST), *cross_way]
    (met,) = meeting_holes(both)
    assert met.part == "post"
    assert met.overlap > 1.0
    apart = [joint("mortise-tenon", rail(180.0), POST), *cross_way]
    assert meeting_holes(apart) == ()


# -- rules --------------------------------------------------------------------------------


@given(st.floats(10.0, 60.0), st.floats(15.0, 60.0), st.sampled_from(["mm", "in"]))
def test_tenons_by_rule_fit_their_rails(rail_thick, into, system):
    thick = rules.tenon_thickness(rail_thick, into, system)
    assert thick <= max(1.05 * min(rail_thick, into) / 3.0, rules.TOOLS[system][0])
    wide = rules.tenon_width(90.0, thick)
    assert 0.0 < wide <= 90.0


@given(st.floats(3.0, 200.0))
def test_blind_tenons_leave_wood_behind(deep):
    assert 0.0 < rules.tenon_length(deep) < deep
    assert rules.tenon_length(deep) <= max(deep - rules.BEHIND, 0.3 * deep) + 1e-9


@given(st.integers(0, 9), st.floats(10.0, 300.0))
def test_pegs_stand_evenly_about_the_middle(count, room):
    places = rules.peg_places(count, room, None)
    assert len(places) == count
    assert sum(places) == pytest.approx(0.0, abs=1e-9)
    assert all(abs(p) < room / 2 for p in places)


def test_words_of_checks():
    assert [at_least("x", v, 8.0).word for v in (7.9, 8.0, 9.9, 10.0)] == [
        "fails", "close", "close", "holds"]  # fmt: skip
    assert [at_most("x", v, 0.2, 0.5).word for v in (0.2, 0.3, 0.6)] == ["holds", "close", "fails"]
    assert worst_word([]) == "holds"


def test_every_kind_has_a_reach():
    reaches = {kind: reach_of(JointSpec("j", kind, "a", "b")) for kind in KINDS}
    assert reaches.pop("wedge") == 25.0
    assert set(reaches.values()) == {3.0}
    assert reach_of(JointSpec("j", "wedge", "a", "b", reach=7.0)) == 7.0
