from __future__ import annotations

import math
from collections import Counter

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overbend.curve import ArcPath, arc, arc_path, chain, line
from overbend.draw import tile_plan as tile_plan_module
from overbend.draw.drawing import Area, Disc, Drawing, Label, Layer, Mark, Stroke
from overbend.draw.tile_plan import MARK_SIZE, OVERLAP, PAPERS, Tile, tile_plan
from overbend.draw.tiles import page_furniture, tile_drawing
from overbend.errors import OutputError

papers = st.sampled_from(sorted(PAPERS))


@st.composite
def drawings(draw):
    pieces = [
        arc(draw(st.floats(120, 1500)), draw(st.floats(0.1, 1.2)) * draw(st.sampled_from([1, -1])))
        for _ in range(draw(st.integers(1, 3)))
    ]
    curve = chain(line(draw(st.floats(5, 300))), *pieces, heading=draw(st.floats(-3.1, 3.1)))
    items = [Stroke(arc_path(curve), Layer.TARGET)]
    for _ in range(draw(st.integers(0, 2))):
        x, y = draw(st.floats(-700, 700)), draw(st.floats(-700, 700))
        items.append(Disc(x, y, draw(st.floats(2, 160))))
    return Drawing(tuple(items), "some")


def fine_points(drawing: Drawing) -> np.ndarray:
    parts = []
    for item in drawing.items:
        if isinstance(item, Disc):
            a = np.linspace(0, 2 * np.pi, 3000)
            ring = item.radius * np.column_stack([np.cos(a), np.sin(a)])
            parts.append(np.array([item.x, item.y]) + ring)
        elif isinstance(item, Stroke):
            xy = item.path.flatten(1e-3)
            t = np.linspace(0, len(xy) - 1, 6000)
            k = np.arange(len(xy))
            parts.append(np.column_stack([np.interp(t, k, xy[:, 0]), np.interp(t, k, xy[:, 1])]))
    return np.concatenate(parts)


def inside(points: np.ndarray, tile: Tile, keep: float = 0.0) -> np.ndarray:
    x0, y0, x1, y1 = tile.window
    low, high = np.array([x0 + keep, y0 + keep]), np.array([x1 - keep, y1 - keep])
    return ((points >= low) & (points <= high)).all(axis=1)


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.tuples(st.floats(-600, 600), st.floats(-600, 600)), min_size=2, max_size=60),
    st.tuples(st.floats(-170, 170), st.floats(-170, 170)),
    papers,
)
def test_points_are_told_apart_by_the_pages_that_show_them(places, origin, paper):
    """The kinds of points are those of looking through every window at every point."""
    points, sheet = np.array(places), tile_plan_module._sheets(paper)[0]
    axes = (tile_plan_module._Axis.cut(points[:, k], origin[k], sheet.step[k]) for k in (0, 1))
    grid = tile_plan_module._Grid(sheet, *axes)
    (column, row, across, up), counts = grid.kinds()
    assert counts.sum() == len(points)
    told, seen = Counter(), Counter()
    for kind, count in zip(zip(column, row, across, up, strict=True), counts, strict=True):
        x, y, dx, dy = map(int, kind)
        told[frozenset((x + a, y + b) for a in (0, dx) for b in (0, dy))] += int(count)
    low, high = int(min(column)) - 1, int(max(column)) + 2
    cells = [(x, y) for x in range(low, high) for y in range(int(min(row)) - 1, int(max(row)) + 2)]
    for point in points:
        tiles = [cell for cell in cells if inside(point[None], Tile(0, 0, grid.window(cell)), 1.5)]
        seen[frozenset(tiles)] += 1
    assert told == seen


@settings(max_examples=25, deadline=None)
@given(drawings(), papers)
def test_every_point_is_on_a_page_with_room_for_the_width_of_its_line(drawing, paper):
    plan = tile_plan(drawing, paper)
    points = fine_points(drawing)
    shown = np.any([inside(points, tile, 0.25) for tile in plan.tiles], axis=0)
    assert shown.all()


