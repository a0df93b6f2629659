"""The project file on disk beside the text on the page: saving, and changes by others."""

from __future__ import annotations

import hashlib
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from overbend.errors import OverbendError, ProjectError
from overbend.project import save
from overbend.project.load import LARGEST_FILE

__all__ = ["Change", "Disk", "text_of"]


@dataclass(frozen=True)
class Change:
    """What was found on disk.

    Parameters
    ----------
    kind : "taken", another program changed the file and the page had nothing unsaved;
        "conflict", both had changed it; "gone", the file was moved or deleted; "unsaved", it
        cannot be written; "saved".
    text : of the file, when taken.
    file : where the other version was put, in a conflict.
    why : it cannot be written.
    """

    kind: Literal["taken", "conflict", "gone", "unsaved", "saved"]
    text: str = ""
    file: str = ""
    why: str = ""


def text_of(path: Path) -> str:
    """Text of a project file, whether it makes sense or not.

    Raises
    ------
    ProjectError
        When it is too large or no UTF-8.
    """
    data = path.read_bytes()
    if len(data) > LARGEST_FILE:
        raise ProjectError("the file is too large", path.name, f"{LARGEST_FILE / 1e6:g} MB")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise ProjectError("the file is not UTF-8", path.name) from error


class Disk:
    """Keeps one file in step with one text; neither side's changes are ever lost.

    Parameters
    ----------
    path : the file.
    text : as just read from it.
    """

    def __init__(self, path: Path, text: str) -> None:
        self.path = path
        self._known = _digest(text)  # of the file as last read or written
        self._seen = _stamp(path)

    def holds(self, text: str) -> bool:
        """Whether the file was last known to hold this text."""
        return self._known == _digest(text)

    def settle(self, text: str) -> Change | None:
        """Take in what others changed, or write what the page changed; None for neither.

        Parameters
        ----------
        text : what the page wants in the file.
        """
        try:
            found = self._other()
        except (OSError, ProjectError):
            found = None
            self._seen = _stamp(self.path)
        gone = self._seen is None
        if found is not None and self.holds(text):
            self._known = _digest(found)
            return Change("taken", text=found)
        beside = ""
        if found is not None and found != text:
            beside = self._keep(found)
        if self.holds(text) and not gone:
            return None
        return self._write(text, beside, gone)

    def _other(self) -> str | None:
        """Text another program wrote since, None when the file is as known."""
        stamp = _stamp(self.path)
        if stamp == self._seen or stamp is None:
            self._seen = stamp
            return None
        text = text_of(self.path)
        self._seen = stamp
        return None if _digest(text) == self._known else text

    def _keep(self, other: str) -> str:
        """Put the other version beside the file; its name."""
        file = self.path.with_name(f"{self.path.stem}.other-{time.strftime('%H%M%S')}.toml")
        save(file, other)
        return file.name

    def _write(self, text: str, beside: str, gone: bool) -> Change:
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            save(self.path, text)
        except (OverbendError, OSError) as error:
            return Change("unsaved", why=getattr(error, "problem", "") or str(error))
        self._known, self._seen = _digest(text), _stamp(self.path)
        if beside:
            return Change("conflict", file=beside)
        return Change("gone" if gone else "saved")


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def _stamp(path: Path) -> tuple[int, int, int] | None:
    """What changes when a file does; None for no file."""
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_mtime_ns, found.st_size, found.st_ino
