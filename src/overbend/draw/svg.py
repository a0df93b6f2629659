"""Drawings as SVG in true millimetres, with exact arcs.

One group per layer, in painting order, with the layer's word as its class. Colours come
from a theme's tokens; screen themes also write them as CSS variables (``--ink``,
``--paper``, ...), so that a page can set its own. Nothing outside the file is needed.
"""

from __future__ import annotations

import math
import re
import zlib
from collections.abc import Iterator
from dataclasses import dataclass, replace
from html import escape
from typing import TypeVar

import numpy as np

from overbend.curve import ArcPath, Floats
from overbend.draw.arcs import Box, circle, split
from overbend.draw.drawing import (
    Area,
    Disc,
    Drawing,
    Label,
    Layer,
    Simple,
    Stroke,
    simple_items,
)
from overbend.draw.lettering import block
from overbend.draw.theme import THEMES, Look, Theme, token_of
from overbend.draw.words import ENGLISH

__all__ = ["to_svg"]

_ARC_LIMIT = math.pi / 8  # the typesetter turns each arc into one cubic: 1e-7 of the radius off
Number = TypeVar("Number", float, Floats)
_NOT_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


@dataclass(frozen=True)
class _View:
    """From model to paper: scale, the window's top left corner, the look."""

    scale: float
    x0: float
    y1: float
    look: Look
    wide: float
    key: str
    rough: bool = False

    def at(self, x: Number, y: Number) -> tuple[Number, Number]:
        """Point on the sheet, y down [mm on paper]."""
        return (x - self.x0) * self.scale, (self.y1 - y) * self.scale


def to_svg(
    drawing: Drawing,
    scale: float = 1.0,
    *,
    margin: float = 5.0,
    theme: Theme = "light",
    size: tuple[float, float] | None = None,
    window: Box | None = None,
    wide: float = 0.5,
    rough: bool = False,
) -> str:
    """Write a drawing as an SVG document.

    Parameters
    ----------
    drawing : what to draw.
    scale : paper millimetres per model millimetre.
    margin : free room round everything drawn [mm on paper].
    theme : "light" and "dark" stand alone and paint their paper; "page" takes its colours
        from the page it is put in; "print" is ink on nothing, for the typesetter.
    size : width and height of the sheet [mm on paper], the drawing in its middle; None
        makes the sheet as large as the drawing and its margin.
    window : the part of the model to show [mm], cut off at its edges; overrides size and margin.
    wide : width of wide lines [mm on paper]; narrow lines are half of it.
    rough : whether lines may run to the nearest hundredth of a millimetre, which is quicker and
        cannot be seen on a screen.

    Returns
    -------
    str
        One ``<svg>`` element, with title and description for screen readers.

    Raises
    ------
    OutputError
        When the drawing is empty and no window is given.

    Examples
    --------
    >>> svg = to_svg(Drawing((Disc(0, 0, 20),), "a hole"), margin=5)
    >>> 'width="50mm" height="50mm" viewBox="0 0 50 50"' in svg
    True
    """
    x0, y0, x1, y1 = window or _sheet(drawing.extent(scale), scale, margin, size)
    text = f"{drawing.title}|{drawing.about}|{x0}|{y0}|{scale}|{len(drawing.items)}"
    view = _View(scale, x0, y1, THEMES[theme], wide, f"{zlib.crc32(text.encode()):08x}", rough)
    w, h = _n((x1 - x0) * scale), _n((y1 - y0) * scale)
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" width="{w}mm" height="{h}mm" '
        f'viewBox="0 0 {w} {h}" font-family="{escape(view.look.face)}"{_root_style(view.look)}>'
    )
    lines = [head, f"<title>{_text(drawing.title or ENGLISH['drawing'])}</title>"]
    if drawing.about:
        lines.append(f"<desc>{_text(drawing.about)}</desc>")
    if view.look.own:
        lines.append(f'<rect width="{w}" height="{h}"{_paint("fill", "paper", view.look)}/>')
    simple = [s for item in drawing.items for s in simple_items(item, scale)]
    for layer in drawing.layers:
        lines += _layer_group(layer, [s for s in simple if s.layer == layer], view)
    return "\n".join([*lines, "</svg>"])


