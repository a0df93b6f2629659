"""Lines, arcs and Bezier curves of an SVG drawing, in mm and upright."""

from __future__ import annotations

import io
import math
import re
from collections.abc import Iterable, Iterator
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING
from xml.etree import ElementTree

import numpy as np

from overbend.curve.core import Floats
from overbend.curve.strands import Strand, bow, free, straight
from overbend.errors import DrawingFileError

if TYPE_CHECKING:
    from svgelements import SVG, Matrix, PathSegment, Point, Shape, SVGElement

    Named = tuple[tuple[str, ...], Shape]

__all__ = ["svg_strands"]

_SIZES = {"mm": 1.0, "cm": 10.0, "in": 25.4, "pt": 25.4 / 72, "pc": 25.4 / 6, "q": 0.25}
_SVG = "{http://www.w3.org/2000/svg}"
_LABEL = "{http://www.inkscape.org/namespaces/inkscape}label"  # layer names of drawing programs
_APART = ("symbol", "marker", "pattern", "mask", "clipPath")  # drawn only where referred to
_USER_PER_INCH = 96.0  # SVG 2, section 8.9: lengths with a unit inside the drawing
_FARTHEST = 1e9  # units of the drawing
_MOST = 20_000  # strands


def svg_strands(
    path: Path, unit: float | None, layer: str | None
) -> tuple[list[Strand], tuple[str, ...]]:
    """Read what an SVG drawing shows.

    Parameters
    ----------
    path : the file.
    unit : mm per unit of the drawing; None takes it from the drawing's size.
    layer : only groups or shapes of this id or label; None takes everything shown.

    Returns
    -------
    tuple
        Strands [mm] and notes for the maker, of which an SVG gives none.

    Raises
    ------
    DrawingFileError
        A file that is no SVG, a size without a physical unit, no such layer.
    """
    root = _root(path)
    scale = _scale(root) if unit is None else unit
    shapes = list(_shapes(_parsed(root), ()))
    if layer is not None:
        shapes = _on_layer(shapes, layer)
    strands: list[Strand] = []
    for names, shape in shapes:
        strands += _strands(shape, names[0] if names else "", scale)
        if len(strands) > _MOST:
            raise DrawingFileError(
                f"more than {_MOST} lines and arcs",
                todo="put the wanted curve in a group of its own and give its name as layer",
            )
    return strands, ()


def _root(path: Path) -> ElementTree.Element:
    """Parse the file's XML."""
    data = path.read_bytes()
    if b"<!ENTITY" in data:
        raise DrawingFileError(
            "the file declares entities of its own", allowed="plain SVG", todo="export it again"
        )
    try:
        root = ElementTree.fromstring(data)
    except (ElementTree.ParseError, ValueError, LookupError) as error:
        raise DrawingFileError(
            f"not an SVG drawing that can be read ({error})", todo="export it again"
        ) from None
    if root.tag not in (f"{_SVG}svg", "svg"):
        raise DrawingFileError(f"the file holds <{root.tag}>, not a drawing", allowed="<svg>")
    return root


def _scale(root: ElementTree.Element) -> float:
    """Size of a unit of the drawing [mm], from its size and its view box."""
    sizes = [_size(root.get(side, "")) for side in ("width", "height")]
    box = re.split(r"[\s,]+", root.get("viewBox", "").strip())
    if None in sizes or len(box) != 4:
        raise DrawingFileError(
            f"the drawing does not say how large it is: width {root.get('width')!r}, height "
            f"{root.get('height')!r}, view box {root.get('viewBox')!r}",
            allowed="a width and height in mm, cm or in, with a view box",
            todo="say how large one unit of the drawing is: mm, in, or px for 96 to the inch",
        )
    try:
        across, up = (s / float(b) for s, b in zip(sizes, box[2:], strict=True) if s is not None)
    except (ValueError, ZeroDivisionError):
        raise DrawingFileError(
            f"a view box {root.get('viewBox')!r}", allowed="four numbers, sizes above zero"
        ) from None
    even = abs(across / up - 1.0) < 1e-3 if across > 0 and up > 0 else False
    if not even and root.get("preserveAspectRatio", "").startswith("none"):
        raise DrawingFileError(
            f"the drawing is stretched: a unit is {across:.4g} mm wide and {up:.4g} mm high",
            todo="export it without stretching",
        )
    return min(across, up)


def _size(text: str) -> float | None:
    """Length with a physical unit [mm], or None."""
    match = re.fullmatch(r"\s*([0-9.eE+-]+)\s*([a-zA-Z]+)\s*", text)
    if match is None or match[2].lower() not in _SIZES:
        return None
    try:
        value = float(match[1]) * _SIZES[match[2].lower()]
    except ValueError:
        return None
    return value if math.isfinite(value) and value > 0 else None


def _parsed(root: ElementTree.Element) -> SVG:
    """The drawing in its own units, transforms not applied."""
    from svgelements import SVG

    for name in ("width", "height", "viewBox", "preserveAspectRatio", "x", "y"):
        root.attrib.pop(name, None)
    for parent in list(root.iter()):
        for i, child in enumerate(parent):
            if isinstance(child.tag, str) and child.tag.rpartition("}")[2] in _APART:
                shelf = ElementTree.Element(f"{_SVG}defs")
                shelf.append(child)
                parent[i] = shelf
    text = ElementTree.tostring(root, encoding="unicode")
    try:
        # transforms are left to us: applied by the reader, they spoil arcs that are skewed
        return SVG.parse(io.StringIO(text), ppi=_USER_PER_INCH, reify=False)
    except Exception as error:  # damaged path data and circular references fail in many ways
        raise DrawingFileError(
            f"a shape in the drawing cannot be read ({type(error).__name__}: {str(error)[:80]})",
            todo="export it again, with plain paths",
        ) from None


