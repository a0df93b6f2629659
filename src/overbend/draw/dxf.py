"""Drawings as DXF R2010 in millimetres, arcs kept as arcs.

Each layer carries its own colour, line kind and line width, so that a machine or a program
can take the layers it needs: ``target`` and ``body`` to cut, ``hole`` and ``pin`` to drill.
A form's reference stop, its centre lines and its marks lie on layers of their own.
"""

from __future__ import annotations

import io
import math
import re
from typing import TYPE_CHECKING

from overbend.curve import ArcPath
from overbend.draw.drawing import (
    Area,
    Disc,
    Drawing,
    Label,
    Layer,
    Pen,
    Simple,
    Stroke,
    simple_items,
)
from overbend.draw.lettering import LINE_STEP
from overbend.draw.theme import DXF_COLOURS

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document
    from ezdxf.enums import TextEntityAlignment
    from ezdxf.layouts.layout import Modelspace

__all__ = ["to_dxf"]

_LINE_NAMES = {
    Pen.OUTLINE: "Continuous",
    Pen.THIN: "Continuous",
    Pen.HIDDEN: "DASHED_LINE",
    Pen.LONG_DASH: "LONG_DASHES",
    Pen.CENTRE: "CENTRE_LINE",
    Pen.PHANTOM: "PHANTOM_LINE",
    Pen.DOTTED: "DOTTED_LINE",
}
_LAYER_PENS = {
    Layer.FORM: Pen.LONG_DASH,
    Layer.CENTRE: Pen.CENTRE,
    Layer.TARGET: Pen.OUTLINE,
    Layer.BODY: Pen.OUTLINE,
    Layer.PART: Pen.OUTLINE,
    Layer.HOLE: Pen.OUTLINE,
    Layer.STOP: Pen.HIDDEN,
}
_HATCH_STEP = 3.175  # mm between the lines of pattern ANSI31, which lie at 45 degrees
_CONTROL = re.compile("[\x00-\x09\x0b-\x1f\x7f-\x9f\ud800-\udfff]")
_ATTACH = {("left", 0): 7, ("centre", 0): 8, ("right", 0): 9, ("left", 1): 4, ("centre", 1): 5}
_ATTACH |= {("right", 1): 6, ("left", 2): 1, ("centre", 2): 2, ("right", 2): 3}


def to_dxf(drawing: Drawing, scale: float = 1.0) -> bytes:
    """Write a drawing as a DXF file: R2010, model space in millimetres at full size.

    Parameters
    ----------
    drawing : what to write.
    scale : paper millimetres per model millimetre that texts, marks and dashes are sized
        for; geometry is full size whatever it is.

    Returns
    -------
    bytes
        The file, UTF-8.

    Raises
    ------
    OutputError
        When the drawing is empty.

    Examples
    --------
    >>> to_dxf(Drawing((Disc(0, 0, 20),), "a hole"))[:11].split()
    [b'0', b'SECTION']
    """
    from ezdxf import units
    from ezdxf.filemanagement import new

    box = drawing.extent(scale)
    doc = new("R2010", units=units.MM)
    doc.header["$MEASUREMENT"] = 1
    doc.header["$EXTMIN"] = (box[0], box[1], 0.0)
    doc.header["$EXTMAX"] = (box[2], box[3], 0.0)
    _set_tables(doc, drawing, scale)
    space = doc.modelspace()
    for item in drawing.items:
        for simple in simple_items(item, scale):
            _add(space, simple, scale)
    middle = (0.5 * (box[0] + box[2]), 0.5 * (box[1] + box[3]))
    doc.set_modelspace_vport(1.1 * max(box[3] - box[1], 0.5 * (box[2] - box[0]), 1.0), middle)
    stream = io.StringIO()
    doc.write(stream)
    return stream.getvalue().encode("utf-8")


