from __future__ import annotations

import json
import math

import pytest

from overbend.draw.lettering import LINE_STEP, block, text_width, turned_box, upright
from overbend.draw.theme import PRINT_FACE, THEMES

TEXTS = [
    "R 1040",
    "1 082.5",
    "7' 2-1/2\"",
    "1-1/8 in",
    "Ø 12 × 30 ± 0.5",
    "8 to 15 mm",
    "trim",
    "WOODEN FORM, half 2",
    "rear post (left)",
    "41.9°",
    "mill 16 strips for 14",
]


@pytest.fixture(scope="module")
def measured():
    import typst

    source = (
        b"#let d = json(bytes(sys.inputs.data))\n"
        b"#context [#metadata(d.texts.map(t => measure(text(font: d.face, size: 1000pt, t))"
        b".width.pt())) <w>]"
    )
    data = {"data": json.dumps({"texts": TEXTS, "face": PRINT_FACE})}
    compiler = typst.Compiler(source, sys_inputs=data, ignore_system_fonts=True)
    return json.loads(compiler.query("<w>", field="value", one=True))


def test_room_is_enough_for_the_print_face_and_not_wasteful(measured):
    for text, points in zip(TEXTS, measured, strict=True):
        size = 1000 * THEMES["print"].capital
        assert 1.0 <= text_width(text, size) / points <= 1.35, text


def test_capital_height_of_the_print_face():
    import typst

    source = (
        f'#context [#metadata(measure(text(font: "{PRINT_FACE}", size: 1000pt, '
        'top-edge: "bounds", bottom-edge: "baseline", "H")).height.pt()) <h>]'
    )
    compiler = typst.Compiler(source.encode(), ignore_system_fonts=True)
    height = json.loads(compiler.query("<h>", field="value", one=True))
    assert height / 1000 == pytest.approx(THEMES["print"].capital, abs=1e-6)


def test_lines_of_a_block_hang_from_their_level():
    two = "first\nsecond line"
    assert block(two, 4.0, "left", "base").lines == ((4.0 * LINE_STEP, "first"), (0.0, two[6:]))
    top = block(two, 4.0, "right", "top")
    assert top.top == 0.0
    assert top.right == 0.0
    middle = block(two, 4.0, "centre", "middle")
    capitals = middle.top, middle.lines[-1][0]
    assert sum(capitals) == pytest.approx(0.0)
    assert middle.left == -middle.right


@pytest.mark.parametrize("degrees", range(-720, 721, 15))
def test_upright_never_reads_upside_down_and_keeps_the_line(degrees):
    angle = math.radians(degrees)
    turned = upright(angle)
    assert -math.pi / 2 + 1e-6 < turned <= math.pi / 2 + 1e-6
    assert math.sin(angle - turned) == pytest.approx(0.0, abs=1e-9)


def test_turned_box_is_the_box_turned():
    shape = block("abc", 5.0)
    corner = turned_box(shape, math.pi / 2)[1]
    assert corner.tolist() == pytest.approx([-shape.bottom, shape.right])
