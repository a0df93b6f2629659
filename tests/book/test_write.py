"""The folder: what is in it, and that its numbers are the plan's."""

import csv
import io
import json

import ezdxf
import numpy as np
import pypdfium2 as pdfium
import pytest
import svgelements

from overbend.book import write_book
from overbend.curve import ArcPath
from overbend.draw.part_sheet import level_turn
from overbend.plan import open_plan
from support.pace import quiet_seconds
from support.pieces import EXAMPLES, LAMINATE, SOLID, plan_of


def text_of(pdf) -> str:
    document = pdfium.PdfDocument(pdf)
    return "\n".join(page.get_textpage().get_text_range() for page in document)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    out = tmp_path_factory.mktemp("write") / "book"
    write_book(plan_of(LAMINATE, SOLID), out)
    return out


def test_everything_is_there(folder):
    names = {str(p.relative_to(folder)) for p in folder.rglob("*") if p.is_file()}
    stems = {"bow-form", "bow-at-rest", "slat-form", "slat-at-rest"}
    templates = {f"templates/{s}.{kind}" for s in stems for kind in ("pdf", "dxf", "svg")}
    assert names == templates | {"book.pdf", "lists/strips.csv", "plan.json", "project.toml"}


def test_the_book_says_the_plans_numbers(folder):
    plan = plan_of(LAMINATE, SOLID)
    text = text_of(folder / "book.pdf")
    bow = plan.bent["bow"]
    assert "3 strips of 3 to 4.5 mm relax by" in text
    assert f"{bow.form.parts[0].check.chord:.1f}" in text
    assert "At the bench: bow" in text
    assert "TRIAL FORM" in text
    assert plan.fingerprint in text
    for word in ("Never seal a steam box", "not a certification", "Bent strips are springs"):
        assert word in text


def test_no_trial_form_is_stamped_on_cold_work(tmp_path):
    write_book(plan_of(LAMINATE), tmp_path / "cold")
    text = text_of(tmp_path / "cold" / "book.pdf")
    assert "TRIAL FORM" not in text
    assert "Never seal a steam box" not in text
    assert "TRIAL FORM" not in text_of(tmp_path / "cold" / "templates" / "bow-form.pdf")


def test_the_trial_form_is_stamped_on_the_template_too(folder):
    assert "TRIAL FORM" in text_of(folder / "templates" / "slat-form.pdf")


def test_the_strips_list_is_the_plans(folder):
    rows = list(csv.reader(io.StringIO((folder / "lists/strips.csv").read_text())))
    assert rows[0][:4] == ["part", "wood", "places_in_stack", "good"]
    assert rows[1][:4] == ["bow", "maple", "1 2", "6"]
    plan = plan_of(LAMINATE, SOLID)
    assert [float(r[5]) for r in rows[1:]] == pytest.approx([s.length for s in plan.strips])


def test_plan_json_is_readable(folder):
    assert json.loads((folder / "plan.json").read_text())["project"] == "Test piece"


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.stem)
def test_templates_give_the_forms_face_back(path, tmp_path):
    """DXF: audit clean, in mm, not empty, the face within 0.02 mm; SVG the same."""
    plan = open_plan(path)
    write_book(plan, tmp_path / "book")
    for part in plan.bent.values():
        numbers = [""] if len(part.form.parts) == 1 else ["-1", "-2"]
        for number, body in zip(numbers, part.form.parts, strict=True):
            base = tmp_path / "book" / "templates" / f"{part.name}-form{number}"
            turn = level_turn(part.glued)
            c, s = np.cos(turn), np.sin(turn)
            turned = body.face.point(body.face.samples(2.0)) @ np.array([[c, s], [-s, c]])
            assert farthest(turned, dxf_lines(base.with_suffix(".dxf"))) < 0.02
            assert svg_size(base.with_suffix(".svg")) > np.ptp(turned[:, 0])


def dxf_lines(path) -> np.ndarray:
    """Widest polyline of a DXF file, flattened to 0.001 mm from its own bulges."""
    doc = ezdxf.readfile(path)
    assert not doc.audit().has_errors
    assert doc.header["$INSUNITS"] == 4
    space = doc.modelspace()
    assert len(space) > 5
    paths = [ArcPath(np.array(e.get_points("xyb")), e.closed) for e in space.query("LWPOLYLINE")]
    return max((p.flatten(0.001) for p in paths), key=lambda p: np.ptp(p[:, 0]))


def farthest(points: np.ndarray, line: np.ndarray) -> float:
    """Greatest distance of any point from a chain of short straight lines."""
    a, v = line[:-1], np.diff(line, axis=0)
    size = np.maximum((v * v).sum(axis=1), 1e-18)
    worst = 0.0
    for p in points:
        t = np.clip(((p - a) * v).sum(axis=1) / size, 0.0, 1.0)
        worst = max(worst, float(np.hypot(*(a + t[:, None] * v - p).T).min()))
    return worst


def svg_size(path) -> float:
    """Width of an SVG file in mm."""
    return float(svgelements.SVG.parse(str(path), ppi=25.4).width)


def test_the_demo_book_is_quick(tmp_path):
    """The demo book in under 10 s of work: a busy machine's waiting does not count."""
    steps = []

    def write():
        write_book(open_plan(EXAMPLES[0]), tmp_path / "b", step=lambda *a: steps.append(a))

    assert quiet_seconds(write, 1) < 10.0
    assert steps[0][1] == 0
    assert steps[-1][1] == steps[-1][2]


@pytest.mark.parametrize("units", ["mm", "in"])
def test_units_can_be_chosen_for_the_book(tmp_path, units):
    path = next(p for p in EXAMPLES if p.stem == "low-stool")
    write_book(open_plan(path, units), tmp_path / "b", paper="a4")
    text = text_of(tmp_path / "b" / "book.pdf")
    assert ("177.8 mm" in text) == (units == "mm")
    assert ("7 in" in text) == (units == "in")
