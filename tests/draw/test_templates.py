"""Templates: every line whole, everything named, each thing on its own layer, stamped."""

from __future__ import annotations

import functools
import io
import re

import ezdxf
import numpy as np
import pypdfium2 as pdfium
import pytest
import shapely

from overbend.draw.drawing import Disc, Drawing, Label, Layer, Stroke
from overbend.draw.dxf import to_dxf
from overbend.draw.form_sheet import form_template, part_template
from overbend.draw.legible import cleared, crossed_labels
from overbend.draw.part_sheet import level_turn
from overbend.draw.tile_plan import OVERLAP, tile_plan
from overbend.draw.tiles import tiles_pdf
from overbend.draw.title import TITLE, on_one_page, untitled
from overbend.plan import open_plan
from support.pieces import EXAMPLES

STAMP = "A piece, piece.toml 8a5a3c6f1e0f, 2026-03-01"
UNITS = ["mm", "in"]


@functools.cache
def plan_in(path, units):
    return open_plan(path, units)


@functools.cache
def forms(units) -> list[tuple[object, int, Drawing]]:
    """Every form body of every example with its template."""
    return [
        (part, index, form_template(part, index, True, STAMP))
        for path in EXAMPLES
        for part in plan_in(path, units).bent.values()
        for index in range(len(part.form.parts))
    ]


def labels(drawing) -> list[Label]:
    return [i for i in drawing.items if isinstance(i, Label)]


def said(drawing) -> str:
    return "\n".join(label.text for label in labels(drawing))


def turned(points, turn) -> np.ndarray:
    c, s = np.cos(turn), np.sin(turn)
    return np.asarray(points) @ np.array([[c, s], [-s, c]])


@pytest.mark.parametrize("units", UNITS)
def test_no_wiped_text_touches_the_face(units):
    for part, index, drawing in forms(units):
        body = part.form.parts[index]
        face = turned(body.face.point(body.face.samples(1.0)), level_turn(part.glued))
        line = shapely.LineString(face)
        final = cleared(drawing, 1.0)  # as the folder is written
        for label in labels(final):
            box = shapely.Polygon(label.box(1.0, grow=0.15 * label.size))
            assert not box.intersects(line), (part.name, label.text)
        assert crossed_labels(final, 1.0) == ()


@pytest.mark.parametrize("units", UNITS)
def test_a_part_at_rest_keeps_its_edges(units):
    for path in EXAMPLES:
        for part in plan_in(path, units).bent.values():
            drawing = cleared(part_template(part, STAMP), 1.0)
            outline = next(i for i in drawing.items if i.layer == Layer.TARGET)
            ring = shapely.LinearRing(outline.path.flatten(0.01))
            for label in labels(drawing):
                assert not shapely.Polygon(label.box(1.0, grow=0.4)).intersects(ring), label.text
            assert "reference end" in said(drawing)
            assert crossed_labels(drawing, 1.0) == ()


@pytest.mark.parametrize("units", UNITS)
def test_holes_pins_stop_and_clamps_are_named(units):
    for part, index, drawing in forms(units):
        body, text = part.form.parts[index], said(drawing)
        numbers = {int(n) for n in re.findall(r"^(?:clamp )?(\d+)$", text, re.MULTILINE)}
        assert numbers == {c.number for c in part.form.clamps}
        assert text.count("Ø") == len(body.holes) + len(body.pins)
        for kind in ("dowel", "screw"):
            assert text.count(f"{kind} Ø") == sum(pin.kind == kind for pin in body.pins)
        assert ("stop" in text.split("\n")) == (index == 0)


def test_diameters_are_in_the_readers_unit():
    texts = {units: "".join(said(drawing) for *_, drawing in forms(units)) for units in UNITS}
    assert "dowel Ø 8 mm" in texts["mm"]
    assert "dowel Ø 5/16 in" in texts["in"]


def test_the_name_stands_in_the_body_and_carries_the_stamp():
    for part, index, drawing in forms("mm"):
        title = [i for i in labels(drawing) if i.name == TITLE]
        words = "\n".join(i.text for i in title).replace("\n", ", ")
        several = len(part.form.parts) > 1
        what = f"form, half {index + 1}" if several else "form"
        assert words == f"{part.name}, {what}, TRIAL FORM, {STAMP}"
        ring = next(i for i in drawing.items if i.layer == Layer.BODY).path.flatten(0.1)
        body = shapely.Polygon(ring)
        assert all(body.contains(shapely.Polygon(i.box(1.0))) for i in title), part.name


