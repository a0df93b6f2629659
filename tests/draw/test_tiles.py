from __future__ import annotations

import functools
import re

import numpy as np
import pypdfium2 as pdfium
import pytest
from scipy.spatial import cKDTree

from overbend.curve import arc, arc_path, chain, easement, line
from overbend.draw.drawing import Disc, Drawing, Label, Layer, Stroke
from overbend.draw.tile_plan import PAPERS, tile_plan
from overbend.draw.tiles import tiles_pdf
from overbend.draw.words import ENGLISH, say
from overbend.errors import OutputError
from support import paper_bench as bench
from support.pace import quiet_seconds

# 1.3 m long, unlike from end to end: straight, easing in, two radii, turning back, straight.
CURVE = chain(
    line(110.0),
    easement(180.0, 0.0, 1 / 620),
    arc(620.0, 0.62),
    easement(140.0, 1 / 620, -1 / 900),
    arc(900.0, -0.25),
    line(260.6),
    heading=-0.41,
)
LINE_WIDTH = 0.35


@functools.cache
def printed(paper: str) -> tuple[bytes, list]:
    drawing = Drawing((Stroke(arc_path(CURVE), Layer.TARGET),), "One curve")
    pdf = tiles_pdf(drawing, paper, title="One curve", about="To be joined")
    return pdf, bench.read_pages(pdf)


def misfit(points: np.ndarray) -> tuple[np.ndarray, np.ndarray, float]:
    """Joined ink laid rigidly on the true curve.

    Returns arc length and signed distance of every pixel, and how much longer the ink is.
    """
    s = np.linspace(0.0, CURVE.length, 40_001)
    true, normal = CURVE.point(s), CURVE.normal(s)
    tree = cKDTree(true)
    xy = points + true.min(axis=0) - points.min(axis=0)
    for _ in range(12):
        k = tree.query(xy)[1]
        gap = ((xy - true[k]) * normal[k]).sum(axis=1)
        n = normal[k]
        lever = -n[:, 0] * xy[:, 1] + n[:, 1] * xy[:, 0]
        dx, dy, turn = np.linalg.lstsq(np.column_stack([n, lever]), -gap, rcond=None)[0]
        c, t = np.cos(turn), np.sin(turn)
        xy = xy @ np.array([[c, t], [-t, c]]) + np.array([dx, dy])
    k = tree.query(xy)[1]
    ends = [(xy - CURVE.point(e)) @ CURVE.tangent(e) for e in (0.0, CURVE.length)]
    near = [k < 3000, k > len(s) - 3000]  # within the straight 90 mm at either end
    longer = ends[1][near[1]].max() - ends[0][near[0]].min()
    return s[k], ((xy - true[k]) * normal[k]).sum(axis=1), float(longer)


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_pages_joined_by_their_marks_give_the_curve_back(paper):
    _, pages = printed(paper)
    assert len(pages) >= 6
    laid, marks_apart = bench.join(pages)
    s, gap, longer = misfit(np.concatenate(list(laid.values())))
    assert np.abs(gap).max() < LINE_WIDTH / 2 + 0.2
    bins = np.arange(0.0, CURVE.length + 2.0, 2.0)
    count, _ = np.histogram(s, bins)
    total, _ = np.histogram(s, bins, weights=gap)
    assert count[:-1].min() > 10  # no gap anywhere along 1.3 m
    middle = total / np.maximum(count, 1)
    worst = np.abs(middle).max()
    print(f"{paper}: joined within {worst:.3f} mm, {longer:+.3f} longer")
    assert worst < 0.2
    assert abs(longer) < 0.2
    assert marks_apart < 0.1


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_check_bars_measure_100_both_ways_on_every_page(paper):
    pdf, pages = printed(paper)
    lengths = np.array([bench.bars(page) for page in pages])
    print(f"{paper}: bars {lengths.min():.3f} to {lengths.max():.3f} mm")
    assert np.abs(lengths - 100.0).max() < 0.1
    _, grey, px = bench.rasters(pdf, 300)[0]
    none = np.empty((0, 2))
    front = bench.Page("", grey, px, pages[0].frame, none, none)
    assert bench.bars(front) == pytest.approx((100.0, 100.0), abs=0.1)


def shrunk(page, share: float):
    """The page as a printer that fits to its margins gives it."""
    frame = tuple(share * v for v in page.frame)
    marks, ink = share * page.marks, share * page.ink
    return bench.Page(page.name, page.grey, share * page.px, frame, marks, ink)


