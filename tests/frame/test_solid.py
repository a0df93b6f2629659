"""Volume, surface and centre of swept parts against closed meshes of another package."""

import math

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from overbend.curve import arc, chain, easement, line
from overbend.errors import FrameError
from overbend.frame import Body, plane_pose, straight_line
from overbend.frame.solid import bounding_pairs
from support.bodies import bar, bent

WAVY = chain(
    line(80.0), easement(120.0, 0.0, 1 / 310), arc(310.0, 0.9), arc(170.0, -0.6), line(45.0),
    heading=0.3, start=(5.0, 9.0),
)  # fmt: skip


def closed(body, tolerance=0.02):
    mesh = body.mesh(tolerance)
    return trimesh.Trimesh(mesh.vertices, mesh.triangles)


def slanted(length=300.0, a=(-1.0, 0.1, -0.4), b=(1.0, 0.3, 0.2)):
    cuts = tuple(np.array(n) / np.linalg.norm(n) for n in (a, b))
    pose = plane_pose("front", (10.0, 20.0, 30.0), turn=0.4, tilt=0.2, swing=0.7)
    return Body("rail", "rail", straight_line(length), 47.0, 23.0, pose, cuts)


BODIES = [
    bent("wavy", WAVY, 46.0, 21.0, "side", (10, 20, 30), turn=0.4, tilt=0.2, swing=0.7),
    bent("tight", chain(arc(60.0, 2.6), line(30.0)), 30.0, 24.0, "plan", (1, 2, 3), turn=-0.5),
    bar("bar", 431.0, 57.0, 19.0, "front", (3, -4, 5), turn=0.7, tilt=-0.2),
    slanted(),
]


@pytest.mark.parametrize("body", BODIES, ids=lambda b: b.id)
def test_exact_sizes_against_a_closed_mesh(body):
    mesh = closed(body)
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    assert body.volume == pytest.approx(mesh.volume, rel=1e-3)
    assert body.area == pytest.approx(mesh.area, rel=1e-3)
    size = float(np.ptp(mesh.bounds, axis=0).max())
    assert np.abs(body.centroid - mesh.center_mass).max() < 1e-3 * size


def test_meshes_come_nearer_as_they_get_finer():
    body = BODIES[0]
    off = [abs(closed(body, tol).volume - body.volume) for tol in (0.4, 0.1, 0.02)]
    assert off[0] > 3.0 * off[1] > 9.0 * off[2]


def test_sawn_bars_are_exact():
    mesh, body = closed(slanted()), slanted()
    assert body.volume == pytest.approx(mesh.volume, rel=1e-12)
    assert body.area == pytest.approx(mesh.area, rel=1e-12)
    assert body.centroid == pytest.approx(mesh.center_mass, abs=1e-9)
    assert body.end_normal(1) == pytest.approx(body.mesh().normals[-1])
    assert body.end_normal(0) == pytest.approx(body.mesh().normals[-2])


@given(st.floats(80.0, 900.0), st.floats(-1.4, 1.4), st.floats(8.0, 40.0), st.floats(0.02, 1.0))
@settings(max_examples=25)
def test_mesh_stays_within_its_tolerance(radius, turn, depth, tolerance):
    curve = chain(line(30.0), arc(radius, turn if abs(turn) > 0.05 else 0.3))
    body = bent("b", curve, 20.0, depth)
    s = body.stations(tolerance)
    middles = 0.5 * (s[:-1] + s[1:])
    for z in (-depth / 2, depth / 2):
        chord = 0.5 * (body.point(s[:-1], z) + body.point(s[1:], z))
        assert np.linalg.norm(chord - body.point(middles, z), axis=1).max() <= 1.01 * tolerance


def test_a_line_of_many_pieces_needs_no_ring_for_each():
    many = chain(*[easement(2.0, k / 2e5, (k + 1) / 2e5) for k in range(300)])
    body = bent("fair", many, 30.0, 15.0)
    s = body.stations(0.1)
    assert len(s) < 150
    assert closed(body, 0.1).volume == pytest.approx(body.volume, rel=1e-3)


def test_normals_of_a_bar_look_outwards():
    body = BODIES[2]
    mesh = body.mesh()
    away = ((mesh.corners.mean(axis=1) - body.centroid) * mesh.normals).sum(axis=1)
    sizes = [body.width / 2, body.depth / 2, body.width / 2, body.depth / 2]
    assert away == pytest.approx([*sizes, body.length / 2, body.length / 2])


def test_extent_and_box():
    body = bar("bar", 200.0, 40.0, 20.0, "side", turn=math.pi / 6)
    low, high = body.extent([1.0, 0.0, 0.0])
    assert (low, high) == pytest.approx((-5.0, 200.0 * math.cos(math.pi / 6) + 5.0))
    assert body.box[0, 1] == -20.0
    assert body.box[1, 1] == 20.0


def test_only_straight_parts_have_slanting_ends():
    pose = plane_pose("side")
    with pytest.raises(FrameError, match="slanting end"):
        Body("b", "b", bent("b", WAVY, 10, 10).line, 10, 10, pose, (None, np.array([1.0, 0, 0])))
    with pytest.raises(FrameError, match="tolerance of 0"):
        BODIES[0].mesh(0.0)


def test_pairs_of_boxes_within_reach():
    places = enumerate((0.0, 25.0, 90.0))
    bars = [bar(f"b/{k}", 100.0, 20.0, 20.0, origin=(0.0, y, 0.0)) for k, y in places]
    assert bounding_pairs(bars, 1.0) == []
    assert bounding_pairs(bars, 5.0) == [(0, 1)]
    assert bounding_pairs(bars, 50.0) == [(0, 1), (1, 2)]
    assert bounding_pairs([], 1.0) == []
