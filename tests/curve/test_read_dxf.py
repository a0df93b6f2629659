"""Curves from DXF drawings that the tests write themselves."""

import math

import ezdxf
import numpy as np
import pytest

from overbend.curve import (
    arc,
    arc_path,
    biggest_deviation,
    chain,
    easement,
    line,
    read_curve,
    read_drawing,
)
from overbend.errors import DrawingFileError

HOOK = chain(line(140), arc(90, 1.2), line(60), arc(150, -0.7), start=(20, -35), heading=0.4)
RUNNER = chain(
    line(300),
    easement(400, 0, 1 / 500),
    arc(500, 0.4),
    easement(600, 1 / 500, -1 / 300),
    line(100),
    start=(12, 7),
    heading=0.3,
)


@pytest.fixture
def drawing(tmp_path):
    """A new drawing in mm and what saves it."""

    class Sheet:
        def __init__(self):
            self.document = ezdxf.new("R2010", units=4)
            self.space = self.document.modelspace()

        def save(self, name="part.dxf"):
            self.document.saveas(tmp_path / name)
            return tmp_path / name

    return Sheet()


def rows(path, decimals=12):
    return [tuple(np.round(v, decimals)) for v in path.vertices]


def test_a_polyline_with_bulges_comes_back_exactly(drawing):
    drawing.space.add_lwpolyline(rows(arc_path(HOOK), 15), format="xyb")
    found = read_drawing(drawing.save())
    assert biggest_deviation(found.curve, HOOK) < 1e-9
    assert [p.length for p in found.curve.pieces] == pytest.approx([p.length for p in HOOK.pieces])
    assert found.deviation < 1e-9
    assert found.notes == ()


def test_the_arcs_of_a_clothoid_come_back_within_what_they_were_written_to(drawing):
    drawing.space.add_lwpolyline(rows(arc_path(RUNNER, 0.002), 15), format="xyb")
    assert biggest_deviation(read_curve(drawing.save()), RUNNER) < 0.002


@pytest.mark.parametrize("order", [(0, 1, 2, 3), (2, 0, 3, 1), (3, 1, 0, 2)])
def test_lines_and_arcs_join_in_any_order(drawing, order):
    ends = HOOK.point(HOOK.knots)

    def centre(i):
        s = HOOK.knots[i]
        x, y = HOOK.point(s) + HOOK.normal(s) / HOOK.pieces[i].kappa0
        return float(x), float(y), s

    def put(i):
        if i in (0, 2):
            a, b = (ends[i], ends[i + 1]) if i == 0 else (ends[i + 1], ends[i])  # third backwards
            drawing.space.add_line(tuple(a), tuple(b))
            return
        x, y, _ = centre(i)
        angles = [math.degrees(math.atan2(*(p - (x, y))[::-1])) for p in (ends[i], ends[i + 1])]
        radius = 1 / abs(HOOK.pieces[i].kappa0)
        left = HOOK.pieces[i].kappa0 > 0
        drawing.space.add_arc((x, y), radius, *(angles if left else angles[::-1]))

    for i in order:
        put(i)
    found = read_curve(drawing.save())
    wanted = HOOK if order[0] in (0, 1) else HOOK.reversed()
    assert biggest_deviation(found, wanted) < 1e-9


def test_an_old_polyline_reads_like_a_new_one(drawing):
    drawing.space.add_polyline2d(rows(arc_path(HOOK), 15), format="xyb")
    assert biggest_deviation(read_curve(drawing.save()), HOOK) < 1e-9


def test_a_flat_polyline_in_space_reads_like_a_plane_one(drawing):
    s = HOOK.even_grid(120)
    drawing.space.add_polyline3d([(x, y, 25.0) for x, y in HOOK.point(s)])
    assert biggest_deviation(read_curve(drawing.save()), HOOK) < 0.1


