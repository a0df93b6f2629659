"""Places on parts, parts on parts, parts between parts."""

import math

import numpy as np
import pytest

from overbend.curve import arc, chain, line
from overbend.errors import FrameError
from overbend.frame import (
    Item,
    MidLine,
    OwnPlace,
    RowOf,
    Spanning,
    Spot,
    Standing,
    place_all,
    straight_line,
)
from overbend.frame.places import find_station
from overbend.frame.probe import crossings, local, way_out
from support.bodies import bar, bent, quarter

POST = Item("post", 40.0, 36.0, Standing("side", (0.0, 250.0, 0.0), turn=math.pi / 2, mirror=True),
            straight_line(500.0))  # fmt: skip


def rail(height=300.0, **more):
    ends = [Spot(f"post/{side}", OwnPlace(height=height)) for side in ("left", "right")]
    return Item("rail", 60.0, 20.0, Spanning(*ends, **more))


def one(items, name):
    (body,) = place_all(items)[name].bodies
    return body


def test_a_rail_runs_from_face_to_face():
    body = one([rail(), POST], "rail")
    assert body.length == pytest.approx(500.0 - 40.0)
    assert body.point(0.0) == pytest.approx([0.0, 230.0, 300.0])
    assert body.axes(0.0)[:, 2] == pytest.approx([0.0, 0.0, 1.0])  # its width stands upright


@pytest.mark.parametrize(("y", "width"), [(250.0, 40.0), (190.0, 40.0), (250.0, 64.0)])
def test_everything_follows_when_a_dimension_changes(y, width):
    post = Item("post", width, 36.0,
                Standing("side", (0.0, y, 0.0), turn=math.pi / 2, mirror=True),
                straight_line(500.0))  # fmt: skip
    assert one([post, rail()], "rail").length == pytest.approx(2 * y - width)


def test_a_rail_between_leaning_posts_has_sawn_ends():
    lean = math.radians(12.0)
    post = Item("post", 40.0, 36.0,
                Standing("front", (0.0, 250.0, 0.0), turn=math.pi / 2 - lean, mirror=True),
                straight_line(600.0))  # fmt: skip
    body = one([post, rail()], "rail")
    half = 250.0 + 300.0 * math.tan(lean) - 18.0 / math.cos(lean)
    assert body.length == pytest.approx(2 * half)
    assert abs(float(body.end_normal(0) @ body.tangent(0.0))) == pytest.approx(math.cos(lean))


def test_left_is_left_whichever_was_drawn():
    drawn_right = Item("post", 40.0, 36.0, Standing("side", (0, -250.0, 0), mirror=True),
                       straight_line(100.0))  # fmt: skip
    placed = place_all([drawn_right])["post"]
    assert [b.id for b in placed.bodies] == ["post/left", "post/right"]
    assert placed.bodies[0].centroid[1] == pytest.approx(250.0)
    assert placed.bodies[0].mirrored
    assert placed.drawn[0].id == "post/right"


def test_a_mirror_image_in_the_same_place_is_refused():
    middle = Item("post", 40.0, 36.0, Standing("side", mirror=True), straight_line(100.0))
    with pytest.raises(FrameError, match="same place"):
        place_all([middle])


def test_a_part_stands_on_another_by_its_own_place():
    rocker = Item(
        "rocker", 34.0, 30.0, Standing("side", (0, 0, 50.0)), MidLine(quarter(400.0, 0.5))
    )
    where = Standing("side", turn=math.pi / 2, own=OwnPlace(at=20.0),
                     on=Spot("rocker", OwnPlace(at=150.0), face="left", off=3.0))  # fmt: skip
    body = one([rocker, Item("post", 40.0, 40.0, where, straight_line(300.0))], "post")
    base = place_all([rocker])["rocker"].bodies[0]
    assert body.point(20.0) == pytest.approx(base.point(150.0, 18.0))


