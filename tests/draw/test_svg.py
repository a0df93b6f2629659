from __future__ import annotations

import io
import json
import math
import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overbend.curve import ArcPath
from overbend.draw.arcs import circle
from overbend.draw.drawing import Area, Disc, Drawing, Label, Layer, Mark, Pen, Stroke
from overbend.draw.svg import to_svg
from overbend.draw.theme import PRINT_FACE, THEMES
from overbend.draw.words import ENGLISH, MARK_WORDS

NS = "{http://www.w3.org/2000/svg}"
# Unequal on purpose: a left arc, a right arc over more than half a turn, a line.
PATH = ArcPath(
    np.array([[3.0, 7.0, 0.3], [90.0, 20.0, -1.4], [160.0, 70.0, 0.0], [171.0, 90.0, 0]])
)


def root_of(svg: str) -> ET.Element:
    return ET.fromstring(svg)


def demo() -> Drawing:
    return Drawing(
        (
            Stroke(PATH, Layer.TARGET, name="rocker & left"),
            Stroke(PATH.moved(0, 9), Layer.FORM, Pen.LONG_DASH),
            Area((circle(60, 60, 20), circle(60, 60, 8)), Layer.BAND),
            Area((circle(120, 40, 6),), Layer.BODY, "tint"),
            Disc(60, 60, 4, centre_lines=True),
            Mark(3, 7, "register"),
            Label(10, 60, "Ø 12", 3.5, "right", "top", 0.3),
            Label(60, 60, "on a hatch", clear=True),
        ),
        "Demo",
        "All kinds of items",
    )


@pytest.mark.parametrize("theme", ["light", "dark", "print", "page"])
def test_size_is_in_true_millimetres_at_the_scale(theme):
    drawing = Drawing((Disc(50, -20, 60), Disc(50, 80, 10)))
    root = root_of(to_svg(drawing, 0.5, margin=4.0, theme=theme))
    assert root.get("width") == "68mm"
    assert root.get("height") == "93mm"
    assert root.get("viewBox") == "0 0 68 93"


def test_circles_are_circles_and_short_arcs_for_the_typesetter():
    drawing = Drawing((Disc(50, -20, 60), Disc(50, 80, 10)))
    circles = root_of(to_svg(drawing, 0.5, margin=4.0)).findall(f".//{NS}circle")
    assert [(c.get("cx"), c.get("cy"), c.get("r")) for c in circles] == [
        ("34", "59", "30"),
        ("34", "9", "5"),
    ]
    printed = root_of(to_svg(drawing, 0.5, margin=4.0, theme="print"))
    assert printed.find(f".//{NS}circle") is None
    paths = [p.get("d") for p in printed.findall(f".//{NS}path")]
    assert [re.findall(r"A(\S+) ", d)[::8] for d in paths] == [["30", "30"], ["5", "5"]]


@pytest.mark.parametrize(("theme", "scale"), [("light", 1.0), ("print", 1.0), ("dark", 0.2)])
def test_path_read_by_another_program_is_the_same_curve_upside_down(theme, scale):
    from svgelements import SVG, Path

    drawing = Drawing((Stroke(PATH, Layer.TARGET),))
    x0, _, _, y1 = drawing.extent(scale)
    svg = SVG.parse(io.StringIO(to_svg(drawing, scale, margin=5.0, theme=theme)), ppi=25.4)
    path = next(e for e in svg.elements() if isinstance(e, Path)).reify()
    mm = np.array([[p.x, p.y] for t in np.linspace(0, 1, 400) for p in [path.point(t)]])
    model = np.column_stack([(mm[:, 0] - 5) / scale + x0, y1 - (mm[:, 1] - 5) / scale])
    from shapely import LineString, points

    true = LineString(PATH.flatten(1e-5))
    assert true.distance(points(model)).max() < 2e-3 / scale
    back = LineString(model)
    assert back.hausdorff_distance(true) < 0.5 / scale
    assert path.length() == pytest.approx(PATH.length * scale, rel=1e-4)


def test_arcs_stay_arcs_and_are_short_only_for_the_typesetter():
    drawing = Drawing((Stroke(PATH, Layer.TARGET),))
    screen = re.search(r'\bd="([^"]+)"', to_svg(drawing))
    printed = re.search(r'\bd="([^"]+)"', to_svg(drawing, theme="print"))
    assert screen
    assert printed
    assert screen[1].count("A") == 2
    assert re.findall(r"A\S+ \S+ 0 (\d) (\d)", screen[1]) == [("0", "0"), ("1", "1")]
    assert printed[1].count("A") > 10


def test_groups_carry_layer_words_in_painting_order_and_names_are_kept():
    root = root_of(to_svg(demo()))
    groups = [g.get("class") for g in root.findall(f"{NS}g")]
    assert groups == ["band", "body", "centre", "form", "target", "hole", "mark", "text"]
    assert root.find(f".//{NS}path[@data-name='rocker & left']") is not None
    assert root.find(f"{NS}title").text == "Demo"
    assert root.find(f"{NS}desc").text == "All kinds of items"
    assert root.get("role") == "img"