def test_a_proven_form_is_not_called_a_trial():
    part = forms("mm")[0][0]
    assert "TRIAL" not in said(form_template(part, 0, False, STAMP))
    assert all(piece in said(part_template(part, STAMP)) for piece in STAMP.split(", "))


# -- DXF -----------------------------------------------------------------------------------


def test_a_router_that_follows_the_body_layer_cuts_the_outline_and_nothing_else():
    for part, index, drawing in forms("mm"):
        body = part.form.parts[index]
        space = ezdxf.read(io.StringIO(to_dxf(drawing).decode())).modelspace()
        on = {layer: space.query(f'*[layer=="{layer}"]') for layer in Layer}
        assert [e.dxftype() for e in on[Layer.BODY]] == ["LWPOLYLINE"]
        ring = on[Layer.BODY][0]
        assert ring.closed
        assert len(ring) == len(body.outline.vertices)
        radii = [round(2 * e.dxf.radius, 6) for e in on[Layer.HOLE]]
        assert radii == [h.diameter for h in body.holes]
        assert [2 * e.dxf.radius for e in on[Layer.PIN]] == [p.diameter for p in body.pins]
        assert len(on[Layer.STOP]) == (1 if index == 0 else 0)
        assert {e.dxftype() for e in on[Layer.CENTRE]} <= {"LWPOLYLINE"}
        clamps = [i for i in drawing.items if isinstance(i, Stroke) and i.layer == Layer.CENTRE]
        assert len(clamps) == len(part.form.clamps)
        marks = len({round(m.s, 1) for m in body.marks})
        assert len(on[Layer.MARK]) >= marks
        assert {e.dxftype() for e in on[Layer.TEXT]} <= {"TEXT", "MTEXT"}


def test_clamp_lines_lie_in_their_body():
    for part, index, drawing in forms("mm"):
        ring = next(i for i in drawing.items if i.layer == Layer.BODY).path.flatten(0.01)
        body = shapely.Polygon(ring).buffer(0.1)
        holes = [i for i in drawing.items if isinstance(i, Disc) and i.layer == Layer.HOLE]
        lines = [i for i in drawing.items if i.layer == Layer.CENTRE and isinstance(i, Stroke)]
        for line in lines:
            path = shapely.LineString(line.path.vertices[:, :2])
            assert body.contains(path), (part.name, index)
            assert path.length > 15.0
        assert len(holes) == len(part.form.parts[index].holes)


# -- on paper ------------------------------------------------------------------------------


def page_texts(pdf: bytes) -> list[str]:
    document = pdfium.PdfDocument(pdf)
    texts = [re.sub(r"\s+", " ", page.get_textpage().get_text_range()) for page in document]
    document.close()
    return texts


def test_every_page_carries_stamp_and_warning():
    _, _, drawing = forms("mm")[0]
    texts = page_texts(tiles_pdf(drawing, "a4", stamp=STAMP, warning="TRIAL FORM"))
    assert len(texts) > 3
    assert all(STAMP in text and "TRIAL FORM" in text for text in texts)
    calm = page_texts(tiles_pdf(untitled(drawing), "a4", stamp=STAMP))
    assert all(STAMP in text and "TRIAL FORM" not in text for text in calm)


@pytest.mark.parametrize("paper", ["a4", "letter", "a3"])
def test_the_name_is_on_one_page_whole(paper):
    for part, index, drawing in forms("mm"):
        plan = tile_plan(untitled(drawing), paper)
        windows = [tile.window for tile in plan.tiles]
        moved = on_one_page(drawing, windows)
        boxes = np.concatenate([i.box(1.0) for i in labels(moved) if i.name == TITLE])
        (x0, y0), (x1, y1) = boxes.min(axis=0), boxes.max(axis=0)
        clear = [
            w for w in windows
            if w[0] + OVERLAP < x0 and w[1] + OVERLAP < y0
            and x1 < w[2] - OVERLAP and y1 < w[3] - OVERLAP
        ]  # fmt: skip
        assert len(clear) == 1, (part.name, index, paper)
        assert crossed_labels(moved, 1.0) == ()
        assert untitled(moved).items == untitled(drawing).items


def test_a_name_with_no_room_on_any_page_stays_where_it_is():
    _, _, drawing = forms("mm")[0]
    assert on_one_page(drawing, [(0.0, 0.0, 40.0, 40.0)]) == drawing
    assert on_one_page(untitled(drawing), [(0.0, 0.0, 400.0, 400.0)]) == untitled(drawing)
