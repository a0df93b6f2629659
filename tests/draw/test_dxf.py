from __future__ import annotations

import io
import math

import ezdxf
import numpy as np
import pytest
from ezdxf import recover
from ezdxf.path import make_path

from overbend.curve import arc, arc_path, chain, easement, line
from overbend.draw.arcs import circle
from overbend.draw.drawing import Area, Disc, Drawing, Label, Layer, Mark, Pen, Stroke
from overbend.draw.dxf import to_dxf
from overbend.errors import OutputError

CURVE = chain(
    line(130.0), easement(210.0, 0.0, 1 / 480), arc(480.0, 0.6), arc(300.0, -0.4), line(90.0),
    start=(12.0, -40.0), heading=0.35,
)  # fmt: skip


def read(data: bytes):
    return ezdxf.read(io.StringIO(data.decode("utf-8")))


def demo() -> Drawing:
    face = arc_path(CURVE.offset(14.0))
    return Drawing(
        (
            Stroke(face, Layer.TARGET),
            Stroke(arc_path(CURVE), Layer.FORM, Pen.LONG_DASH),
            Stroke(face.moved(0, 30), Layer.BODY, Pen.HIDDEN),
            Area((circle(300, 300, 50), circle(300, 300, 20)), Layer.BAND),
            Area((circle(500, 300, 9),), Layer.BODY, "tint"),
            Area((circle(600, 300, 9),), Layer.PART, "none"),
            Disc(300, 300, 6.5, centre_lines=True),
            Mark(12, -40, "register"),
            Mark(80, -40, "dot"),
            Label(20, 60, "Ø 12 %% done", 3.5, "right", "top", 0.3),
            Label(90, 60, "two {lines}\nof \\words", 2.5, "centre"),
            Label(90, 90, "wiped", clear=True),
        ),
        "Demo",
    )


@pytest.mark.parametrize("scale", [1.0, 0.2])
def test_file_is_clean_has_units_and_is_not_empty(scale):
    data = to_dxf(demo(), scale)
    document, auditor = recover.read(io.BytesIO(data))
    assert not auditor.has_errors
    assert not auditor.has_fixes
    assert document.dxfversion == "AC1024"
    assert document.header["$INSUNITS"] == 4
    assert document.header["$MEASUREMENT"] == 1
    assert len(document.modelspace()) > 10
    assert not document.audit().errors


@pytest.mark.parametrize("d", [0.0, 14.0, -21.0])
def test_curve_read_again_is_the_curve(d):
    path = arc_path(CURVE.offset(d))
    document = read(to_dxf(Drawing((Stroke(path, Layer.TARGET),))))
    entity = next(iter(document.modelspace().query("LWPOLYLINE")))
    flat = np.array([[v.x, v.y] for v in make_path(entity).flattening(1e-4)])
    s = np.linspace(0.0, CURVE.length, 5001)
    true = CURVE.offset(d).point(s)
    from shapely import LineString, points

    assert LineString(flat).distance(points(true)).max() < 0.02
    assert LineString(true).distance(points(flat)).max() < 0.02
    assert flat[0] == pytest.approx(true[0], abs=1e-6)
    assert flat[-1] == pytest.approx(true[-1], abs=1e-6)


def test_arcs_are_written_to_the_last_digit():
    path = arc_path(CURVE.offset(14.0))
    document = read(to_dxf(Drawing((Stroke(path, Layer.TARGET),))))
    entity = next(iter(document.modelspace().query("LWPOLYLINE")))
    assert np.abs(np.array(entity.get_points("xyb")) - path.vertices).max() < 1e-9
    assert not entity.closed
    ring = read(to_dxf(Drawing((Stroke(circle(3, 4, 50), Layer.BODY),)))).modelspace()[0]
    assert ring.closed
    turn = sum(4 * math.atan(b) for *_, b in ring.get_points("xyb"))
    assert turn == pytest.approx(2 * math.pi)


def test_layers_are_plain_words_with_their_own_line_kinds():
    document = read(to_dxf(demo(), 0.5))
    names = {layer.dxf.name for layer in document.layers}
    assert {"target", "form", "body", "hole", "mark", "text", "band"} <= names
    assert document.layers.get("form").dxf.linetype == "LONG_DASHES"
    assert document.layers.get("target").dxf.lineweight == 50
    used = {e.dxf.layer for e in document.modelspace()}
    assert used == {str(layer) for layer in demo().layers} - {"part"}
    hidden = next(iter(document.modelspace().query('LWPOLYLINE[layer=="body"]')))
    assert hidden.dxf.linetype == "DASHED_LINE"
    pattern = document.linetypes.get("LONG_DASHES").pattern_tags
    lengths = [t.value for t in pattern.tags if t.code == 49]
    assert lengths == pytest.approx([24.0, -6.0])  # 12 mm and 3 mm on paper, at 1:2


def test_circles_texts_and_hatches_come_through():
    space = read(to_dxf(demo(), 0.5)).modelspace()
    radii = sorted(c.dxf.radius for c in space.query("CIRCLE"))
    assert radii == pytest.approx([0.6 * 3.0 / 0.5, 6.5])
    text = next(iter(space.query("TEXT")))
    assert text.dxf.text == "Ø 12 % % done"
    assert text.dxf.height == pytest.approx(7.0)
    assert text.dxf.rotation == pytest.approx(math.degrees(0.3))
    plain = [m.plain_text() for m in space.query("MTEXT")]
    assert plain == ["two {lines}\nof \\words", "wiped"]
    hatches = space.query("HATCH")
    assert sorted(len(h.paths) for h in hatches) == [1, 1, 2]
    striped = next(h for h in hatches if h.dxf.pattern_name == "ANSI31")
    first = striped.pattern.lines[0]
    assert math.hypot(*first.offset) == pytest.approx(2.0 / 0.5, rel=1e-6)
    assert first.angle == pytest.approx(45.0)


def test_an_empty_drawing_is_refused():
    with pytest.raises(OutputError, match="nothing to draw"):
        to_dxf(Drawing((), "nothing"))


@pytest.mark.parametrize("text", ["a\rb", "nul\x00", "line\u2028sep", "lone \ud800", "é Ø ½ 木"])
def test_awkward_texts_leave_a_clean_file(text):
    data = to_dxf(Drawing((Label(0, 0, text),), text))
    _, auditor = recover.read(io.BytesIO(data))
    assert not auditor.has_errors
    read(data)