@pytest.mark.parametrize("decimals", [5, 4, 3])
def test_rounded_numbers_are_settled_into_tangent_arcs(drawing, decimals):
    drawing.space.add_lwpolyline(rows(arc_path(HOOK), decimals), format="xyb")
    found = read_drawing(drawing.save())
    assert len(found.curve.pieces) == 4
    assert [p.kappa0 == 0.0 for p in found.curve.pieces] == [True, False, True, False]
    assert found.deviation < 0.05
    assert biggest_deviation(found.curve, HOOK) < 60 * 10.0**-decimals


def test_entities_drawn_from_below_are_read_from_above(drawing):
    below = {"extrusion": (0, 0, -1)}
    mirrored = arc_path(HOOK.mirrored().moved(turn=math.pi))
    drawing.space.add_lwpolyline(rows(mirrored, 15), format="xyb", dxfattribs=below)
    assert biggest_deviation(read_curve(drawing.save()), HOOK) < 1e-9


def test_an_arc_drawn_from_below_turns_the_other_way(drawing):
    drawing.space.add_arc((-30, 10), 80, 20, 110, dxfattribs={"extrusion": (0, 0, -1)})
    found = read_curve(drawing.save())
    angle = math.radians(20)
    assert found.start == pytest.approx((30 - 80 * math.cos(angle), 10 + 80 * math.sin(angle)))
    assert found.pieces[0].kappa0 == pytest.approx(-1 / 80)


def test_a_circle_is_one_turn(drawing):
    drawing.space.add_circle((10, 20), 75)
    found = read_curve(drawing.save())
    assert found.turn == pytest.approx(2 * math.pi)
    assert found.length == pytest.approx(150 * math.pi)


def test_a_spline_is_followed_within_the_tolerance(drawing):
    control = [(0, 0), (90, 10), (200, 120), (330, 60), (470, 130), (520, 330)]
    spline = drawing.space.add_open_spline(control)
    tool = spline.construction_tool()
    found = read_drawing(drawing.save(), tolerance=0.05)
    fine = np.array([(p.x, p.y) for p in tool.points(np.linspace(0, tool.max_t, 1500).tolist())])
    dense = found.curve.point(found.curve.even_grid(20_000))
    gaps = [np.hypot(*(dense - p).T).min() for p in fine[::15]]
    assert max(gaps) < 0.05
    assert found.deviation < 0.05
    assert found.curve.angle(0.0) == pytest.approx(math.atan2(10, 90), abs=1e-5)
    assert "fair curve" in found.notes[0]


def test_a_closer_tolerance_follows_more_closely(drawing):
    control = [(0, 0), (90, 10), (200, 120), (330, 60), (470, 130), (520, 330)]
    drawing.space.add_open_spline(control)
    file = drawing.save()
    loose, close = read_drawing(file, tolerance=1.0), read_drawing(file, tolerance=0.002)
    assert close.deviation < 0.002
    assert len(close.curve.pieces) > len(loose.curve.pieces)


def test_a_spline_through_fit_points_is_read(drawing):
    points = RUNNER.point(RUNNER.even_grid(15))
    drawing.space.add_spline(fit_points=[tuple(p) for p in points])
    found = read_curve(drawing.save())
    assert np.abs(found.point(found.length) - points[-1]).max() < 1e-6
    dense = found.point(found.even_grid(20_000))
    assert max(np.hypot(*(dense - p).T).min() for p in points) < 0.05


def test_an_elliptical_arc_is_followed(drawing):
    drawing.space.add_ellipse((10, 20), (300, 100), 0.5, 0.3, 2.8)
    found = read_drawing(drawing.save(), tolerance=0.02)
    turn = -math.atan2(100, 300)
    c, s = math.cos(turn), math.sin(turn)
    xy = found.curve.point(found.curve.even_grid(300)) - (10, 20)
    u, v = c * xy[:, 0] - s * xy[:, 1], s * xy[:, 0] + c * xy[:, 1]
    a = math.hypot(300, 100)
    assert np.abs(np.hypot(u, 2 * v) - a).max() < 0.04  # twice the tolerance across the short axis
    assert found.deviation < 0.02


