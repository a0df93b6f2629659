"""Segments and points of a curve: added, cut, taken out, turned into one another."""

import math
import tomllib

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overbend.curve import ArcPath
from overbend.curve.arcs import path_distance
from overbend.errors import OverbendError, ProjectError
from overbend.plan import Plan
from overbend.project import build_curve, read
from overbend.units import Display
from overbend.web.comb import comb, lever_of
from overbend.web.draft import changed
from overbend.web.fields import Fields
from overbend.web.handles import handles_of, moved, stepped
from overbend.web.points import as_points, closeness, with_points, with_traced
from overbend.web.scene import Pane, scene
from overbend.web.segments import Drawn, nearest
from support.browser import PIECES

FILES = {p.stem: p for p in sorted(PIECES.glob("*.toml"))}
ROCKER = ("hearth-rocker", "rocker")
SLAT = ("hearth-rocker", "slat")
ARCH = ("low-stool", "arch")
RIB = ("slatted-bench", "rib")


def drawn(name, curve, text=None):
    return Drawn(read(text or FILES[name].read_text(), FILES[name]), curve)


def again(name, curve, text):
    return drawn(name, curve, text).curve


def raw(text, curve):
    return tomllib.loads(text)["curve"][curve]


def apart(a, b):
    """Greatest distance of a from b, both ways [mm]."""
    one, other = (ArcPath.polyline(c.point(c.even_grid(2001))) for c in (a, b))
    return max(
        path_distance(one, b.point(b.even_grid(301))).max(),
        path_distance(other, a.point(a.even_grid(301))).max(),
    )


def grip(name, curve, id, text=None):
    at = drawn(name, curve, text)
    fields = Fields(at.loaded, Display(at.loaded.project.units))
    found = {h.id: h for h in handles_of(curve, at.curve, fields)}
    return found[id], fields


# -- segments -----------------------------------------------------------------------------


@settings(max_examples=40, deadline=None)
@given(
    st.sampled_from([(*ROCKER, 0), (*ROCKER, 1), (*ROCKER, 2), (*SLAT, 0), (*SLAT, 1), (*ARCH, 0),
                     (*ARCH, 1), (*ARCH, 2)]),
    st.floats(0.05, 0.95),
)  # fmt: skip
def test_a_segment_cut_in_two_leaves_the_curve_as_it_was(which, share):
    name, curve, index = which
    before = drawn(name, curve)
    text = before.split(index, share)
    assert len(raw(text, curve)["segment"]) == len(before.table.segment) + 1
    after = again(name, curve, text)
    assert abs(after.length - before.curve.length) < 0.05
    assert apart(after, before.curve) < 0.3  # written to 0.01 mm and a tenth of a degree
    for station, s in before.curve.stations.items():
        assert abs(after.stations[station] - s) < 0.05


def test_an_expression_that_is_cut_still_follows_its_dimension():
    text = drawn(*ARCH).split(0, 0.4)
    first, second = raw(text, "arch")["segment"][:2]
    assert first["line"] == 2.7969
    assert second["line"] == "= leg - 2.7969 in"
    higher = changed(text, [("dimensions.height", 17)], FILES["low-stool"])
    longer = again(*ARCH, higher)
    both = longer.pieces[0].length + longer.pieces[1].length
    assert both == pytest.approx((17 - 7 - 1) * 25.4)


@pytest.mark.parametrize("kind", ["line", "arc", "easement"])
@pytest.mark.parametrize(("index", "before"), [(0, True), (0, False), (1, False), (2, False)])
def test_a_segment_of_any_kind_goes_anywhere(kind, index, before):
    at = drawn(*ROCKER)
    text = at.with_segment(index, kind, before=before)
    place = index if before else index + 1
    assert kind in raw(text, "rocker")["segment"][place]
    after = again(*ROCKER, text)
    assert len(after.pieces) == len(at.curve.pieces) + 1
    lost = [line for line in at.loaded.text.splitlines() if line not in text.splitlines()]
    assert lost == []


def test_a_new_arc_carries_on_the_one_beside_it():
    text = drawn(*SLAT).with_segment(1, "arc")
    added = raw(text, "slat")["segment"][2]["arc"]
    assert added == {"radius": 470, "angle": "15 deg"}