@settings(max_examples=25, deadline=None)
@given(drawings(), papers)
def test_marks_are_shared_whole_apart_and_on_the_cut(drawing, paper):
    plan = tile_plan(drawing, paper)
    at = {t.name: t for t in plan.tiles}
    assert [m.number for m in plan.marks] == list(range(1, len(plan.marks) + 1))
    for mark in plan.marks:
        under, over = at[mark.tiles[0]], at[mark.tiles[1]]
        place = np.array([[mark.x, mark.y]])
        assert inside(place, under, MARK_SIZE / 2)[0]
        assert inside(place, over, MARK_SIZE / 2)[0]
        cut = over.cell[0] - mark.x if over.row == under.row else over.cell[3] - mark.y
        assert cut == pytest.approx(0.0, abs=1e-9)
    seams = {m.tiles for m in plan.marks}
    for seam in seams:
        first, second = (m for m in plan.marks if m.tiles == seam)
        assert math.dist((first.x, first.y), (second.x, second.y)) > 40.0
    places = np.array([(m.x, m.y) for m in plan.marks])
    if len(places) > 1:
        apart = np.hypot(*(places[:, None] - places[None]).transpose(2, 0, 1))
        assert apart[np.triu_indices(len(places), 1)].min() > MARK_SIZE


@settings(max_examples=25, deadline=None)
@given(drawings(), papers)
def test_pages_hang_together_through_their_marks_and_start_at_a1(drawing, paper):
    plan = tile_plan(drawing, paper)
    joined, left = {plan.tiles[0].name}, {m.tiles for m in plan.marks}
    while True:
        more = {s for s in left if joined & set(s)}
        if not more:
            break
        left -= more
        joined |= {name for seam in more for name in seam}
    assert joined == {t.name for t in plan.tiles}
    assert min(t.row for t in plan.tiles) == min(t.column for t in plan.tiles) == 0


@settings(max_examples=25, deadline=None)
@given(drawings(), papers)
def test_no_page_is_printed_for_nothing(drawing, paper):
    plan = tile_plan(drawing, paper)
    points = fine_points(drawing)
    shown = np.array([inside(points, tile) for tile in plan.tiles])
    for k, tile in enumerate(plan.tiles):
        others = np.delete(shown, k, axis=0)
        alone = shown[k] & ~others.any(axis=0) if len(others) else shown[k]
        rest = [t for t in plan.tiles if t is not tile]
        assert tile.bridge or alone.any() or not _hangs_together(rest) or _tight(plan, points, k)


def _tight(plan, points, k) -> bool:
    """Whether what only this page shows with its margin lies on the others' very edges."""
    keep = [inside(points, tile, 1.6) for tile in plan.tiles]
    others = np.any([s for i, s in enumerate(keep) if i != k], axis=0)
    return bool((~others).any())


def _hangs_together(tiles) -> bool:
    cells = {(t.row, t.column) for t in tiles}
    edge = [next(iter(cells))]
    seen = set(edge)
    while edge:
        r, c = edge.pop()
        near = {(r + 1, c), (r - 1, c), (r, c + 1), (r, c - 1)} & cells - seen
        seen |= near
        edge += near
    return seen == cells


def test_a_mark_is_at_one_place_whichever_page_it_is_read_from():
    curve = chain(line(200), arc(700, 1.1), line(150), heading=-0.5)
    plan = tile_plan(Drawing((Stroke(arc_path(curve), Layer.TARGET),)), "a4")
    assert len(plan.tiles) > 4
    for tile in plan.tiles:
        drawn = [i for i in page_furniture(plan, tile).items if isinstance(i, Mark)]
        numbers = [i for i in page_furniture(plan, tile).items if isinstance(i, Label)]
        for mark, number in zip(drawn, numbers, strict=True):
            left, low, _, _ = plan.sheet.window
            model = (mark.x - left + tile.window[0], mark.y - low + tile.window[1])
            wanted = plan.marks[int(number.text) - 1]
            assert model == pytest.approx((wanted.x, wanted.y), abs=1e-9)
            assert tile.name in wanted.tiles


def test_window_is_inside_what_every_printer_reaches_and_clear_of_the_bars():
    for paper in PAPERS:
        plan = tile_plan(Drawing((Disc(0, 0, 500),)), paper)
        x0, y0, x1, y1 = plan.sheet.window
        assert min(x0, y0, plan.sheet.width - x1, plan.sheet.height - y1) >= 10.0
        for tile in plan.tiles:
            solids = [i for i in page_furniture(plan, tile).items if isinstance(i, Area)]
            assert len(solids) == 2
            for solid in solids:
                a0, b0, a1, b1 = Drawing((solid,)).bounds
                assert max(a1 - a0, b1 - b0) == pytest.approx(100.0)
                assert a0 >= 10.0
                assert b0 >= 10.0
                assert a1 < x0 - 0.5 or b1 < y0 - 0.5