def test_a_line_running_into_a_spline_stays_exact(drawing):
    drawing.space.add_line((-150, 0), (0, 0))
    drawing.space.add_open_spline([(0, 0), (60, 0), (160, 40), (260, 130)])
    found = read_curve(drawing.save())
    assert (found.pieces[0].length, found.pieces[0].kappa0) == (150.0, 0.0)
    assert float(found.angle(150.0)) == 0.0


def test_many_short_lines_are_read_as_one_curve(drawing):
    # The shape is that of RUNNER; the long straight end pieces stay straight.
    drawing.space.add_lwpolyline(np.round(arc_path(RUNNER).flatten(0.01), 3).tolist())
    found = read_drawing(drawing.save())
    assert "short straight lines" in found.notes[0]
    assert biggest_deviation(found.curve, RUNNER) < 0.05
    assert found.curve.pieces[0].kappa1 == 0.0
    assert found.curve.pieces[0].length == pytest.approx(300.0, abs=0.01)


def test_a_part_drawn_twice_counts_once(drawing):
    drawing.space.add_line((0, 0), (140, 0))
    drawing.space.add_line((140, 0), (0, 0))
    assert read_curve(drawing.save()).length == pytest.approx(140.0)


@pytest.mark.parametrize(
    ("code", "size"), [(1, 25.4), (2, 304.8), (4, 1.0), (5, 10.0), (6, 1000.0), (10, 914.4)]
)
def test_units_of_the_file_are_kept_to(drawing, code, size):
    drawing.document.header["$INSUNITS"] = code
    drawing.space.add_line((0, 0), (7, 0))
    assert read_curve(drawing.save()).length == pytest.approx(7 * size, rel=1e-12)


def test_a_given_unit_counts_more_than_the_files(drawing):
    drawing.space.add_line((0, 0), (7, 0))
    assert read_curve(drawing.save(), unit="in").length == pytest.approx(177.8)


def test_blocks_are_taken_apart(drawing):
    block = drawing.document.blocks.new("runner")
    block.add_lwpolyline(rows(arc_path(HOOK), 15), format="xyb")
    drawing.space.add_blockref("runner", (30, 40), {"rotation": 25, "layer": "legs"})
    found = read_curve(drawing.save(), layer="legs")
    assert biggest_deviation(found, HOOK.moved(30, 40, math.radians(25))) < 1e-9


def test_layers_choose_and_hidden_ones_do_not_count(drawing):
    drawing.document.layers.add("dimensions").off()
    drawing.space.add_line((0, 0), (140, 0), {"layer": "Leg"})
    drawing.space.add_line((0, 50), (90, 50), {"layer": "rail"})
    drawing.space.add_line((5, 5), (17, 90), {"layer": "dimensions"})
    file = drawing.save()
    assert read_curve(file, layer="leg").length == pytest.approx(140)
    with pytest.raises(DrawingFileError, match=r"2 separate paths .*1 on 'Leg', 1 on 'rail'"):
        read_curve(file)
    with pytest.raises(DrawingFileError, match="layer 'seat'"):
        read_curve(file, layer="seat")


def test_without_a_unit_it_asks_for_one(drawing):
    drawing.document.header["$INSUNITS"] = 0
    drawing.space.add_line((0, 0), (14, 0))
    file = drawing.save()
    with pytest.raises(DrawingFileError, match="does not say its unit") as error:
        read_curve(file)
    assert error.value.where == "part.dxf"
    assert read_curve(file, unit="cm").length == pytest.approx(140)


def test_an_empty_model_space_is_refused(drawing):
    drawing.document.layout("Layout1").add_line((0, 0), (100, 0))
    with pytest.raises(DrawingFileError, match="model space is empty"):
        read_curve(drawing.save())


def test_corners_are_refused_with_their_places(drawing):
    drawing.space.add_lwpolyline([(0, 0), (100, 0), (100, 80), (220, 80)])
    with pytest.raises(
        DrawingFileError, match=r"\(100, 0\) mm by 90 degrees, \(100, 80\) mm by 90"
    ):
        read_curve(drawing.save())


