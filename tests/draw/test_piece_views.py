"""Views with hidden lines, the exploded view, story sticks, the GLB file."""

import json
import math
import struct

import numpy as np
import pytest
import shapely
import trimesh

from overbend.draw.drawing import Drawing, Label, Layer, Pen, Stroke
from overbend.draw.dxf import to_dxf
from overbend.draw.exploded import apart, exploded_drawing
from overbend.draw.glb import piece_glb
from overbend.draw.hidden import seen_lines, seen_points
from overbend.draw.joint_sheet import caul_drawing, different_fillers, piece_templates
from overbend.draw.legible import crossed_labels
from overbend.draw.piece_lines import piece_strokes
from overbend.draw.shapes import block_shape, body_shape, camera
from overbend.draw.stick_sheet import stick_drawing
from overbend.draw.svg import to_svg
from overbend.draw.tints import TINTS, wood_tint
from overbend.draw.views import VIEWS, round_about, view_camera, view_drawing, view_outline
from overbend.errors import OutputError
from overbend.frame import Block, WedgeCaul
from overbend.plan import open_plan
from support.bodies import bar, bent, quarter
from support.pieces import EXAMPLES, LAMINATE, plan_of

FRONT = view_camera("front")


@pytest.fixture(scope="module", params=EXAMPLES, ids=lambda p: p.stem)
def plan(request):
    return open_plan(request.param)


def lines(bodies, view=FRONT):
    return {one.name: one for one in seen_lines([body_shape(b, 0.1) for b in bodies], view)}


def length(segments):
    return float(np.linalg.norm(segments[:, 1] - segments[:, 0], axis=1).sum())


# -- what is seen -------------------------------------------------------------------------


def test_a_box_alone_shows_its_outline_once():
    one = lines([bar("a", 100.0, 30.0, 20.0, "front")])["a"]
    strokes = piece_strokes([one], 1.0)
    seen = shapely.union_all([shapely.LineString(s.path.vertices[:, :2]) for s in strokes])
    assert seen.length == pytest.approx(2 * (100.0 + 20.0))
    assert [s.pen for s in strokes] == [Pen.OUTLINE] * len(strokes)


def test_a_bar_behind_a_bar_is_hidden_where_it_is_covered():
    """From the front: a 40 mm post before a rail 300 long and 20 high that crosses it."""
    post = bar("post", 200.0, 30.0, 40.0, "front", (50.0, 0.0, -100.0), turn=math.pi / 2)
    rail = bar("rail", 300.0, 30.0, 20.0, "front", (0.0, -150.0, 0.0))
    found = lines([post, rail])
    for level in (-10.0, 10.0):
        edge = [s for s in found["rail"].hidden if np.abs(s[:, 1] - level).max() < 1e-9]
        assert min(s[:, 0].min() for s in edge) == pytest.approx(-20.0, abs=1e-3)
        assert max(s[:, 0].max() for s in edge) == pytest.approx(20.0, abs=1e-3)
        seen = [s for s in found["rail"].visible if np.abs(s[:, 1] - level).max() < 1e-9]
        assert {round(abs(float(x))) for s in seen for x in s[:, 0]} == {20, 150}
    assert length(found["post"].hidden) == 0.0


def test_a_slanting_bar_is_cut_where_it_goes_behind():
    """A bar that comes towards the viewer passes through the plane of a board's front."""
    board = bar("board", 200.0, 20.0, 200.0, "front", (0.0, -100.0, 0.0))
    rod = bar("rod", 400.0, 10.0, 10.0, "plan", (-150.0, 0.0, 0.0), turn=math.radians(20.0))
    found = lines([board, rod])["rod"]
    tan = math.tan(math.radians(20.0))
    edge_y = [float(s[np.argmax(s[:, 0])][0]) for s in found.hidden if np.ptp(s[:, 0]) > 1.0]
    crossing = sorted({round(y, 3) for y in edge_y})
    middle = (150.0 + 10.0) * tan
    half = 5.0 / math.cos(math.radians(20.0))
    assert any(abs(y - (middle - half)) < 0.2 for y in crossing)


def test_an_arch_hides_part_of_itself():
    arch = bent("arch", quarter(150.0, math.pi), 40.0, 20.0, "side", swing=math.pi / 3)
    one = lines([arch], camera(math.radians(-60.0), 0.3))["arch"]
    assert length(one.hidden) > 10.0
    assert length(one.visible) > length(one.hidden)


