"""Sheet layers of a form: how many, how much sheet, and how they are pinned together."""

from __future__ import annotations

import math
from dataclasses import dataclass

from overbend.curve import ArcPath
from overbend.errors import InputError

__all__ = ["GAP", "Layers", "layers_of", "rectangles_per_sheet"]

GAP = 10.0  # mm left between shapes, and round the sheet's edge; common practice, no source


@dataclass(frozen=True)
class Layers:
    """Layers of one form body.

    Parameters
    ----------
    count : sheets on each other.
    sheet_thickness, thickness : of one and of all [mm].
    spare : how much wider than the part they are together [mm].
    area : of one layer, holes counted as sheet [mm2].
    box : long and short side of the least rectangle round a layer [mm].
    per_sheet : how many of these rectangles one stock sheet gives; 0 when none fits.
    sheets : stock sheets to buy; 0 when a layer does not fit one.
    """

    count: int
    sheet_thickness: float
    thickness: float
    spare: float
    area: float
    box: tuple[float, float]
    per_sheet: int
    sheets: int


def layers_of(
    outline: ArcPath, width: float, sheet_thickness: float, stock_sheet: tuple[float, float]
) -> Layers:
    """Layers of a body to at least the wood's width.

    Parameters
    ----------
    outline : closed outline of the body.
    width : of the wood as it lies on the form [mm].
    sheet_thickness : [mm].
    stock_sheet : length and width of the sheets bought [mm].

    Raises
    ------
    InputError
        For a width that is not above zero.

    Examples
    --------
    >>> import numpy as np
    >>> board = ArcPath.polyline(np.array([[0, 0], [700, 0], [700, 90], [0, 90]]), closed=True)
    >>> rows = layers_of(board, 50.0, 18.0, (2440.0, 1220.0))
    >>> rows.count, rows.thickness, rows.box, rows.per_sheet, rows.sheets
    (3, 54.0, (700.0, 90.0), 39, 1)
    """
    import shapely

    count = layer_count(width, sheet_thickness)
    shape = shapely.Polygon(outline.flatten(0.01))
    box = shapely.minimum_rotated_rectangle(shape)
    corners = shapely.get_coordinates(box)
    sides = [math.dist(corners[i], corners[i + 1]) for i in (0, 1)]
    long, short = round(max(sides), 3), round(min(sides), 3)
    fit = rectangles_per_sheet((long, short), stock_sheet)
    return Layers(
        count, sheet_thickness, count * sheet_thickness, count * sheet_thickness - width,
        float(shape.area), (long, short), fit, math.ceil(count / fit) if fit else 0,
    )  # fmt: skip


def layer_count(width: float, sheet_thickness: float) -> int:
    """Layers that reach the width.

    >>> layer_count(54.0, 18.0), layer_count(54.1, 18.0)
    (3, 4)
    """
    if not (math.isfinite(width) and width > 0):
        raise InputError(f"a part {width:g} mm wide", "form", "a width above zero")
    return math.ceil(width / sheet_thickness - 1e-9)


def rectangles_per_sheet(
    box: tuple[float, float], sheet: tuple[float, float], gap: float = GAP
) -> int:
    """Most like rectangles that a sheet gives in rows cut from edge to edge.

    Rows run along either side of the sheet, each with its rectangles one way up or the
    other; every mix of rows is counted, so the number is exact for cuts of that kind.

    Parameters
    ----------
    box, sheet : sides [mm].
    gap : left between rectangles and round the edge of the sheet [mm].

    Examples
    --------
    >>> rectangles_per_sheet((100.0, 60.0), (250.0, 170.0), gap=0.0)
    6
    """
    a, b = (side + gap for side in box)
    length, width = (max(0.0, side - gap) for side in sheet)
    return max(_rows(a, b, length, width), _rows(a, b, width, length))


def _rows(a: float, b: float, length: float, width: float) -> int:
    """Most rectangles in rows along the length: some of height b, the rest of height a."""
    flat, upright = _whole(length, a), _whole(length, b)
    most = _whole(width, b)
    return max(n * flat + _whole(width - n * b, a) * upright for n in range(most + 1))


def _whole(length: float, pitch: float) -> int:
    return math.floor(length / pitch + 1e-9)