def test_the_bench_notices_a_printer_that_shrinks_to_fit():
    _, pages = printed("a4")
    small = [shrunk(page, 0.99) for page in pages]
    assert np.abs(np.array([bench.bars(page) for page in small]) - 99.0).max() < 0.1
    laid, _ = bench.join(small)
    _, gap, longer = misfit(np.concatenate(list(laid.values())))
    assert np.abs(gap).max() > LINE_WIDTH / 2 + 0.2
    assert longer == pytest.approx(-0.01 * CURVE.length, abs=1.0)


def test_pages_joined_all_round_a_ring_meet_again():
    pages = bench.read_pages(tiles_pdf(Drawing((Disc(40, 0, 260),), "ring")))
    laid, marks_apart = bench.join(pages)
    ink = np.concatenate(list(laid.values()))
    A = np.column_stack([2 * ink, np.ones(len(ink))])
    x, y, k = np.linalg.lstsq(A, (ink**2).sum(axis=1), rcond=None)[0]
    gap = np.hypot(ink[:, 0] - x, ink[:, 1] - y) - 260.0
    assert marks_apart < 0.1
    assert np.abs(gap).max() < LINE_WIDTH / 2 + 0.1
    assert np.sqrt(k + x**2 + y**2) == pytest.approx(260.0, abs=0.02)


def test_page_sizes_are_those_of_the_paper():
    drawing = Drawing((Disc(0, 0, 60),), "ring")
    for paper, sides in PAPERS.items():
        document = pdfium.PdfDocument(tiles_pdf(drawing, paper))
        for page in document:
            assert sorted(v * 25.4 / 72 for v in page.get_size()) == pytest.approx(
                sorted(sides), abs=0.01
            )
        document.close()


def page_texts(pdf: bytes) -> list[str]:
    document = pdfium.PdfDocument(pdf)
    texts = [re.sub(r"\s+", " ", page.get_textpage().get_text_range()) for page in document]
    document.close()
    return texts


def test_every_page_says_what_it_is_and_how_to_print_it():
    pdf, pages = printed("a4")
    texts = page_texts(pdf)
    for k, text in enumerate(texts):
        assert "One curve" in text
        assert say(ENGLISH, "full_size") in text
        assert say(ENGLISH, "page_of", page=k + 1, pages=len(texts)) in text
    plan = tile_plan(Drawing((Stroke(arc_path(CURVE), Layer.TARGET),)), "a4")
    assert [page.name for page in pages] == [tile.name for tile in plan.tiles]
    for key in ("step_print", "step_measure", "step_cut", "step_lay"):
        assert say(ENGLISH, key) in texts[0]
    for tile in plan.tiles:
        assert tile.name in texts[0]


def test_the_map_gives_one_true_distance_to_check():
    pdf, pages = printed("a4")
    text = page_texts(pdf)[0]
    found = re.search(
        r"from cross (\d+) \(on (\w+)\) to cross (\d+) \(on (\w+)\): ([\d.]+) mm", text
    )
    assert found
    laid, _ = bench.join(pages)
    plan = tile_plan(Drawing((Stroke(arc_path(CURVE), Layer.TARGET),)), "a4")
    a, b = (plan.marks[int(found[k]) - 1] for k in (1, 3))
    assert float(found[5]) == pytest.approx(np.hypot(a.x - b.x, a.y - b.y), abs=0.06)
    assert {found[2], found[4]} <= set(laid)


def test_neighbours_named_in_the_joins_name_each_other():
    pdf, pages = printed("letter")
    texts = dict(zip([p.name for p in pages], page_texts(pdf)[1:], strict=True))
    pairs = {
        (name, other): marks
        for name, text in texts.items()
        for other, marks in re.findall(r"lay it over (\w+): crosses (\d+ and \d+)", text)
    }
    assert pairs
    for (over, under), marks in pairs.items():
        assert re.search(rf"{over} goes over the \w+ edge: crosses {marks}", texts[under])


def test_hostile_words_are_only_words():
    title = '#panic("no") $x$ *bold* <b>&amp; \\ [x] "q" @ref'
    drawing = Drawing((Disc(0, 0, 60), Label(0, 0, "#let <x> & \\n")), title, "#set page()")
    text = page_texts(tiles_pdf(drawing, notes=["= not a heading", '#import "@preview/x:1"']))
    assert '#panic("no") $x$ *bold*' in text[0]
    assert "= not a heading" in text[0]
    assert "#let <x> &" in text[1]


def test_the_same_drawing_gives_the_same_file_and_soon():
    drawing = Drawing((Stroke(arc_path(CURVE.extended(150, 150)), Layer.TARGET),), "long")
    first = tiles_pdf(drawing)
    again = []
    assert quiet_seconds(lambda: again.append(tiles_pdf(drawing)), 2) < 2.0
    assert again == [first, first]


def test_nothing_to_print_is_refused():
    with pytest.raises(OutputError, match="nothing to draw"):
        tiles_pdf(Drawing((), "nothing"))