def test_bent_faces_turn_away_at_an_outline():
    """From above, a hoop on edge ends left and right at its widest place: a soft edge."""
    hoop = bent("hoop", quarter(100.0, math.pi), 30.0, 20.0, "side")
    one = lines([hoop], view_camera("plan"))["hoop"]
    right = max(float(s[:, 0].max()) for s in one.visible)
    assert right == pytest.approx(110.0, abs=0.11)
    walls = [s for s in one.visible if (s[:, 0] > 109.5).all()]
    assert length(np.array(walls)) == pytest.approx(30.0, abs=0.5)


def test_points_behind_something_are_known():
    board = bar("board", 200.0, 20.0, 200.0, "front", (0.0, -100.0, 0.0))
    points = np.array([[-50.0, 0.0, 0.0], [50.0, 0.0, 0.0], [-50.0, 150.0, 0.0]])
    assert seen_points(points, [body_shape(board, 0.1)], FRONT).tolist() == [False, True, True]


def test_hidden_lines_beside_seen_ones_are_left_out():
    """A board a millimetre smaller all round, behind another: 0.1 mm on paper at 1 to 10."""
    board = bar("board", 200.0, 20.0, 100.0, "front", (30.0, -100.0, 0.0))
    less = bar("less", 198.0, 20.0, 98.0, "front", (0.0, -99.0, 0.0))
    found = list(lines([board, less]).values())
    assert length(found[1].hidden) > 500.0
    assert all(s.pen is Pen.OUTLINE for s in piece_strokes(found, 0.1))
    dashed = [s for s in piece_strokes(found, 1.0) if s.pen is Pen.HIDDEN]
    assert sum(s.path.length for s in dashed) == pytest.approx(2 * (198.0 + 98.0))
    assert all(s.pen is Pen.OUTLINE for s in piece_strokes(found, 1.0, hidden=False))


def test_round_pins_are_closed_solids():
    pin = Block("dowel", "", True, np.zeros(3), np.array([1.0, 0, 0]), np.array([0, 1.0, 0]),
                8.0, 8.0, 30.0)  # fmt: skip
    faces = block_shape(pin, "pin").faces
    triangles = np.concatenate([faces[:, [0, 1, 2]], faces[:, [0, 2, 3]]]).reshape(-1, 3)
    mesh = trimesh.Trimesh(triangles, np.arange(len(triangles)).reshape(-1, 3))
    mesh.merge_vertices()
    mesh.update_faces(mesh.nondegenerate_faces())
    assert mesh.is_watertight
    assert mesh.volume == pytest.approx(pin.volume, rel=0.06)


# -- drawings of the examples -------------------------------------------------------------


@pytest.mark.parametrize("view", VIEWS)
def test_views_are_as_large_as_the_piece(plan, view):
    drawing = view_drawing(plan.piece, view, 0.1, plan.display)
    (x0, y0, z0), (x1, y1, z1) = plan.piece.box
    size = {"side": (x1 - x0, z1 - z0), "front": (y1 - y0, z1 - z0), "plan": (x1 - x0, y1 - y0)}
    u0, v0, u1, v1 = drawing.only(Layer.PART).bounds
    assert (u1 - u0, v1 - v0) == pytest.approx(size[view], abs=0.7)
    assert any(isinstance(i, Stroke) and i.pen is Pen.HIDDEN for i in drawing.items)
    assert crossed_labels(drawing, 0.1) == ()
    names = {i.name for i in drawing.only(Layer.PART).items}
    assert names & set(plan.piece.by_id)
    assert "<svg" in to_svg(drawing, 0.1)
    assert to_dxf(drawing, 0.1).startswith(b"  0")


@pytest.mark.parametrize("view", VIEWS)
def test_an_outline_is_as_large_as_the_view_with_all_its_lines(plan, view):
    whole = view_drawing(plan.piece, view, 0.1, plan.display)
    lines = whole.without(Layer.DIMENSION, Layer.TEXT, Layer.MARK)
    outline = view_outline(plan.piece, view, 0.1)
    assert outline.bounds == pytest.approx(lines.bounds, abs=0.01)
    assert len(outline.items) < len(lines.items)


def test_round_about_and_apart(plan):
    whole = round_about(plan.piece, 0.1)
    assert all(isinstance(i, Stroke) and i.pen is Pen.OUTLINE for i in whole.items)
    drawing = exploded_drawing(plan.piece, 0.1)
    texts = [i.text.split(",")[0] for i in drawing.items if isinstance(i, Label)]
    assert sorted(texts) == sorted(plan.piece.placed)
    assert crossed_labels(drawing, 0.1) == ()
    x0, y0, x1, y1 = whole.bounds
    u0, v0, u1, v1 = drawing.bounds
    assert (u1 - u0) + (v1 - v0) > (x1 - x0) + (y1 - y0)


