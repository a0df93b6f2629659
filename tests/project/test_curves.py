"""Curves from curve tables, and curves from offsets."""

import math
from itertools import pairwise
from pathlib import Path

import ezdxf
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overbend.curve import Curve, OffsetCurve, Piece
from overbend.errors import CurveError, DrawingFileError, ProjectError
from overbend.project import Project, build_curve, curve_from_offset, load

HERE = Path(__file__).parent


def built(table, folder=Path(), units="mm"):
    raw = {"schema": 1, "name": "Piece", "units": units, "curve": {"edge": table}}
    return build_curve("edge", Project.model_validate(raw), folder)


def segments(*rows, **more):
    return built({"segment": list(rows), **more})


LINE = {"line": 120}
LEFT = {"arc": {"radius": 400, "angle": 30}}
RIGHT = {"arc": {"radius": 250, "angle": -40}}


def easement(**ends):
    return {"easement": {"length": 90, **ends}}


@pytest.mark.parametrize(
    ("rows", "kappas"),
    [
        ([LINE, easement(), LEFT], (0.0, 1 / 400)),
        ([RIGHT, easement(), LEFT], (-1 / 250, 1 / 400)),
        ([easement(), RIGHT], (0.0, -1 / 250)),
        ([LEFT, easement()], (1 / 400, 0.0)),
        ([LEFT, easement(to_radius=-900)], (1 / 400, -1 / 900)),
        ([LEFT, easement(from_radius="straight"), RIGHT], (0.0, -1 / 250)),
        ([LEFT, easement(from_radius=700, to_radius="straight"), RIGHT], (1 / 700, 0.0)),
        ([LEFT, easement(), easement(from_radius=-600), RIGHT], (1 / 400, -1 / 600)),
    ],
)
def test_easements_take_their_own_or_their_neighbours_curvature(rows, kappas):
    curve = segments(*rows)
    piece = next(p for p in curve.pieces if p.length == 90.0)
    assert (piece.kappa0, piece.kappa1) == pytest.approx(kappas, rel=1e-15, abs=1e-18)


def test_easements_that_meet_must_say_their_radius():
    with pytest.raises(CurveError) as caught:
        segments(LEFT, easement(), easement(), RIGHT)
    assert caught.value.where == "curve.edge.segment[2]"
    assert "to_radius here, or from_radius" in caught.value.todo


def test_start_heading_and_stations():
    curve = segments(
        {"line": 120, "name": "knee"}, LEFT, start=[30, -7], heading=75, stations={"slat 1": 45}
    )
    assert curve.start == (30.0, -7.0)
    assert curve.heading == pytest.approx(math.radians(75))
    assert curve.stations == {"knee": 120.0, "slat 1": 45.0}
    assert curve.turn == pytest.approx(math.radians(30))


@pytest.mark.parametrize(
    ("stations", "problem"), [({"far": 5000}, "far"), ({"knee": 12}, "named twice")]
)
def test_stations_that_cannot_be(stations, problem):
    with pytest.raises((CurveError, ProjectError), match=problem) as caught:
        segments({"line": 120, "name": "knee"}, stations=stations)
    assert caught.value.where.startswith("curve.edge.stations")


def test_through_meets_its_points_and_headings():
    points = [[0, 0], [180, 35], [400, 20]]
    curve = built({"through": points, "start_heading": 15, "end_heading": "-20 deg"})
    for name, point in zip(("p1", "p2", "p3"), points, strict=True):
        assert curve.point(curve.stations[name]) == pytest.approx(point, abs=1e-6)
    assert curve.angle(0.0) == pytest.approx(math.radians(15), abs=1e-9)
    assert curve.angle(curve.length) == pytest.approx(math.radians(-20), abs=1e-9)


def test_points_that_coincide_are_told_with_their_key():
    with pytest.raises(CurveError) as caught:
        built({"through": [[0, 0], [0, 0], [9, 9]]})
    assert caught.value.where.startswith("curve.edge.through")


@pytest.fixture
def drawing(tmp_path):
    document = ezdxf.new(units=ezdxf.units.MM)
    document.modelspace().add_lwpolyline(
        [(10, 20, 0), (110, 20, math.tan(math.radians(60) / 4)), (110 + 50 * math.sqrt(3), 70, 0)],
        format="xyb",
    )
    document.saveas(tmp_path / "edge.dxf")
    return tmp_path


def test_drawing_is_read_beside_the_project(drawing):
    curve = built({"file": "edge.dxf"}, drawing)
    assert curve.length == pytest.approx(100 + 100 * math.pi / 3, abs=1e-6)
    assert curve.start == pytest.approx((10, 20))


