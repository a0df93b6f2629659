"""Lines, arcs and splines of a DXF drawing, in mm."""

from __future__ import annotations

import logging
import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import islice, pairwise
from pathlib import Path
from typing import TYPE_CHECKING, cast

import numpy as np

from overbend.curve.core import Floats
from overbend.curve.strands import Strand, bow, free, straight
from overbend.errors import DrawingFileError

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.entities.arc import Arc
    from ezdxf.entities.circle import Circle
    from ezdxf.entities.dxfgfx import DXFGraphic
    from ezdxf.entities.ellipse import Ellipse
    from ezdxf.entities.insert import Insert
    from ezdxf.entities.line import Line
    from ezdxf.entities.lwpolyline import LWPolyline
    from ezdxf.entities.polyline import Polyline
    from ezdxf.entities.spline import Spline
    from ezdxf.math import OCS, UVec

__all__ = ["dxf_strands"]

# $INSUNITS of the DXF reference, header variables: those a shop drawing may carry.
_UNITS = {1: 25.4, 2: 304.8, 4: 1.0, 5: 10.0, 6: 1000.0, 8: 25.4e-6, 9: 0.0254, 10: 914.4,
          13: 0.001, 14: 100.0}  # fmt: skip
_FLAT = 1e-3  # mm out of the drawing plane
_DEEPEST = 8  # blocks within blocks
_MOST = 20_000  # strands
_REPAIRED = "the file was damaged and has been repaired: compare the curve with the drawing"
_QUIET = logging.NullHandler()


def dxf_strands(
    path: Path, unit: float | None, layer: str | None
) -> tuple[list[Strand], tuple[str, ...]]:
    """Read what a DXF drawing's model space holds.

    Parameters
    ----------
    path : the file.
    unit : mm per drawing unit; None takes the file's own $INSUNITS.
    layer : only this layer; None takes every layer that is on.

    Returns
    -------
    tuple
        Strands [mm] and notes for the maker.

    Raises
    ------
    DrawingFileError
        A file that is no DXF or holds nothing, has no unit or not this layer, or a shape
        that is not flat.
    """
    document, notes = _document(path)
    entities = _entities(document)
    if not entities:
        raise DrawingFileError(
            "the model space is empty",
            allowed="lines, arcs, circles, polylines, ellipses and splines in model space",
            todo="check that this is the right file, and that its layers are on",
        )
    scale = _scale(document) if unit is None else unit
    if layer is not None:
        entities = _on_layer(entities, layer)
    strands: list[Strand] = []
    for name, entity in entities:
        strands += _strands(entity, name, scale)
        if len(strands) > _MOST:
            raise DrawingFileError(
                f"more than {_MOST} lines and arcs",
                todo="put the wanted curve on a layer of its own and give that layer",
            )
    return strands, notes


def _document(path: Path) -> tuple[Drawing, tuple[str, ...]]:
    """Read the file, repairing it where need be, which a note then says."""
    from ezdxf import recover
    from ezdxf.filemanagement import readfile

    logging.getLogger("ezdxf").addHandler(_QUIET)
    with path.open("rb") as stream:
        head = stream.read(6)
    if head.startswith(b"AC10"):
        raise DrawingFileError(
            "this is a DWG drawing, not DXF", allowed="DXF", todo="save it as DXF"
        )
    try:
        try:
            return readfile(path), ()
        except Exception:  # any of many errors; the repairing reader has the last word
            return recover.readfile(path)[0], (_REPAIRED,)
    except Exception as error:
        said = str(error).partition("\n")[0]
        detail = f" ({said})" if 0 < len(said) < 80 and said.isascii() else ""
        raise DrawingFileError(
            f"not a DXF drawing that can be read{detail}",
            allowed="DXF, text or binary",
            todo="export it again",
        ) from None


def _scale(document: Drawing) -> float:
    """Size of a drawing unit [mm] from the header."""
    code = int(document.header.get("$INSUNITS", 0))
    if code not in _UNITS:
        raise DrawingFileError(
            "the drawing does not say its unit ($INSUNITS 0)"
            if code == 0
            else f"the drawing's unit ($INSUNITS {code}) is not a shop's",
            allowed="a drawing with a unit, or a unit given with it",
            todo="say in what unit it was drawn: mm, cm, m, in or ft",
        )
    return _UNITS[code]