def test_dashes_and_widths_follow_the_pen_and_the_group():
    root = root_of(to_svg(demo(), wide=0.35))
    form = root.find(f".//{NS}g[@class='form']/{NS}path")
    assert form.get("stroke-width") == "0.35"
    assert form.get("stroke-dasharray") == "8.4 2.1"
    assert form.get("class") == "long-dash"
    assert root.find(f".//{NS}g[@class='mark']/{NS}path").get("stroke-width") == "0.175"


@pytest.mark.parametrize("theme", ["light", "dark", "print", "page"])
def test_nothing_is_fetched_and_every_reference_is_inside(theme):
    svg = to_svg(demo(), theme=theme)
    addresses = re.findall(r"https?://[^\"' )]+", svg)
    assert addresses == ["http://www.w3.org/2000/svg"]
    assert "<script" not in svg
    assert "<style" not in svg
    ids = set(re.findall(r' id="([^"]+)"', svg))
    assert set(re.findall(r"url\(#([^)]+)\)", svg)) == ids != set()


def test_print_writes_no_variables_and_page_sets_none():
    assert "var(" not in to_svg(demo(), theme="print")
    page = to_svg(demo(), theme="page")
    assert "var(--ink" in page
    assert "--ink:" not in page
    assert "<rect" not in page
    assert "--ink:#" in to_svg(demo(), theme="dark")


@given(st.text(), st.text(), st.sampled_from(["light", "print"]))
def test_any_text_gives_a_readable_file_with_that_text(title, text, theme):
    svg = to_svg(Drawing((Label(0, 0, text, name=title),), title), theme=theme)
    root = root_of(svg)
    legal = "".join(c for c in text if c in "\t\n\r" or (c >= " " and c not in "\ufffe\uffff"))
    legal = "".join(c for c in legal if not "\ud800" <= c <= "\udfff")
    read = "\n".join(s.text or "" for s in root.iter(f"{NS}tspan"))
    assert read.replace("\r", "\n") == legal.replace("\r", "\n")


def test_text_turns_with_the_model_and_hangs_from_its_anchor():
    label = Label(10, 20, "two\nlines", 5.0, "centre", "base", math.pi / 6)
    root = root_of(to_svg(Drawing((label,)), window=(0, 0, 40, 40)))
    text = root.find(f".//{NS}text")
    assert text.get("transform") == "rotate(-30 10 20)"
    assert text.get("text-anchor") == "middle"
    assert float(text.get("font-size")) == pytest.approx(5 / 0.716, abs=1e-3)
    assert [float(s.get("y")) for s in text] == pytest.approx([20 - 8.75, 20.0])


def luminance(colour: str) -> float:
    parts = [int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize("theme", list(THEMES))
@pytest.mark.parametrize("token", ["ink", "faint", "accent"])
def test_text_colours_stand_out_from_the_paper(theme, token):
    colours = THEMES[theme].colours
    light, dark = sorted((luminance(colours["paper"]), luminance(colours[token])), reverse=True)
    assert (light + 0.05) / (dark + 0.05) >= 4.5


def pdf_faces(text: str) -> set[str]:
    """Names of the faces the typesetter used for a drawing's text."""
    import ctypes

    import pypdfium2 as pdfium
    import pypdfium2.raw as raw
    import typst

    svg = to_svg(Drawing((Label(0, 0, text, 3.0),)), theme="print")
    source = b'#set page(width: 3000mm)\n#image(bytes(json(bytes(sys.inputs.d))), format: "svg")'
    pdf = typst.compile(source, sys_inputs={"d": json.dumps(svg)}, ignore_system_fonts=True)
    faces = set()
    document = pdfium.PdfDocument(pdf)
    for item in document[0].get_objects(filter=[raw.FPDF_PAGEOBJ_TEXT]):
        font = raw.FPDFTextObj_GetFont(item.raw)
        room = ctypes.create_string_buffer(200)
        raw.FPDFFont_GetBaseFontName(font, room, 200)
        faces.add(room.value.decode().split("+")[-1])
    document.close()
    return faces


def test_every_letter_drawings_use_is_in_the_print_face():
    fixed = "".join([*ENGLISH.values(), *MARK_WORDS.values()])
    used = set(fixed + "0123456789 .,-/'\"()%Ø°±×–′″½¼¾⅛⅜⅝⅞ RABCXYZabcxyz→≈≤≥µé") - {"\n"}
    faces = pdf_faces("".join(sorted(used)))
    assert len(faces) == 1
    assert faces.pop().startswith(PRINT_FACE.replace(" ", ""))


def test_the_coverage_test_sees_a_letter_that_is_missing():
    assert pdf_faces("12 \u2592 in") != {"LibertinusSerif-Regular"} == pdf_faces("12 in")
