"""A drawing brought in by upload: looked at first, then kept as the curve of a part."""

from __future__ import annotations

import asyncio
import math
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import numpy as np
from starlette.datastructures import FormData, UploadFile

from overbend.book.us_units import Reader
from overbend.curve import Curve
from overbend.curve.read import CurveRead, read_curve, read_drawing
from overbend.errors import DrawingFileError, OutputError, ProjectError
from overbend.plan import named_stations
from overbend.project import build_curve
from overbend.units import Display, format_length
from overbend.web.points import closeness
from overbend.web.session import Session
from overbend.web.store import plain_name
from overbend.web.words import words

__all__ = ["LARGEST_DRAWING", "look_at_drawing", "take_drawing"]

LARGEST_DRAWING = 3_000_000
"""Largest drawing that is taken in [bytes]."""

_UNITS = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8, "px": 25.4 / 96}
_PATIENCE = 20.0  # s that reading a drawing may take
_SHORTEST, _LONGEST = 10.0, 20_000.0  # mm: a unit that makes the curve less or more is not offered

T = TypeVar("T")


async def look_at_drawing(session: Session, form: FormData) -> dict[str, Any]:
    """What a drawing would give, without keeping it.

    Parameters
    ----------
    session : the open project.
    form : as for :func:`take_drawing`, with ``shown``, the reader's unit.

    Returns
    -------
    dict
        ``says``, sentences about it; ``line`` and ``now``, its curve and the part's present one
        laid chord on chord [mm, y down]; ``units``, each unit with the length it would give;
        ``ask`` when the drawing has no unit and none was chosen.

    Raises
    ------
    ProjectError, DrawingFileError
        When there is no such part, or the drawing cannot be used in any unit.
    """
    part, _, kind, data, unit = await _sent(session, form)
    loaded = session.readable()
    display = Display("in" if form.get("shown") == "in" else "mm")
    old = build_curve(loaded.project.bent[part].curve, loaded.project, loaded.folder)
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / f"{plain_name(_name(form))}{kind}"
        file.write_bytes(data)
        found, why = await _in_time(lambda: _read(file, unit), file.name)
        units = await _in_time(lambda: _by_unit(file, found, unit), file.name)
    offered = [[u, format_length(length, display)] for u, length in units.items()]
    if found is None:
        if not units:
            raise why or DrawingFileError("the drawing cannot be read", file.name)
        return {"ask": True, "units": offered, "says": [words("curves.import.ask")],
                "line": [], "now": []}  # fmt: skip
    line, now = _laid(found.curve), _laid(old)
    says = [*_says(found, display), words("curves.import.now", part=part,
                                          length=format_length(old.length, display))]  # fmt: skip
    return {"ask": False, "units": offered, "says": says, "line": line, "now": now}


async def take_drawing(session: Session, form: FormData) -> str:
    """Copy a drawing beside the project file and let a part follow it.

    The drawing is read first, in a thread and for a bounded time; only one that gives a curve
    is kept. The part gets a curve table of its own that names the file; its named places are
    put at the same share of the length.

    Parameters
    ----------
    session : the open project.
    form : fields ``drawing`` (the file), ``part`` and ``unit`` ("" for what the file says).

    Raises
    ------
    ProjectError, DrawingFileError, OutputError
        When there is no such part, or the drawing cannot be used or kept.
    """
    part, name, kind, data, unit = await _sent(session, form)
    stem = plain_name(Path(name).stem)
    file, curve = await _kept(session.path.parent, stem, kind, data, unit or None)
    await _follow(session, part, file, stem, unit, curve)
    return words("curves.import.done", file=file)


def _name(form: FormData) -> str:
    upload = form.get("drawing")
    given = upload.filename if isinstance(upload, UploadFile) else None
    return Path((given or "drawing").replace("\\", "/")).stem or "drawing"


async def _sent(session: Session, form: FormData) -> tuple[str, str, str, bytes, str]:
    """Part, name, kind, bytes and unit of what was sent, when they can be used."""
    upload, part, unit = form.get("drawing"), str(form.get("part", "")), str(form.get("unit", ""))
    if not isinstance(upload, UploadFile) or not upload.filename:
        raise DrawingFileError("no drawing was sent", allowed="a DXF or SVG file")
    if part not in session.readable().project.bent:
        raise ProjectError(f"there is no bent part {part[:60]!r}")
    name = Path(upload.filename.replace("\\", "/")).name
    kind = Path(name).suffix.lower()
    if kind not in (".dxf", ".svg") or unit not in ("", *_UNITS):
        raise DrawingFileError(f"{name[:60]!r} cannot be used", allowed="a DXF or SVG file")
    data = await upload.read(LARGEST_DRAWING + 1)
    if len(data) > LARGEST_DRAWING:
        raise DrawingFileError(f"{name[:60]} is too large", allowed=f"{LARGEST_DRAWING / 1e6:g} MB")
    return part, name, kind, data, unit