def _entities(document: Drawing) -> list[tuple[str, DXFGraphic]]:
    """All that is drawn, or a few more than are allowed."""
    try:
        return list(islice(_drawn(document), _MOST + 1))
    except DrawingFileError:
        raise
    except Exception as error:  # damaged files fail in many ways
        raise DrawingFileError(
            f"a damaged DXF drawing ({type(error).__name__})", todo="export it again"
        ) from None


def _layer(entity: DXFGraphic) -> str:
    """Layer of an entity; damaged ones have none."""
    return str(entity.dxf.get("layer", "0")) if entity.dxf.is_supported("layer") else "0"


def _drawn(document: Drawing) -> Iterator[tuple[str, DXFGraphic]]:
    """Layer and entity of everything visible, blocks taken apart."""
    off = {
        layer.dxf.name.lower() for layer in document.layers if layer.is_off() or layer.is_frozen()
    }
    for entity in document.modelspace():
        for name, part in _parts(entity, _layer(entity), 0):
            if name.lower() not in off and not part.dxf.get("invisible", 0):
                yield name, part


def _parts(entity: DXFGraphic, layer: str, depth: int) -> Iterator[tuple[str, DXFGraphic]]:
    """Take a block apart; what lies on layer 0 in it is on the block's own layer."""
    kind = entity.dxftype()
    if kind == "INSERT" and depth < _DEEPEST:
        block = cast("Insert", entity)
        if block.mcount > _MOST:
            raise DrawingFileError(f"a block drawn {block.mcount} times", todo="explode it")
        for single in block.multi_insert() if block.mcount > 1 else [block]:
            for part in single.virtual_entities():
                name = _layer(part)
                yield from _parts(part, layer if name == "0" else name, depth + 1)
    elif kind in _READERS:
        yield layer, entity


def _on_layer(
    entities: Sequence[tuple[str, DXFGraphic]], layer: str
) -> list[tuple[str, DXFGraphic]]:
    found = [(name, e) for name, e in entities if name.lower() == layer.lower()]
    if not found:
        names = sorted({name for name, _ in entities})
        raise DrawingFileError(
            f"nothing drawn on layer {layer!r}",
            allowed="one of " + ", ".join(repr(n) for n in names[:12]),
        )
    return found


def _strands(entity: DXFGraphic, layer: str, scale: float) -> list[Strand]:
    """Strands of one entity [mm]."""
    try:
        return _READERS[entity.dxftype()](entity, layer, scale)
    except DrawingFileError:
        raise
    except Exception as error:  # damaged entities fail in many ways
        raise DrawingFileError(
            f"a damaged {entity.dxftype()} on layer {layer!r} ({error})",
            todo="delete it or draw it again",
        ) from None


def _flat(points: Iterable[UVec], scale: float, kind: str) -> Floats:
    """Points in the drawing plane, shape (n, 2) [mm]."""
    xyz = scale * np.array([(p[0], p[1], p[2]) for p in points], float).reshape(-1, 3)
    if not np.isfinite(xyz).all():
        raise DrawingFileError(f"a {kind} with a coordinate that is not a number")
    if np.ptp(xyz[:, 2]) > _FLAT:
        raise DrawingFileError(
            f"a {kind} that rises {np.ptp(xyz[:, 2]):.3g} mm out of the drawing plane",
            allowed="flat drawings",
            todo="draw the curve flat",
        )
    return xyz[:, :2]


def _side(ocs: OCS, kind: str) -> float:
    """1 when an entity is seen from above, -1 when it was drawn from below."""
    if abs(abs(ocs.uz.z) - 1.0) > 1e-9:
        raise DrawingFileError(f"a {kind} in a plane across the drawing", allowed="flat drawings")
    return math.copysign(1.0, ocs.uz.z)


def _line(entity: Line, layer: str, scale: float) -> list[Strand]:
    p, q = _flat([entity.dxf.start, entity.dxf.end], scale, "line")
    return [straight(p, q, layer)]


def _round(entity: Arc | Circle, layer: str, scale: float) -> list[Strand]:
    """An arc or a whole circle, in halves."""
    ocs, kind = entity.ocs(), entity.dxftype().lower()
    side = _side(ocs, kind)
    sweep, first = 360.0, 0.0
    if kind == "arc":
        first = entity.dxf.start_angle
        sweep = (entity.dxf.end_angle - first) % 360.0 or 360.0
    angle = np.radians(first + sweep * np.linspace(0.0, 1.0, 3))
    centre, radius = entity.dxf.center, entity.dxf.radius
    ring = [(centre.x + radius * math.cos(a), centre.y + radius * math.sin(a), centre.z)
            for a in angle]  # fmt: skip
    xy = _flat(list(ocs.points_to_wcs(ring)), scale, kind)
    bulge = side * math.tan(math.radians(sweep) / 8.0)
    return [bow(p, q, bulge, layer) for p, q in pairwise(xy)]