def test_outside_is_the_convex_face():
    for turn, sign in ((0.5, -1.0), (-0.5, 1.0)):
        curve = chain(arc(400.0, turn))
        hoop = Item("hoop", 30.0, 20.0, Standing("side"), MidLine(curve))
        spot = Spot("hoop", OwnPlace(share=0.5), face="outside")
        stub = Item("stub", 9.0, 9.0, Standing("side", on=spot), straight_line(5.0))
        placed = place_all([hoop, stub])
        expected = placed["hoop"].bodies[0].point(0.5 * curve.length, sign * 10.0)
        assert placed["stub"].bodies[0].point(0.0) == pytest.approx(expected)


def test_floor_lifts_a_part_until_it_touches():
    curve = chain(arc(500.0, 1.0), heading=-0.5)
    item = Item("rocker", 30.0, 24.0, Standing("side", (0, 0, 77.0), floor=True), MidLine(curve))
    body = one([item], "rocker")
    lowest = body.point(body.curve.length / 2, -12.0)
    assert lowest[2] == pytest.approx(0.0, abs=0.003)


def test_a_leg_to_the_floor_is_cut_level():
    foot, top = Spot(point=(100.0, 80.0, 0.0)), Spot(point=(60.0, 80.0, 400.0))
    leg = Item("leg", 40.0, 30.0, Spanning(foot, top))
    body = one([leg], "leg")
    assert body.end_normal(0) == pytest.approx([0.0, 0.0, -1.0])
    assert body.box[0, 2] == pytest.approx(0.0, abs=1e-9)


def test_a_row_between_posts_follows_them():
    row = RowOf(4, 330.0, "faces", True)
    placed = place_all([POST, rail(250.0, lie="along", row=row)])["rail"]
    heights = [b.point(0.0)[2] for b in placed.bodies]
    assert heights == pytest.approx([115.0, 205.0, 295.0, 385.0])
    assert placed.row.gap == pytest.approx(30.0)
    assert [b.id for b in placed.bodies] == [f"rail/{k}" for k in (1, 2, 3, 4)]


def test_a_bent_slat_is_laid_middle_on_middle():
    curve = chain(line(30.0), arc(500.0, 0.8), line(30.0))
    ends = [Spot(f"post/{side}", OwnPlace(at=400.0)) for side in ("left", "right")]
    slat = Item("slat", 50.0, 10.0, Spanning(*ends, lie="along"), MidLine(curve))
    body = one([POST, slat], "slat")
    a, b = body.point([0.0, body.length])
    assert 0.5 * (a + b) == pytest.approx([0.0, 0.0, 400.0], abs=1e-9)
    assert a[1] > 0 > b[1]
    assert body.axes(0.0)[:, 2] == pytest.approx([0, 0, 1], abs=1e-9)
    assert body.point(body.length / 2)[0] < -10.0  # bulges backwards, hollow to the front


# -- what cannot be placed ----------------------------------------------------------------


def test_a_circle_is_told_in_order():
    a = Item("a", 9.0, 9.0, Standing("side", on=Spot("b")), straight_line(9.0))
    b = Item("b", 9.0, 9.0, Standing("side", on=Spot("c")), straight_line(9.0))
    c = Item("c", 9.0, 9.0, Spanning(Spot("a"), Spot("b")))
    with pytest.raises(FrameError, match="circle: a -> b -> c -> a"):
        place_all([a, b, c])


@pytest.mark.parametrize(
    ("place", "words"),
    [
        (OwnPlace(at=501.0), "501 mm along post/left lies off its end"),
        (OwnPlace(from_end=-2.0), "502 mm along"),
        (OwnPlace(station="knee"), "no station 'knee'"),
        (OwnPlace(height=600.0), "does not pass a height of 600 mm"),
        (OwnPlace(height=100.0, nth=2), "100 mm 2 times"),
    ],
)
def test_places_off_a_part_are_refused(place, words):
    item = Item("rail", 9.0, 9.0, Spanning(Spot("post/left", place), Spot("post/right", place)))
    with pytest.raises(FrameError, match=words) as caught:
        place_all([POST, item])
    assert "part.rail" in caught.value.where
    assert caught.value.allowed