def test_a_segment_taken_out_leaves_comments_and_never_an_empty_curve():
    text = drawn(*ROCKER).without_segment(2)
    assert "# The slats lie in plan" in text
    assert len(raw(text, "rocker")["segment"]) == 2
    one = drawn(*ROCKER, text).without_segment(1)
    with pytest.raises(ProjectError, match="only segment"):
        drawn(*ROCKER, one).without_segment(0)


def test_two_easements_that_come_to_meet_keep_the_radius_they_had():
    table = (
        'schema = 1\nname = "X"\nunits = "mm"\n[curve.hook]\nsegment = [\n'
        "  { easement = { length = 200 } },\n  { arc = { radius = 300, angle = 40 } },\n"
        "  { easement = { length = 150 } },\n]\n"
    )
    at = Drawn(read(table), "hook")
    text = at.without_segment(1)
    curve = build_curve("hook", read(text).project)
    assert curve.pieces[0].kappa1 == pytest.approx(1 / 300)
    assert curve.pieces[1].kappa0 == pytest.approx(1 / 300)


def test_what_there_is_not_is_refused_and_nothing_changes():
    at = drawn(*ROCKER)
    for act in (
        lambda: at.split(3), lambda: at.split(-1), lambda: at.without_segment(9),
        lambda: at.with_point(100.0), lambda: at.without_point(0), lambda: at.after_point(0),
        lambda: drawn(*RIB).split(0), lambda: drawn("hearth-rocker", "none").split(0),
        lambda: at.with_station("front post"), lambda: at.with_station(" "),
    ):  # fmt: skip
        with pytest.raises(OverbendError):
            act()


# -- points -------------------------------------------------------------------------------


@settings(max_examples=25, deadline=None)
@given(st.floats(5.0, 880.0))
def test_a_point_added_lies_on_the_curve_and_hardly_changes_it(s):
    at = drawn(*RIB)
    try:
        text = at.with_point(s)
    except ProjectError:
        knots = [at.curve.stations[f"p{i + 1}"] for i in range(7)]
        assert min(abs(k - s) for k in knots) < 1.0
        return
    after = again(*RIB, text)
    assert len(raw(text, "rib")["through"]) == 8
    assert apart(after, at.curve) < 1.5  # a tenth of a millimetre at a point, close to another


def test_points_keep_their_order_and_two_stay():
    at = drawn(*RIB)
    text = at.after_point(2)
    points = raw(text, "rib")["through"]
    assert points[2] == [270, 34]
    assert points[4] == [395, 84]
    on = at.curve.point(nearest(at.curve, *points[3]))
    assert math.dist(on, points[3]) < 0.1
    beyond = raw(at.after_point(6), "rib")["through"][7]
    assert beyond[0] > 598
    assert beyond[1] > 510
    text = at.loaded.text
    for _ in range(5):
        text = drawn(*RIB, text).without_point(1)
    assert len(raw(text, "rib")["through"]) == 2
    with pytest.raises(ProjectError, match="two points"):
        drawn(*RIB, text).without_point(0)


@pytest.mark.parametrize(("which", "near"), [(ROCKER, 0.3), (SLAT, 0.3), (ARCH, 1.5)])
def test_segments_as_points_say_how_far_off_they_are(which, near):
    at = drawn(*which)
    offer = as_points(at)
    assert offer.deviation < near
    text = with_points(at, offer)
    after = again(*which, text)
    assert apart(after, at.curve) == pytest.approx(offer.deviation, abs=0.03)
    assert "segment" not in raw(text, which[1])
    for name, s in at.curve.stations.items():
        where = after.point(after.stations[name])
        # a station is written to 1/64 inch
        assert math.dist(where, at.curve.point(s)) < offer.deviation + 0.25
    assert as_points(at, len(offer.points) + 3).deviation != offer.deviation