def _light_polyline(entity: LWPolyline, layer: str, scale: float) -> list[Strand]:
    with entity.points("xyb") as rows:
        data = [tuple(map(float, row)) for row in rows]
    ocs, z = entity.ocs(), float(entity.dxf.elevation)
    xy = _flat(list(ocs.points_to_wcs([(x, y, z) for x, y, _ in data])), scale, "polyline")
    bulges = _side(ocs, "polyline") * np.array([b for _, _, b in data])
    return _chain(xy, bulges, bool(entity.closed), layer)


def _polyline(entity: Polyline, layer: str, scale: float) -> list[Strand]:
    if not (entity.is_2d_polyline or entity.is_3d_polyline):
        raise DrawingFileError("a mesh on the layer", allowed="flat polylines")
    frame = 16  # flag of the control points of a smoothed polyline
    rows = [v for v in entity.vertices if not v.dxf.flags & frame]
    places, side = [v.dxf.location for v in rows], 1.0
    if entity.is_2d_polyline:
        ocs = entity.ocs()
        places, side = list(ocs.points_to_wcs(places)), _side(ocs, "polyline")
    xy = _flat(places, scale, "polyline")
    bulges = side * np.array([v.dxf.get("bulge", 0.0) for v in rows])
    return _chain(xy, bulges, bool(entity.is_closed), layer)


def _chain(xy: Floats, bulges: Floats, closed: bool, layer: str) -> list[Strand]:
    last = len(xy) if closed else len(xy) - 1
    return [bow(xy[i], xy[(i + 1) % len(xy)], bulges[i], layer) for i in range(last)]


def _ellipse(entity: Ellipse, layer: str, scale: float) -> list[Strand]:
    centre, major, minor = entity.dxf.center, entity.dxf.major_axis, entity.minor_axis
    first = entity.dxf.start_param
    sweep = (entity.dxf.end_param - first) % (2.0 * math.pi) or 2.0 * math.pi
    ring = [centre + major * c + minor * s for c, s in ((1, 0), (0, 1), (-1, 0), (0, -1))]
    _flat(ring, scale, "ellipse")
    c = scale * np.array([centre.x, centre.y])
    a, b = scale * np.array([major.x, major.y]), scale * np.array([minor.x, minor.y])

    def place(t: Floats) -> tuple[Floats, Floats]:
        cos, sin = np.cos(t)[:, None], np.sin(t)[:, None]
        return c + a * cos + b * sin, b * cos - a * sin

    cuts = first + sweep * np.linspace(0.0, 1.0, 3)
    if abs(np.hypot(*a) / np.hypot(*b) - 1.0) < 1e-9:
        bulge = math.copysign(math.tan(sweep / 8.0), a[0] * b[1] - a[1] * b[0])
        xy = place(cuts)[0]
        return [bow(p, q, bulge, layer) for p, q in pairwise(xy)]
    return [free(place, t0, t1, layer) for t0, t1 in pairwise(cuts)]


def _spline(entity: Spline, layer: str, scale: float) -> list[Strand]:
    tool = entity.construction_tool()
    control = _flat(tool.control_points, scale, "spline")
    if tool.degree == 1:
        return _chain(control, np.zeros(len(control)), False, layer)

    def place(t: Floats) -> tuple[Floats, Floats]:
        rows = list(tool.derivatives(t.tolist(), 1))
        xy = np.array([[(p[0], p[1]) for p in row] for row in rows]) * scale
        return xy[:, 0], xy[:, 1]

    knots = np.array(tool.knots())
    inside = knots[tool.degree : tool.count + 1]
    value, times = np.unique(inside, return_counts=True)
    # between knots as many times there as the degree the spline may turn a corner
    cuts = [v for v, n in zip(value, times, strict=True)
            if n >= tool.degree or v in (value[0], value[-1])]  # fmt: skip
    return [free(place, t0, t1, layer) for t0, t1 in pairwise(cuts)]


_READERS: dict[str, Callable[..., list[Strand]]] = {
    "LINE": _line,
    "ARC": _round,
    "CIRCLE": _round,
    "LWPOLYLINE": _light_polyline,
    "POLYLINE": _polyline,
    "ELLIPSE": _ellipse,
    "SPLINE": _spline,
}
