"""A drawing brought in by upload becomes the curve of a part."""

from __future__ import annotations

import asyncio
from pathlib import Path

from starlette.datastructures import FormData, UploadFile

from overbend.curve.read import read_curve
from overbend.errors import DrawingFileError, OutputError, ProjectError
from overbend.web.session import Session
from overbend.web.store import plain_name
from overbend.web.words import words

__all__ = ["LARGEST_DRAWING", "take_drawing"]

LARGEST_DRAWING = 3_000_000
"""Largest drawing that is taken in [bytes]."""

_UNITS = ("mm", "cm", "m", "in", "ft", "px")
_PATIENCE = 20.0  # s that reading a drawing may take


async def take_drawing(session: Session, form: FormData) -> str:
    """Copy a drawing beside the project file and let a part follow it.

    The drawing is read first, in a thread and for a bounded time; only one that gives a curve
    is kept. The part gets a curve table of its own that names the file.

    Parameters
    ----------
    session : the open project.
    form : fields ``drawing`` (the file), ``part`` and ``unit`` ("" for what the file says).

    Raises
    ------
    ProjectError, DrawingFileError, OutputError
        When there is no such part, or the drawing cannot be used or kept.
    """
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
    stem = plain_name(Path(name).stem)
    file = await _kept(session.path.parent, stem, kind, data, unit or None)
    await _follow(session, part, file, stem, unit)
    return words("curves.import.done", file=file)


async def _kept(folder: Path, stem: str, kind: str, data: bytes, unit: str | None) -> str:
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
        await asyncio.wait_for(asyncio.to_thread(read_curve, file, unit), _PATIENCE)
    except TimeoutError as error:
        file.unlink(missing_ok=True)
        raise DrawingFileError("the drawing takes too long to read", file.name) from error
    except BaseException:
        file.unlink(missing_ok=True)
        raise
    return file.name


async def _follow(session: Session, part: str, file: str, stem: str, unit: str) -> None:
    """Give the part a curve table of its own that names the drawing."""
    known = session.readable().project.curve
    name = next(n for n in (stem, *(f"{stem}-{i}" for i in range(2, 1000))) if n not in known)
    edits: list[tuple[str, object]] = [(f"curve.{name}.file", file)]
    if unit:
        edits.append((f"curve.{name}.unit", unit))
    edits.append((f"part.{part}.curve", name))
    await session.put(None, edits, file)