def test_parts_move_against_the_way_they_go_in(plan):
    moves = apart(plan.piece.bodies, plan.piece.joints, 100.0)
    opened = [
        float((moves[j.contact.b] - moves[j.contact.a]) @ j.closing) for j in plan.piece.joints
    ]
    assert min(opened) > 20.0


def test_templates_are_full_size(plan):
    made = piece_templates(plan.piece, plan.display)
    sticks = [s for s in plan.piece.sticks if s.marks]
    assert sum("stick" in name for name in made) == len(sticks)
    for name, drawing in made.items():
        assert crossed_labels(drawing, 1.0) == (), name
    stick = sticks[0]
    drawing = stick_drawing(plan.piece, stick, plan.display)
    body = plan.piece.by_id[stick.ids[0]]
    outline = Drawing(tuple(i for i in drawing.items if i.layer is Layer.PART)).bounds
    faces = [body.length] if body.line.straight else [
        body.curve.offset(d).length for d in (body.depth / 2, -body.depth / 2)]  # fmt: skip
    assert outline[2] == pytest.approx(max(faces), abs=1e-6)


def test_the_benchs_thirteen_fillers_are_one_drawing():
    bench = open_plan(next(p for p in EXAMPLES if p.stem == "slatted-bench")).piece
    ((joint, count),) = different_fillers(bench.joints)
    assert count == 13
    assert joint.filler.angle == pytest.approx(joint.contact.angle, abs=0.02)


def test_a_caul_is_drawn_to_its_angle():
    drawing = caul_drawing(WedgeCaul(math.radians(18.0), 60.0, 40.0, 6.0, 25.5, "post"), "back",
                           open_plan(EXAMPLES[0]).display)  # fmt: skip
    assert drawing.only(Layer.BODY).bounds == pytest.approx((0.0, 0.0, 60.0, 25.5), abs=0.01)


# -- GLB ----------------------------------------------------------------------------------


def chunks(data):
    magic, version, size = struct.unpack_from("<4sII", data)
    assert (magic, version, size) == (b"glTF", 2, len(data))
    head, kind = struct.unpack_from("<I4s", data, 12)
    assert kind == b"JSON"
    return json.loads(data[20 : 20 + head])


def test_glb_loads_elsewhere_part_by_part(plan, tmp_path):
    file = tmp_path / "piece.glb"
    file.write_bytes(piece_glb(plan.piece, 0.05))
    scene = trimesh.load(file)
    assert set(scene.graph.nodes_geometry) == set(plan.piece.by_id)
    (x0, y0, z0), (x1, y1, z1) = plan.piece.box
    wanted = np.array([[y0, z0, x0], [y1, z1, x1]]) / 1000.0  # y up, z to the front, metres
    assert scene.bounds == pytest.approx(wanted, abs=4e-4)
    for name, body in plan.piece.by_id.items():
        matrix, geometry = scene.graph[name]
        mesh = scene.geometry[geometry].copy()
        mesh.apply_transform(matrix)
        mesh.merge_vertices(merge_norm=True, merge_tex=True)
        assert mesh.is_watertight
        assert mesh.volume == pytest.approx(body.volume * 1e-9, rel=2e-3)


def test_glb_has_normals_and_plain_wood(plan):
    data = chunks(piece_glb(plan.piece))
    assert all("NORMAL" in p["attributes"] for m in data["meshes"] for p in m["primitives"])
    for material in data["materials"]:
        assert material["pbrMetallicRoughness"]["metallicFactor"] == 0.0
        assert len(material["pbrMetallicRoughness"]["baseColorFactor"]) == 4
    assert len(data["meshes"]) <= len(data["nodes"])
    assert data["nodes"][0]["extras"]["part"] == plan.piece.bodies[0].kind


def test_nothing_placed_is_no_file():
    with pytest.raises(OutputError, match="nothing to draw"):
        piece_glb(plan_of(LAMINATE).piece)


def test_every_tint_is_a_colour():
    assert all(0.0 <= part <= 1.0 for word in TINTS for part in wood_tint(f"some-{word}"))
    assert wood_tint("red-oak") != wood_tint("white-oak")
    assert wood_tint("unheard-of") == wood_tint("")