def _shapes(group: Iterable[SVGElement], names: tuple[str, ...]) -> Iterator[Named]:
    """Shapes shown, with the names of the groups they are in, outermost first."""
    from svgelements import Shape

    for element in group:
        values = element.values
        own = [element.id, values.get(_LABEL), values.get("class")]
        inside = (*names, *(n for n in own if n and n not in names))
        if isinstance(element, Shape):
            if values.get("visibility") not in ("hidden", "collapse"):
                yield inside, element
        elif isinstance(element, list):
            yield from _shapes(element, inside)


def _on_layer(shapes: list[Named], layer: str) -> list[Named]:
    found = [(names, shape) for names, shape in shapes if layer in names]
    if not found:
        known = sorted({n for names, _ in shapes for n in names})
        raise DrawingFileError(
            f"nothing drawn in a group or shape called {layer!r}",
            allowed="one of " + ", ".join(repr(n) for n in known[:12]) if known else "no layer",
        )
    return found


def _strands(shape: Shape, layer: str, scale: float) -> list[Strand]:
    """Strands of one shape [mm], y upwards."""
    from svgelements import Arc, Close, CubicBezier, Line, QuadraticBezier

    def placed(*points: Point) -> Floats:
        return _placed(points, shape.transform, scale)

    out: list[Strand] = []
    for part in _parts(shape):
        if isinstance(part, (Line, Close)) and part.start is not None and part.end is not None:
            p, q = placed(part.start, part.end)
            out.append(straight(p, q, layer))
        elif isinstance(part, Arc):
            ring = placed(part.start, part.end, part.center, part.prx, part.pry)
            out += _arc(ring, part.get_start_t(), part.sweep, layer)
        elif isinstance(part, CubicBezier):
            control = placed(part.start, part.control1, part.control2, part.end)
            out.append(_bezier(control, layer))
        elif isinstance(part, QuadraticBezier):
            p, c, q = placed(part.start, part.control, part.end)
            out.append(_bezier(np.array([p, p + 2 / 3 * (c - p), q + 2 / 3 * (c - q), q]), layer))
    return out


def _parts(shape: Shape) -> list[PathSegment]:
    """The pieces of a shape, before its transform."""
    try:
        return list(shape.segments(transformed=False))
    except Exception as error:  # damaged values fail in many ways
        raise DrawingFileError(
            f"a <{shape.values.get('tag', 'shape')}> with values that cannot be read "
            f"({type(error).__name__})",
            todo="export it again, with plain paths",
        ) from None


def _placed(points: Iterable[Point], way: Matrix, scale: float) -> Floats:
    """Points after the shape's transform, y turned upwards, shape (n, 2) [mm]."""
    x, y = np.array([(p.x, p.y) for p in points], float).T
    numbers = np.array([*x, *y, way.a, way.b, way.c, way.d, way.e, way.f])
    if not (np.abs(numbers) < _FARTHEST).all():
        raise DrawingFileError(
            "a shape with a coordinate that is no number or beyond every drawing",
            todo="find and delete the shape",
        )
    across, down = way.a * x + way.c * y + way.e, way.b * x + way.d * y + way.f
    return scale * np.column_stack([across, -down])


def _arc(ring: Floats, first: float, sweep: float, layer: str) -> list[Strand]:
    """A circular or elliptical arc, in halves.

    Its ends, centre and two points a quarter turn of the parameter apart, and the
    parameter at its start and over its length [rad].
    """
    start, end, centre = ring[:3]
    a, b = ring[3:] - centre
    if min(np.hypot(*a), np.hypot(*b)) < 1e-9:
        return [straight(start, end, layer)]
    way = math.copysign(1.0, sweep)

    def place(t: Floats) -> tuple[Floats, Floats]:
        cos, sin = np.cos(t)[:, None], np.sin(t)[:, None]
        return centre + a * cos + b * sin, way * (b * cos - a * sin)

    cuts = first + sweep * np.linspace(0.0, 1.0, 3)
    if abs(np.hypot(*a) / np.hypot(*b) - 1.0) < 1e-7 and abs(a @ b) < 1e-7 * (a @ a):
        middle = place(cuts[1:2])[0][0]
        bulge = math.tan(sweep / 8.0) * math.copysign(1.0, a[0] * b[1] - a[1] * b[0])
        return [bow(p, q, bulge, layer) for p, q in pairwise([start, middle, end])]
    return [free(place, t0, t1, layer) for t0, t1 in pairwise(cuts)]


def _bezier(control: Floats, layer: str) -> Strand:
    """A cubic Bezier curve; a straight line when that is what it draws."""
    p, c, d, q = control
    chord = q - p
    span = float(np.hypot(*chord))
    if span > 0.0:
        along = (control - p) @ chord / span
        off = np.abs((control - p) @ np.array([-chord[1], chord[0]])).max() / span
        if off < 1e-9 * span and (np.diff(along) >= -1e-9 * span).all():
            return straight(p, q, layer)

    def place(t: Floats) -> tuple[Floats, Floats]:
        t, u = t[:, None], 1.0 - t[:, None]
        xy = u**3 * p + 3 * u**2 * t * c + 3 * u * t**2 * d + t**3 * q
        return xy, 3 * (u**2 * (c - p) + 2 * u * t * (d - c) + t**2 * (q - d))

    return free(place, 0.0, 1.0, layer)