def test_a_row_that_runs_off_its_posts_is_refused():
    row = RowOf(3, 400.0, "middles")
    with pytest.raises(FrameError, match="lies off its end"):
        place_all([POST, rail(300.0, row=row)])


def test_names_that_are_not_there():
    for part, words in (("leg", "no placed part 'leg'"), ("post/3", "no 'post/3'")):
        item = Item("rail", 9.0, 9.0, Spanning(Spot(part), Spot("post/right")))
        with pytest.raises(FrameError, match=words):
            place_all([POST, item])
    several = Item("slat", 9.0, 9.0, Standing("plan", row=RowOf(3, 90.0)), straight_line(50.0))
    on = Item("rail", 9.0, 9.0, Standing("side", on=Spot("slat")), straight_line(50.0))
    with pytest.raises(FrameError, match="there are 3 of 'slat'"):
        place_all([several, on])


def test_no_room_between_two_posts():
    near = Item("post", 40.0, 36.0, Standing("side", (0, 12.0, 0), turn=math.pi / 2, mirror=True),
                straight_line(500.0))  # fmt: skip
    with pytest.raises(FrameError, match=r"does not leave|no room"):
        place_all([near, rail()])


def test_heights_on_an_arch_are_counted_along_it():
    arch = bent("arch", chain(line(300.0), arc(150.0, -math.pi), line(300.0), heading=math.pi / 2),
                30.0, 20.0)  # fmt: skip

    def height(s):
        return arch.point(s)[:, 2]

    up = find_station(OwnPlace(height=120.0), arch.line, "arch", height)
    down = find_station(OwnPlace(height=120.0, nth=2), arch.line, "arch", height)
    assert (up, arch.length - down) == pytest.approx((120.0, 120.0))


# -- probing ------------------------------------------------------------------------------


def test_nearest_places_are_exact():
    curve = chain(line(60.0), arc(140.0, 1.2), arc(300.0, -0.7), line(40.0))
    body = bent("b", curve, 30.0, 16.0, "front", (3, 4, 5), turn=0.3, swing=0.8)
    s = np.linspace(1.0, curve.length - 1.0, 57)
    z, w = 6.0 * np.sin(s), 9.0 * np.cos(s)
    found = local(body, body.point(s, z, w))
    assert found.s == pytest.approx(s, abs=1e-6)
    assert found.z == pytest.approx(z, abs=1e-9)
    assert found.w == pytest.approx(w, abs=1e-9)
    assert (found.depth < 0.0).all()


def test_outside_is_exact_at_every_face():
    body = bent("b", quarter(), 30.0, 16.0)
    asked = [(90.0, 8.5, 0.0), (90.0, -8.5, 0.0), (90.0, 0.0, 15.5), (90.0, 0.0, -15.5)]
    before = body.point(0.0) - 0.5 * body.tangent(0.0)
    points = np.array([*(body.point(*p) for p in asked), before])
    found = local(body, points)
    assert found.depth == pytest.approx(np.full(5, 0.5))
    assert [found.face(k) for k in range(5)] == ["left", "right", "near", "far", "start"]
    corner = local(body, body.point(90.0, 8.0 + 3.0, 15.0 + 4.0)[None])
    assert (corner.depth[0], corner.distance[0]) == pytest.approx((4.0, 5.0))


def test_a_line_through_a_bar_and_through_a_bend():
    beam = bar("b", 200.0, 40.0, 20.0, "side", turn=0.5)
    inside = beam.point(100.0)
    hit = way_out(beam, inside, beam.axes(0.0)[:, 1])
    assert (hit.t, hit.face, hit.s) == (pytest.approx(10.0), "left", pytest.approx(100.0))
    hoop = bent("h", quarter(300.0, 2.0), 30.0, 20.0)
    through = crossings(hoop, [0.0, 0.0, 300.0], [math.sin(1.0), 0.0, -math.cos(1.0)], 0.0, 400.0)
    assert [h.t for h in through] == pytest.approx([290.0, 310.0])
    assert [h.face for h in through] == ["left", "right"]
    assert through[0].s == pytest.approx(300.0)