def _sheet(extent: Box, scale: float, margin: float, size: tuple[float, float] | None) -> Box:
    """Part of the model the sheet shows."""
    x0, y0, x1, y1 = extent
    if size is None:
        m = margin / scale
        return x0 - m, y0 - m, x1 + m, y1 + m
    cx, cy = 0.5 * (x0 + x1), 0.5 * (y0 + y1)
    half_w, half_h = 0.5 * size[0] / scale, 0.5 * size[1] / scale
    return cx - half_w, cy - half_h, cx + half_w, cy + half_h


def _root_style(look: Look) -> str:
    """Variables a stand-alone file sets, and figures of one width for screens."""
    if not look.variables:
        return ""
    own = [f"--{token}:{colour}" for token, colour in look.colours.items()] if look.own else []
    return f' style="{";".join([*own, "font-variant-numeric:tabular-nums"])}"'


def _paint(attribute: str, token: str, look: Look) -> str:
    """Colour attribute, with the variable that may override it."""
    colour = look.colours[token]
    plain = f' {attribute}="{colour}"'
    return f'{plain} style="{attribute}:var(--{token},{colour})"' if look.variables else plain


def _layer_group(layer: Layer, items: list[Simple], view: _View) -> Iterator[str]:
    """Group of one layer: areas lowest, texts on top."""
    paint = _paint("color", token_of(layer), view.look)
    yield f'<g class="{layer}"{paint} fill="none" stroke="currentColor">'
    order = {Area: 0, Stroke: 1, Disc: 1, Label: 2}
    for item in sorted(items, key=lambda s: order[type(s)]):
        match item:
            case Area():
                yield from _area(item, layer, view)
            case Stroke():
                yield f'<path{_line(item, view)} d="{_path_data(item.path, view)}"/>'
            case Disc():
                yield _disc(item, view)
            case Label():
                yield _label(item, view)
    yield "</g>"


def _line(item: Stroke | Disc, view: _View) -> str:
    """Class, width, dashes and name of a line."""
    out = f' class="{item.pen.word}" stroke-width="{_n(item.pen.width(view.wide))}"'
    dashes = item.pen.dashes(view.wide)
    if dashes:
        out += f' stroke-dasharray="{" ".join(map(_n, dashes))}"'
    return out + _name(item.name)


def _disc(item: Disc, view: _View) -> str:
    """Circle; for the typesetter, whose circles are 0.03 % out of round, a path of short arcs."""
    if view.look is THEMES["print"]:
        ring = _path_data(circle(item.x, item.y, item.radius), view)
        return f'<path{_line(item, view)} d="{ring}"/>'
    x, y = view.at(item.x, item.y)
    r = _n(item.radius * view.scale)
    return f'<circle{_line(item, view)} cx="{_n(x)}" cy="{_n(y)}" r="{r}"/>'


def _area(item: Area, layer: Layer, view: _View) -> Iterator[str]:
    """Filled region, its hatch pattern before it."""
    fill = 'fill="currentColor"'
    if item.fill == "none":
        fill = 'fill="none"'
    elif item.fill == "tint":
        fill += ' fill-opacity="0.12"'
    elif item.fill in ("hatch", "cross"):
        key = f"{layer}-{view.key}-{item.fill}-{_n(math.degrees(item.angle))}-{_n(item.spacing)}"
        yield _pattern(item, key, view)
        fill = f'fill="url(#{key})"'
    rings = (p if p.closed else replace(p, closed=True) for p in item.paths)
    data = "".join(_path_data(p, view) for p in rings)
    yield f'<path{_name(item.name)} {fill} fill-rule="evenodd" stroke="none" d="{data}"/>'