def _set_tables(doc: Document, drawing: Drawing, scale: float) -> None:
    """Line kinds, layers and the face of texts."""
    for pen, name in _LINE_NAMES.items():
        dashes = [d / scale for d in pen.dashes()]
        if dashes:
            signs = [d if k % 2 == 0 else -d for k, d in enumerate(dashes)]
            doc.linetypes.add(name, [sum(dashes), *signs], description=pen.word)
    doc.styles.add("LETTERING", font="arial.ttf")
    for layer in drawing.layers:
        pen = _LAYER_PENS.get(layer, Pen.THIN)
        entry = doc.layers.add(layer, color=DXF_COLOURS[layer], linetype=_LINE_NAMES[pen])
        entry.dxf.lineweight = round(100 * pen.width())


def _add(space: Modelspace, item: Simple, scale: float) -> None:
    """Write one item."""
    match item:
        case Stroke():
            _add_path(space, item.path, _line(item))
        case Disc():
            space.add_circle((item.x, item.y), item.radius, dxfattribs=_line(item))
        case Area():
            _add_area(space, item, scale)
        case Label():
            _add_label(space, item, scale)


def _line(item: Stroke | Disc) -> dict[str, object]:
    """Layer, and line kind and width where they are not the layer's."""
    out: dict[str, object] = {"layer": str(item.layer)}
    if item.pen is not _LAYER_PENS.get(item.layer, Pen.THIN):
        out["linetype"] = _LINE_NAMES[item.pen]
        out["lineweight"] = round(100 * item.pen.width())
    return out


def _add_path(space: Modelspace, path: ArcPath, attributes: dict[str, object]) -> None:
    """Light polyline with a bulge for every arc."""
    space.add_lwpolyline(
        path.vertices.tolist(), format="xyb", close=path.closed, dxfattribs=attributes
    )


def _add_area(space: Modelspace, item: Area, scale: float) -> None:
    """Hatch with the outlines as its bounds; a tint is a solid in a pale grey."""
    if item.fill == "none":
        return
    hatch = space.add_hatch(color=256, dxfattribs={"layer": str(item.layer)})
    if item.fill in ("hatch", "cross"):
        pattern = "ANSI31" if item.fill == "hatch" else "ANSI37"
        turn = math.degrees(item.angle) - 45.0
        hatch.set_pattern_fill(pattern, scale=item.spacing / scale / _HATCH_STEP, angle=turn)
    else:
        hatch.set_solid_fill(color=254 if item.fill == "tint" else 256, style=0)
    for path in item.paths:
        hatch.paths.add_polyline_path(path.vertices.tolist(), is_closed=True)


def _add_label(space: Modelspace, item: Label, scale: float) -> None:
    """One line as TEXT, several or cleared ones as MTEXT; heights are those of a capital."""
    text = _CONTROL.sub("", item.text)
    common: dict[str, object] = {"layer": str(item.layer), "style": "LETTERING"}
    height = item.size / scale
    if "\n" in text or item.clear:
        level = {"base": 0, "middle": 1, "top": 2}[item.level]
        safe = text.replace("\\", "\\\\").replace("{", "\\{").replace("}", "\\}")
        attributes = common | {
            "char_height": height,
            "insert": (item.x, item.y),
            "rotation": math.degrees(item.angle),
            "attachment_point": _ATTACH[item.anchor, level],
            "line_spacing_factor": LINE_STEP * 0.6,
        }
        entity = space.add_mtext(safe.replace("\n", "\\P"), dxfattribs=attributes)
        if item.clear:
            entity.set_bg_color("canvas", scale=1.2)
        return
    attributes = common | {"rotation": math.degrees(item.angle)}
    line = space.add_text(text.replace("%%", "% %"), height=height, dxfattribs=attributes)
    line.set_placement((item.x, item.y), align=_alignment(item))


def _alignment(item: Label) -> TextEntityAlignment:
    """Alignment of a single line of text."""
    from ezdxf.enums import TextEntityAlignment

    across = {"left": "LEFT", "centre": "CENTER", "right": "RIGHT"}[item.anchor]
    up = {"base": "", "middle": "MIDDLE_", "top": "TOP_"}[item.level]
    return TextEntityAlignment[up + across]