def test_a_curve_of_a_drawing_becomes_points_and_only_then_takes_one_more(tmp_path):
    (tmp_path / "hook.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="200mm" '
        'viewBox="0 0 300 200"><path d="M0,200 C 120 200 260 150 300 20"/></svg>'
    )
    text = (
        'schema = 1\nname = "X"\nunits = "mm"\n\n[curve.hook]\nfile = "hook.svg"\nreverse = true\n'
    )
    text += "stations = { rail = 120 }\n"
    at = Drawn(read(text, tmp_path / "x.toml"), "hook")
    with pytest.raises(ProjectError, match="comes from a drawing"):
        at.at(100.0, 20.0)
    offer = as_points(at)
    fresh = with_points(at, offer)
    assert set(raw(fresh, "hook")) == {"through", "stations"}
    now = Drawn(read(fresh, tmp_path / "x.toml"), "hook")
    assert apart(now.curve, at.curve) == pytest.approx(offer.deviation, abs=0.03)
    assert math.dist(now.curve.point(0.0), at.curve.point(0.0)) < 0.1  # it still runs backwards
    assert len(raw(now.at(100.0, 20.0), "hook")["through"]) == len(offer.points) + 1


def test_more_points_come_nearer_and_points_are_not_turned_again():
    at = drawn(*ROCKER)
    few, many = as_points(at, 4), as_points(at, 12)
    assert many.deviation < 0.5 * few.deviation
    with pytest.raises(ProjectError, match="already"):
        as_points(drawn(*RIB))


def test_a_small_deviation_is_never_said_to_be_nothing():
    assert closeness(0.0, Display()) == "less than 0.01 mm"
    assert closeness(1.14, Display("in")) == "0.045 in"


def test_traced_points_become_a_curve_of_their_own_and_keep_the_old_one():
    at = drawn(*ROCKER)
    points = np.array([[0.0, 0.0], [210.04, -70.0], [500.0, -96.0], [800.0, -20.0]])
    text, said = with_traced(at.loaded, points, "rocker", "rocker-traced")
    project = tomllib.loads(text)
    assert project["part"]["rocker"]["curve"] == "rocker-traced"
    assert project["curve"]["rocker"]["segment"] == raw(at.loaded.text, "rocker")["segment"]
    table = project["curve"]["rocker-traced"]
    assert table["through"][1] == [210, -70]
    curve = again("hearth-rocker", "rocker-traced", text)
    old = at.curve.stations["rear post"] / at.curve.length
    assert table["stations"]["rear post"] / curve.length == pytest.approx(old, abs=1e-4)
    assert "front post" in said
    second, _ = with_traced(read(text, FILES["hearth-rocker"]), points, "", "rocker-traced")
    assert "rocker-traced-2" in tomllib.loads(second)["curve"]
    for bad in (points[:1], np.repeat(points, 20, axis=0), np.zeros((3, 2))):
        with pytest.raises(OverbendError):
            with_traced(at.loaded, bad, "", "x")


# -- handles ------------------------------------------------------------------------------


def after(which, edits):
    text = changed(FILES[which[0]].read_text(), edits, FILES[which[0]])
    return again(*which, text), text


def test_a_longer_tooth_is_a_tighter_end_and_none_is_straight():
    handle, fields = grip(*ROCKER, "segment.2.to")
    f = handle.frame
    wanted = 1 / 1200
    out = (wanted - f["kappa"]) * f["per"]
    edits = moved(handle, handle.x + out * f["ux"], handle.y + out * f["uy"], 1.0, fields)
    assert edits == [("curve.rocker.segment.2.easement.to_radius", 1200)]
    foot = f["kappa"] * f["per"]
    edits = moved(handle, handle.x - foot * f["ux"], handle.y - foot * f["uy"], 1.0, fields)
    assert edits[0][1] == "straight"
    curve, text = after(ROCKER, edits)
    assert curve.pieces[2].kappa1 == 0.0
    again_handle, fields = grip(*ROCKER, "segment.2.to", text)
    assert "straight" in again_handle.label
    assert stepped(again_handle, (0, 1), 1.0, fields)[0][1] == "straight"
    assert stepped(again_handle, (0, -1), 1.0, fields)[0][1] == 10000
    other = moved(handle, handle.x - 2 * foot * f["ux"], handle.y - 2 * foot * f["uy"], 1.0, fields)
    assert other[0][1] == -1900  # beyond straight it bends the other way