async def _in_time(work: Callable[[], T], name: str) -> T:
    """Do something in a thread, for a bounded time."""
    try:
        return await asyncio.wait_for(asyncio.to_thread(work), _PATIENCE)
    except TimeoutError as error:
        raise DrawingFileError("the drawing takes too long to read", name) from error


# -- looking ------------------------------------------------------------------------------


def _read(file: Path, unit: str) -> tuple[CurveRead | None, DrawingFileError | None]:
    try:
        return read_drawing(file, unit or None), None
    except DrawingFileError as error:
        return None, error


def _by_unit(file: Path, found: CurveRead | None, unit: str) -> dict[str, float]:
    """Length of the curve in each unit it may have been drawn in [mm]."""
    for other in (unit, "mm", "in", "m"):
        if not other:
            continue
        read = found if other == unit else _read(file, other)[0]
        if read is not None:
            per = read.curve.length / _UNITS[other]
            lengths = {u: per * size for u, size in _UNITS.items()}
            return {u: n for u, n in lengths.items() if _SHORTEST < n < _LONGEST}
    return {}


def _says(found: CurveRead, display: Display) -> list[str]:
    """What came out, and how true it is."""
    _, kappa = found.curve.tightest
    length = format_length(found.curve.length, display)
    if kappa == 0.0:
        size = words("curves.import.straight", length=length)
    else:
        radius = format_length(1.0 / abs(kappa), display)
        size = words("curves.import.size", length=length, radius=radius)
    near = closeness(found.deviation, display)
    true = words("curves.import.true", deviation=near) if found.deviation > 1e-6 else words(
        "curves.import.exact"
    )  # fmt: skip
    notes = map(Reader(display.system).words, found.notes)
    return [size, true, *(f"{note[:1].upper()}{note[1:]}." for note in notes)]


def _laid(curve: Curve) -> list[list[float]]:
    """A curve with its start at the origin and its chord level, y down [mm]."""
    points = curve.point(curve.even_grid(161)) - curve.point(0.0)
    angle = math.atan2(points[-1, 1], points[-1, 0])
    c, s = math.cos(angle), math.sin(angle)
    turned = points @ np.array([[c, -s], [s, c]])
    rows: list[list[float]] = np.round(turned * [1.0, -1.0], 1).tolist()
    return rows


# -- keeping ------------------------------------------------------------------------------


async def _kept(
    folder: Path, stem: str, kind: str, data: bytes, unit: str | None
) -> tuple[str, Curve]:
    """Write the drawing under a free name, and take it away again if it cannot be read."""
    for number in range(1, 1000):
        file = folder / f"{stem}{'' if number == 1 else f'-{number}'}{kind}"
        try:
            with file.open("xb") as stream:
                stream.write(data)
            break
        except FileExistsError:
            continue
        except OSError as error:
            raise OutputError(f"the drawing cannot be kept: {error.strerror}", file.name) from error
    try:
        return file.name, await _in_time(lambda: read_curve(file, unit), file.name)
    except BaseException:
        file.unlink(missing_ok=True)
        raise


async def _follow(
    session: Session, part: str, file: str, stem: str, unit: str, curve: Curve
) -> None:
    """Give the part a curve table of its own that names the drawing."""
    loaded = session.readable()
    known = loaded.project.curve
    name = next(n for n in (stem, *(f"{stem}-{i}" for i in range(2, 1000))) if n not in known)
    old = build_curve(loaded.project.bent[part].curve, loaded.project, loaded.folder)
    places = {
        station: round(s / old.length * curve.length, 1)
        for station, s in named_stations(old).items()
    }
    table: dict[str, object] = {"file": file}
    if unit:
        table["unit"] = unit
    if places:
        table["stations"] = {n: f"{s:g} mm" for n, s in places.items()}
    edits: list[tuple[str, object]] = [
        (f"curve.{name}.{key}", value) for key, value in table.items()
    ]
    await session.put(None, [*edits, (f"part.{part}.curve", name)], file)
