"""Curves from drawings: DXF and SVG."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path

from overbend.curve.core import Curve
from overbend.curve.read_dxf import dxf_strands
from overbend.curve.read_svg import svg_strands
from overbend.curve.settle import settled
from overbend.curve.strands import in_order
from overbend.errors import CurveError, DrawingFileError

__all__ = ["CurveRead", "read_curve", "read_drawing"]

_UNITS = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8, "px": 25.4 / 96}
_LARGEST = 10_000_000  # bytes
_LONGEST = 50_000.0  # mm: longer than any bent part; the unit is surely wrong
_READERS = {".dxf": dxf_strands, ".svg": svg_strands}


@dataclass(frozen=True)
class CurveRead:
    """A curve read from a drawing, and how true it is to it.

    Parameters
    ----------
    curve : the curve [mm], y upwards.
    deviation : greatest distance of the drawn path from it [mm]; where many short lines
        stand for a curve, of their ends.
    notes : what was done that the maker should know, sentences.
    """

    curve: Curve
    deviation: float
    notes: tuple[str, ...]


def read_curve(
    path: str | Path,
    unit: str | None = None,
    layer: str | None = None,
    tolerance: float = 0.05,
) -> Curve:
    """Read one curve from a DXF or SVG drawing.

    Lines and arcs (also as polylines with bulges) are taken over exactly, in any order and
    direction, as long as they meet end to end and tangentially. Ellipses, splines and
    Bezier curves are replaced by fair curves within the tolerance, and so is a polyline of
    many short lines that turn by less than 10 degrees each.

    Parameters
    ----------
    path : file ending in .dxf or .svg, up to 10 MB.
    unit : unit it was drawn in: mm, cm, m, in, ft or px (96 to the inch). Needed only where
        the file does not say; what is given here counts more than what the file says.
    layer : DXF layer, or id or label of an SVG group or shape, that holds the curve.
        None: everything shown.
    tolerance : greatest departure from the drawn path [mm].

    Returns
    -------
    Curve
        In mm, y upwards, running the way its first piece was drawn.

    Raises
    ------
    DrawingFileError
        A file that cannot be read, has no unit, holds no path or several, or a corner.
    CurveError
        A tolerance that is not above zero.

    See Also
    --------
    read_drawing : the same, with the deviation reached and notes.

    Examples
    --------
    >>> import tempfile
    >>> text = (
    ...     '<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="200mm"'
    ...     ' viewBox="0 0 300 200"><path d="M0,200 H100 A50,50 0 0 0 150,150 V0"/></svg>'
    ... )
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     file = Path(folder) / "hook.svg"
    ...     _ = file.write_text(text)
    ...     hook = read_curve(file)
    >>> [round(p.length, 3) for p in hook.pieces if p.kappa0 == 0]
    [100.0, 150.0]
    >>> round(1 / hook.kappa(120.0).item(), 6)
    50.0
    """
    return read_drawing(path, unit, layer, tolerance).curve


def read_drawing(
    path: str | Path,
    unit: str | None = None,
    layer: str | None = None,
    tolerance: float = 0.05,
) -> CurveRead:
    """Read one curve from a drawing, with the deviation reached; see :func:`read_curve`."""
    if not (math.isfinite(tolerance) and tolerance > 0):
        raise CurveError(f"a tolerance of {tolerance:g} mm", allowed="a length above zero")
    file = Path(path)
    try:
        return _read(file, unit, layer, tolerance)
    except DrawingFileError as error:
        raise error.at(file.name) from None


def _read(file: Path, unit: str | None, layer: str | None, tolerance: float) -> CurveRead:
    reader = _READERS.get(file.suffix.lower())
    if reader is None:
        raise DrawingFileError(
            f"a file ending in {file.suffix!r}",
            allowed=".dxf or .svg",
            todo="save it as DXF or SVG",
        )
    if unit is not None and unit not in _UNITS:
        raise DrawingFileError(f"the unit {unit!r}", allowed=", ".join(_UNITS))
    try:
        size = file.stat().st_size
        if size > _LARGEST:
            raise DrawingFileError(
                f"the file is {size / 1e6:.1f} MB large",
                allowed=f"up to {_LARGEST / 1e6:.0f} MB",
                todo="save only the curve to a file of its own",
            )
        strands, notes = reader(file, None if unit is None else _UNITS[unit], layer)
    except OSError as error:
        raise DrawingFileError(
            f"cannot be opened: {error.strerror or error}", todo="check the path"
        ) from None
    path = in_order(strands, tolerance)
    _refuse_length(sum(s.length for s in path), tolerance)
    found = settled(path, tolerance)
    return CurveRead(found.curve, found.deviation, (*notes, *found.notes))


def _refuse_length(length: float, tolerance: float) -> None:
    """Raise when the curve cannot be of wood."""
    if not 10 * tolerance < length < _LONGEST:
        raise DrawingFileError(
            f"the curve comes out {length:.4g} mm long",
            allowed=f"{10 * tolerance:g} to {_LONGEST:g} mm",
            todo="say in what unit it was drawn",
        )