def test_an_end_that_carries_on_its_neighbour_is_held():
    text = drawn(*SLAT).with_segment(1, "easement")
    handle, fields = grip(*SLAT, "segment.2.from", text)
    assert handle.moves == ()
    with pytest.raises(ProjectError, match="carries on"):
        moved(handle, 0.0, 0.0, 1.0, fields)


@pytest.mark.parametrize(("which", "id", "way"), [(ROCKER, "heading", -1), (RIB, "end_heading", 1)])
def test_a_lever_points_where_it_is_pulled(which, id, way):
    handle, fields = grip(*which, id)
    f = handle.frame
    turned = f["angle"] + math.radians(12.0)
    x = f["x"] + way * 90.0 * math.cos(turned)
    y = f["y"] + way * 90.0 * math.sin(turned)
    curve, _ = after(which, moved(handle, x, y, 0.1, fields))
    s = 0.0 if way < 0 else curve.length
    assert math.degrees(float(curve.angle(s)) - turned) == pytest.approx(0.0, abs=0.06)


def test_the_start_takes_the_whole_curve_along():
    handle, fields = grip(*SLAT, "start")
    edits = moved(handle, 12.3, -45.6, 0.1, fields)
    curve, text = after(SLAT, edits)
    old = drawn(*SLAT).curve
    assert np.allclose(curve.point(200.0) - old.point(200.0), [12.3, -45.6])
    handle, fields = grip(*SLAT, "start", text)
    assert {m.along for m in handle.moves} == {"x", "y"}


def test_a_named_place_goes_to_the_nearest_place_of_the_curve_and_stays_on_it():
    text = drawn(*RIB).with_station("rail")
    handle, fields = grip(*RIB, "station.rail", text)
    at = drawn(*RIB, text).curve
    x, y = at.point(300.0) + 20.0 * at.normal(300.0)
    assert moved(handle, x, y, 1.0, fields)[0][1] == 300
    far = at.point(at.length) + 400.0 * at.tangent(at.length)
    assert moved(handle, *far, 1.0, fields)[0][1] <= at.length
    dotted = drawn(*RIB).with_station("no. 2")
    handle, _ = grip(*RIB, "station.no. 2", dotted)
    assert "dot" in handle.why


@settings(max_examples=30, deadline=None)
@given(
    st.floats(-2000.0, 2000.0),
    st.floats(-2000.0, 2000.0),
    st.sampled_from([5.0, 1.0, 0.1, 0.01]),
)
def test_wherever_a_handle_is_pulled_the_file_stays_readable(x, y, step):
    for which in (ROCKER, ARCH, RIB):
        at = drawn(*which)
        fields = Fields(at.loaded, Display(at.loaded.project.units))
        for handle in handles_of(which[1], at.curve, fields):
            own = all(move.key.startswith("curve.") for move in handle.moves)
            if handle.moves and own and handle.shape != "point":
                changed(at.loaded.text, moved(handle, x, y, step, fields), FILES[which[0]])


# -- the comb -----------------------------------------------------------------------------


def places(path):
    rows = [p for p in path.replace("M", " M").split(" M") if p.strip()]
    return [[tuple(map(float, q.split())) for q in row.lstrip("M").split("L")] for row in rows]


@pytest.mark.parametrize("which", [ROCKER, ARCH, RIB])
def test_a_tooth_is_as_long_as_the_strip_under_it_is_tight(which):
    file = FILES[which[0]]
    part = Plan(read(file.read_text(), file)).bent[which[1]]
    pane = Pane(200.0, 150.0)
    pane = Pane(200.0, 150.0, scene(part, pane, Display())["window"])
    drawn_comb = comb(part, pane)
    teeth = np.array([math.dist(*row) for row in places(drawn_comb["teeth"])])
    strain = part.risk.strain
    share = strain.stations / strain.stations[-1]
    kappa = np.interp(np.linspace(0, 1, len(teeth)), share, strain.kappa[strain.verdict.ply])
    lever = lever_of(part, pane.scale)
    assert teeth == pytest.approx(np.abs(kappa) * lever.per * pane.scale, abs=0.03)
    # the limit stands off the foot by as much as the tooth of a strip that just holds
    limit = lever.per / strain.verdict.tightest * pane.scale
    assert limit == pytest.approx(9.0)
    assert (teeth.max() < limit) == (strain.verdict.word == "holds")