def test_a_line_across_an_arc_is_a_corner_too(drawing):
    drawing.space.add_arc((0, 100), 100, 270, 300)
    drawing.space.add_line((-90, 10), (0, 0))
    with pytest.raises(DrawingFileError, match=r"corner at \(0, 0\) mm by 6.34 degrees"):
        read_curve(drawing.save())


def test_a_small_kink_between_long_lines_is_not_smoothed_away(drawing):
    drawing.space.add_lwpolyline([(0, 0), (500, 0), (1000, 5)])
    with pytest.raises(DrawingFileError, match="do not meet tangentially near"):
        read_curve(drawing.save())


def test_a_corner_among_short_lines_is_found(drawing):
    arcs = [(200 * math.sin(a), 200 - 200 * math.cos(a)) for a in np.linspace(0, 1, 12)]
    back = [(x, 2 * arcs[-1][1] - y) for x, y in arcs[-2::-1]]
    drawing.space.add_lwpolyline(arcs + back)
    with pytest.raises(DrawingFileError, match="corner at"):
        read_curve(drawing.save())


def test_a_branch_is_refused(drawing):
    for end in ((100, 0), (-60, 60), (-60, -60)):
        drawing.space.add_line((0, 0), end)
    with pytest.raises(DrawingFileError, match=r"3 lines meet at \(0, 0\)"):
        read_curve(drawing.save())


def test_a_path_out_of_the_plane_is_refused(drawing):
    drawing.space.add_line((0, 0, 0), (100, 0, 40))
    with pytest.raises(DrawingFileError, match="rises 40 mm"):
        read_curve(drawing.save())


def test_a_ring_with_one_corner_opens_there(drawing):
    tear = [(0, 0, 0.0), (100, 40, 3.0), (100, -40, 0.0)]
    half = math.atan2(40, 100)
    bulge = math.tan((math.pi + 2 * half) / 4)
    tear[1] = (100, 40, -bulge)
    drawing.space.add_lwpolyline(tear[1:] + tear[:1], format="xyb", close=True)
    found = read_curve(drawing.save())
    assert found.start == pytest.approx((0, 0), abs=1e-9)
    assert len(found.pieces) == 3


def test_a_size_no_part_has_is_refused(drawing):
    drawing.document.header["$INSUNITS"] = 6
    drawing.space.add_line((0, 0), (900, 0))
    with pytest.raises(DrawingFileError, match="9e\\+05 mm long"):
        read_curve(drawing.save())


def test_a_damaged_file_is_repaired_and_says_so(drawing):
    drawing.space.add_line((0, 0), (140, 0))
    file = drawing.save()
    lines = file.read_text().splitlines()
    at = lines.index("ENTITIES")
    file.write_text("\n".join([*lines[: at + 1], "999x", "stray", *lines[at + 1 :]]))
    found = read_drawing(file)
    assert found.curve.length == pytest.approx(140)
    assert "damaged" in found.notes[0]


@pytest.mark.parametrize(
    "content",
    [b"", b"garbage\nnot a drawing\n" * 40, bytes(range(256)) * 30, b"AC1027" + b"\0" * 200],
    ids=["nothing", "words", "bytes", "DWG"],
)
def test_what_is_no_dxf_is_refused(tmp_path, content, capfd):
    file = tmp_path / "odd.dxf"
    file.write_bytes(content)
    with pytest.raises(DrawingFileError, match=r"odd\.dxf"):
        read_curve(file)
    assert capfd.readouterr().err == ""


def test_large_missing_and_other_files_are_refused(tmp_path):
    large = tmp_path / "large.dxf"
    with large.open("wb") as stream:
        stream.truncate(10_000_001)
    with pytest.raises(DrawingFileError, match=r"10\.0 MB"):
        read_curve(large)
    with pytest.raises(DrawingFileError, match="cannot be opened"):
        read_curve(tmp_path / "none.dxf")
    with pytest.raises(DrawingFileError, match=r"ending in '\.step'"):
        read_curve(tmp_path / "part.step")
    with pytest.raises(DrawingFileError, match="the unit 'ell'"):
        read_curve(large, unit="ell")
