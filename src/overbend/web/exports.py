"""What leaves the page as files: the book with its progress, templates and lists singly."""

from __future__ import annotations

import asyncio
import csv
import io
import json
import logging
import zipfile
from pathlib import Path
from typing import Any, cast

from starlette.responses import FileResponse, Response

from overbend.book import Written, write_book
from overbend.book.boards_csv import board_lists
from overbend.book.chapters.strips import strip_rows
from overbend.book.folder import MARK
from overbend.book.us_units import reader_of
from overbend.book.words import TRIAL_FORM
from overbend.book.write import stamp_of, templates_of
from overbend.draw.dxf import to_dxf
from overbend.draw.svg import to_svg
from overbend.draw.tiles import tiles_pdf
from overbend.errors import InputError, OverbendError
from overbend.plan import Cutting, Plan, plan_data
from overbend.project import read
from overbend.project.shop_state import ShopState
from overbend.units import Display, System, format_length
from overbend.web.live import Hub
from overbend.web.words import words

__all__ = ["Exports", "book_folder"]

_BOARDS = ("buying.csv", "cuts.csv", "sheet-cuts.csv")
_LOG = logging.getLogger("overbend.web")
_TYPES = {
    "pdf": "application/pdf", "svg": "image/svg+xml", "dxf": "image/vnd.dxf",
    "csv": "text/csv", "json": "application/json", "toml": "application/toml",
}  # fmt: skip


def book_folder(path: Path) -> Path:
    """Where the book of a project is written: beside its file."""
    return path.with_name(f"{path.stem}-book")


class Exports:
    """Writes files of open projects.

    Parameters
    ----------
    hub : the open projects.
    """

    def __init__(self, hub: Hub) -> None:
        self.hub = hub
        self._jobs: dict[Path, asyncio.Task[None]] = {}

    def begin(self, path: Path, units: str) -> None:
        """Begin to make a project's book, unless it is being made."""
        job = self._jobs.get(path)
        if job is None or job.done():
            self._jobs[path] = asyncio.create_task(self._book(path, units))

    async def _book(self, path: Path, units: str) -> None:
        session = self.hub.session(path)
        loop = asyncio.get_running_loop()

        def step(what: str, done: int, of: int) -> None:
            text = words("book.busy", what=what, done=done, of=of)
            message = {"type": "book", "text": text, "done": done, "of": of}
            asyncio.run_coroutine_threadsafe(session.tell(message), loop)

        try:
            plan = _plan(session.text, path, units, session.shop_state)
            written = await asyncio.to_thread(write_book, plan, book_folder(path), step=step)
        except OverbendError as error:
            reader = reader_of(session.text, _system(units), (path.name,))
            await session.tell({"type": "book", "trouble": str(reader.error(error))})
        except Exception:
            _LOG.exception("writing the book of %s", path.name)
            await session.tell({"type": "book", "trouble": words("page.failed")})
        else:
            await session.tell(_done(written))

    async def file(self, path: Path, name: str) -> Response:
        """Return one file: a template by part, a list, ``book.pdf`` or ``book.zip``.

        Raises
        ------
        InputError
            When there is no such file.
        """
        folder = book_folder(path)
        if name == "book.pdf" and (folder / name).is_file():
            return FileResponse(folder / name, media_type=_TYPES["pdf"])
        if name == "book.zip" and (folder / MARK).is_file():
            data = await asyncio.to_thread(_zipped, folder)
            return _attached(data, f"{folder.name}.zip", "application/zip")
        session = self.hub.session(path)
        if name in _BOARDS:
            data = _board_list(name, session.cutting, session.readable().project.shop.currency)
        else:
            data = await asyncio.to_thread(_single, session.text, path, name, session.shop_state)
        return _attached(data, name, _TYPES[name.rsplit(".", 1)[-1]])


def _plan(
    text: str,
    path: Path,
    units: str = "",
    state: ShopState = ShopState(),  # noqa: B008 - frozen and empty
) -> Plan:
    loaded = read(text, path)
    return Plan(loaded, Display(_system(units) or loaded.project.units), state)


def _system(units: str) -> System | None:
    return cast("System", units) if units in ("mm", "in") else None


def _done(written: Written) -> dict[str, Any]:
    said = words("book.done", files=len(written.files), folder=written.folder.name)
    return {"type": "book", "text": said, "finished": True}


def _attached(data: bytes, name: str, media: str) -> Response:
    """Bytes as a download."""
    return Response(
        data, media_type=media, headers={"content-disposition": f'attachment; filename="{name}"'}
    )


def _zipped(folder: Path) -> bytes:
    """A folder as a ZIP archive."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for file in sorted(folder.rglob("*")):
            if file.is_file():
                archive.write(file, f"{folder.name}/{file.relative_to(folder).as_posix()}")
    return out.getvalue()


def _board_list(name: str, cutting: Cutting | None, currency: str) -> bytes:
    """One list of the cutting plan that the page shows."""
    lists = dict(board_lists(cutting, currency))
    if f"lists/{name}" not in lists:
        raise InputError(f"there is no {name} yet", todo="wait until the boards are chosen")
    return lists[f"lists/{name}"]


def _single(text: str, path: Path, name: str, state: ShopState) -> bytes:
    """Make one template or list."""
    stem, _, kind = name.rpartition(".")
    plan = _plan(text, path, state=state)
    if name == "strips.csv":
        out = io.StringIO(newline="")
        csv.writer(out).writerows(strip_rows(plan))
        return out.getvalue().encode()
    if name == "plan.json":
        return json.dumps(plan_data(plan), indent=1).encode()
    if name == "project.toml":
        return text.encode()
    part = next((p for n, p in plan.bent.items() if stem.startswith(f"{n}-")), None)
    stamp = stamp_of(plan)
    drawing = (
        templates_of(part, stamp).get(stem) if part and kind in ("pdf", "dxf", "svg") else None
    )
    if drawing is None:
        raise InputError(f"there is no file {name[:60]!r}")
    if kind == "dxf":
        return to_dxf(drawing)
    if kind == "svg":
        return to_svg(drawing, theme="print").encode()
    shown = plan.display
    proven = part is None or part.set.proven or stem.endswith("-at-rest")
    return tiles_pdf(
        drawing,
        plan.project.shop.paper,
        length_text=lambda mm: format_length(mm, shown),
        stamp=stamp,
        warning="" if proven else TRIAL_FORM,
    )