def _pattern(item: Area, key: str, view: _View) -> str:
    """Hatch lines at a spacing, the sheet's corner on one of them."""
    s, half = _n(item.spacing), _n(0.5 * item.spacing)
    lines = f"M0 {half}H{s}" + (f"M{half} 0V{s}" if item.fill == "cross" else "")
    turn = _n(-math.degrees(item.angle))
    width = _n(0.25 * view.wide)
    return (
        f'<defs><pattern id="{key}" patternUnits="userSpaceOnUse" width="{s}" height="{s}" '
        f'patternTransform="rotate({turn})"><path d="{lines}" stroke-width="{width}"/>'
        "</pattern></defs>"
    )


def _label(item: Label, view: _View) -> str:
    """Text as one element with a line in each span."""
    x, y = view.at(item.x, item.y)
    shape = block(item.text, item.size, item.anchor, item.level)
    align = {"left": "start", "centre": "middle", "right": "end"}[item.anchor]
    out = f'<text{_name(item.name)} font-size="{_n(item.size / view.look.capital)}"'
    out += f' text-anchor="{align}" fill="currentColor"'
    out += ' stroke="none"'
    if abs(item.angle) > 1e-9:
        out += f' transform="rotate({_n(-math.degrees(item.angle))} {_n(x)} {_n(y)})"'
    spans = [
        f'<tspan x="{_n(x)}" y="{_n(y - up)}">{_text(line)}</tspan>' for up, line in shape.lines
    ]
    wiped = _wiped(item, view) if item.clear else ""
    return f"{wiped}{out}>{''.join(spans)}</text>"


def _wiped(item: Label, view: _View) -> str:
    """Paper behind a text."""
    corners = item.box(view.scale, grow=0.15 * item.size)
    data = _path_data(ArcPath.polyline(corners, closed=True), view)
    return f'<path class="clear" stroke="none"{_paint("fill", "paper", view.look)} d="{data}"/>'


def _path_data(path: ArcPath, view: _View) -> str:
    """Path commands on the sheet; an arc turning left in the model turns left on the sheet."""
    if view.look is THEMES["print"]:
        path = split(path, _ARC_LIMIT)
    if view.rough and not path.vertices[:, 2].any():
        return _straight_lines(path, view)
    start, end = path.ends
    first = view.at(path.vertices[0, 0], path.vertices[0, 1])
    parts = [f"M{_n(first[0])} {_n(first[1])}"]
    parts += [_segment(p, q, view) for p, q in zip(start, end, strict=True)]
    return "".join(parts) + ("Z" if path.closed else "")


def _straight_lines(path: ArcPath, view: _View) -> str:
    """Path commands of straight lines, to a hundredth of a millimetre."""
    x, y = view.at(path.vertices[:, 0], path.vertices[:, 1])
    places = np.column_stack([x, y]).ravel().tolist()
    text = "L%.2f %.2f" * len(path.vertices) % tuple(places)
    return f"M{text[1:]}{'Z' if path.closed else ''}"


def _segment(p: Floats, q: Floats, view: _View) -> str:
    x, y = view.at(q[0], q[1])
    bulge = float(p[2])
    if abs(bulge) < 1e-9:
        return f"L{_n(x)} {_n(y)}"
    chord = math.hypot(q[0] - p[0], q[1] - p[1]) * view.scale
    radius = chord * (1.0 + bulge * bulge) / (4.0 * abs(bulge))
    flags = f"{int(abs(bulge) > 1.0)} {int(bulge < 0.0)}"
    return f"A{_n(radius)} {_n(radius)} 0 {flags} {_n(x)} {_n(y)}"


def _name(name: str) -> str:
    return f' data-name="{_text(name)}"' if name else ""


def _text(text: str) -> str:
    """Text safe inside an element or an attribute; characters XML has no place for go."""
    return escape(_NOT_XML.sub("", text))


def _n(value: float) -> str:
    """Shortest number to a ten-thousandth of a millimetre."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text in ("", "-0") else text