def test_neighbours_overlap_by_the_stated_strip():
    plan = tile_plan(Drawing((Disc(0, 0, 300),)), "a4")
    right = [(t, plan.neighbour(t, 0, 1)) for t in plan.tiles if plan.neighbour(t, 0, 1)]
    down = [(t, plan.neighbour(t, 1, 0)) for t in plan.tiles if plan.neighbour(t, 1, 0)]
    assert right
    assert down
    for tile, other in right:
        assert tile.window[2] - other.window[0] == pytest.approx(OVERLAP)
    for tile, other in down:
        assert other.window[3] - tile.window[1] == pytest.approx(OVERLAP)


def test_small_things_take_one_page_and_a_long_straight_one_the_fewest():
    assert len(tile_plan(Drawing((Disc(900, -400, 80),)), "a4").tiles) == 1
    rail = ArcPath.polyline(np.array([[0.0, 0.0], [1500.0, 0.0]]))
    plan = tile_plan(Drawing((Stroke(rail, Layer.TARGET),)), "a4")
    assert plan.sheet.landscape
    shown = plan.sheet.window[2] - plan.sheet.window[0]
    fewest = math.ceil((1500 - OVERLAP) / (shown - OVERLAP))
    assert len(plan.tiles) == fewest
    upright = ArcPath.polyline(np.array([[0.0, 0.0], [0.0, 1500.0]]))
    assert not tile_plan(Drawing((Stroke(upright, Layer.TARGET),)), "a4").sheet.landscape


def test_the_inside_of_a_ring_is_skipped_but_that_of_a_hatch_is_not():
    ring = Drawing((Disc(0, 0, 640),))
    path = tile_plan(ring, "a4")
    boxes = {(t.row, t.column) for t in path.tiles}
    rows, columns = max(r for r, _ in boxes) + 1, max(c for _, c in boxes) + 1
    assert len(boxes) < rows * columns
    square = ArcPath.polyline(np.array([[0, 0], [900, 0], [900, 900], [0, 900.0]]), closed=True)
    full = tile_plan(Drawing((Area((square,), Layer.BAND),)), "a4")
    assert len(full.tiles) == len({(t.row, t.column) for t in full.tiles}) >= 20
    xs = np.linspace(1, 899, 90)
    grid = np.array([(x, y) for x in xs for y in xs])
    assert np.any([inside(grid, t) for t in full.tiles], axis=0).all()


def test_things_far_apart_are_bridged():
    plan = tile_plan(Drawing((Disc(0, 0, 20), Disc(900, 700, 20))), "a3")
    assert any(t.bridge for t in plan.tiles)
    assert _hangs_together(plan.tiles)


def test_a_page_carries_only_what_reaches_into_it():
    drawing = Drawing((Disc(0, 0, 20), Disc(900, 700, 20), Label(0, 60, "near")))
    plan = tile_plan(drawing, "a3")
    for tile in plan.tiles:
        kept = tile_drawing(drawing, tile).items
        for item in drawing.items:
            near = inside(np.array([[item.x, item.y]]), tile)[0]
            assert (item in kept) or not near
        assert not (tile.bridge and kept)


def test_row_letters_go_on_after_z():
    names = [Tile(r, 0, (0, 0, 1, 1)).name for r in (0, 25, 26, 51, 52)]
    assert names == ["A1", "Z1", "AA1", "AZ1", "BA1"]


@pytest.mark.parametrize("size", [40_000.0, 1e7])
def test_what_is_far_too_long_is_refused_at_once(size):
    rail = ArcPath.polyline(np.array([[0.0, 0.0], [size, 0.0]]))
    with pytest.raises(OutputError, match=r"too long: .* pages\n.*at most 150 pages"):
        tile_plan(Drawing((Stroke(rail, Layer.TARGET),), "too long"))


def test_the_limit_counts_the_pages_needed(monkeypatch):
    drawing = Drawing((Disc(0, 0, 300),))
    count = len(tile_plan(drawing).tiles)
    monkeypatch.setattr("overbend.draw.tile_plan.MOST_PAGES", count)
    assert len(tile_plan(drawing).tiles) == count
    monkeypatch.setattr("overbend.draw.tile_plan.MOST_PAGES", count - 1)
    with pytest.raises(OutputError, match=f"at least {count} pages"):
        tile_plan(drawing)


def test_unknown_paper_and_empty_drawing_are_refused():
    with pytest.raises(OutputError, match="'a5' is not known"):
        tile_plan(Drawing((Disc(0, 0, 9),)), "a5")
    with pytest.raises(OutputError, match="nothing to draw"):
        tile_plan(Drawing((), "nothing"))