def test_drawing_is_moved_turned_and_reversed(drawing):
    plain = built({"file": "edge.dxf"}, drawing)
    table = {"file": "edge.dxf", "reverse": True, "start": [5, 6], "heading": 90}
    curve = built(table, drawing)
    assert curve.start == (5.0, 6.0)
    assert math.cos(curve.heading) == pytest.approx(0.0, abs=1e-12)
    assert curve.kappa(0.0) == pytest.approx(-plain.kappa(plain.length))
    chord = np.hypot(*(curve.point(curve.length) - curve.point(0.0)))
    assert chord == pytest.approx(np.hypot(*(plain.point(plain.length) - plain.point(0.0))))


def test_missing_drawing_is_told_with_its_key(tmp_path):
    with pytest.raises(DrawingFileError) as caught:
        built({"file": "none.dxf"}, tmp_path)
    assert caught.value.where.startswith("curve.edge.file")


@pytest.mark.parametrize("name", ["sample.toml", "sample_mm.toml"])
def test_every_curve_of_the_samples_is_built(name):
    loaded = load(HERE / name)
    for curve in loaded.project.curve:
        assert build_curve(curve, loaded.project, loaded.folder).length > 100.0


# -- offsets -------------------------------------------------------------------------


def test_offsets_of_lines_and_arcs_are_exact():
    curve = Curve((Piece(80, 0, 0), Piece(150, 1 / 300, 1 / 300), Piece(40, -0.01, -0.01)))
    offset = curve_from_offset(curve.offset(17.0))
    assert len(offset.pieces) == 3
    expected = [80.0, 150 - 17 * 0.5, 40 + 17 * 0.4]
    assert [p.length for p in offset.pieces] == pytest.approx(expected, rel=1e-13)
    assert offset.pieces[1].kappa0 == pytest.approx(1 / 283, rel=1e-13)
    assert offset.point(offset.length) == pytest.approx(curve.offset(17.0).point(270.0), abs=1e-9)


PIECES = st.builds(
    Piece,
    st.floats(20, 400),
    st.floats(-1 / 150, 1 / 150),
    st.floats(-1 / 150, 1 / 150),
)


@given(st.lists(PIECES, min_size=1, max_size=4), st.floats(-60, 60), st.floats(0, 1))
def test_offset_curve_runs_along_the_offset(pieces, d, share):
    base = Curve(tuple(pieces), (3.0, -8.0), 0.4)
    station = share * base.length
    offset = OffsetCurve(Curve(base.pieces, base.start, base.heading, {"mark": station}), d)
    curve = curve_from_offset(offset)
    s = base.even_grid(1501)
    own = np.clip(offset.along(s), 0, curve.length)
    assert np.hypot(*(curve.point(own) - offset.point(s)).T).max() < 0.0011
    assert curve.length == pytest.approx(offset.length, rel=1e-12)
    assert curve.turn == pytest.approx(base.turn, abs=1e-12)
    mark = curve.point(curve.stations["mark"])
    assert mark == pytest.approx(offset.point(station), abs=0.0011)


def test_easement_offset_has_no_jump_of_curvature():
    base = Curve((Piece(100, 0, 0), Piece(300, 0, 1 / 200), Piece(100, 1 / 200, 1 / 200)))
    pieces = curve_from_offset(base.offset(60.0)).pieces
    jumps = [b.kappa0 - a.kappa1 for a, b in pairwise(pieces)]
    assert len(pieces) > 4
    assert np.abs(jumps).max() < 1e-15


def test_coarse_tolerance_takes_fewer_pieces():
    offset = Curve((Piece(500, 0, 1 / 150),)).offset(60.0)
    assert len(curve_from_offset(offset, 1.0).pieces) < len(curve_from_offset(offset).pieces)


def test_offset_past_the_radius_is_refused():
    with pytest.raises(CurveError, match="folds over"):
        curve_from_offset(Curve((Piece(200, 0, 1 / 90),)).offset(91.0))


@pytest.mark.parametrize("left", [1e-6, 1.7])
def test_offset_that_all_but_folds_is_refused(left):
    offset = Curve((Piece(200, 0, 1 / 90),)).offset(90.0 - left)
    with pytest.raises(CurveError, match="all but folds over"):
        curve_from_offset(offset)


def test_tight_offset_is_still_near():
    offset = Curve((Piece(200, 0, 1 / 90), Piece(50, 1 / 90, 0))).offset(88.0)
    curve = curve_from_offset(offset)
    s = offset.base.even_grid(3001)
    own = np.clip(offset.along(s), 0, curve.length)
    assert np.hypot(*(curve.point(own) - offset.point(s)).T).max() < 0.0011
