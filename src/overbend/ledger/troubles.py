"""Saying in plain words what SQLite refuses."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import NamedTuple

from overbend.errors import LedgerError

__all__ = ["said"]


class _Words(NamedTuple):
    problem: str
    todo: str


_BY_CODE = {
    sqlite3.SQLITE_BUSY: _Words(
        "another program is writing to the ledger and did not finish in time; nothing was changed",
        "close the other program, or try again in a moment",
    ),
    sqlite3.SQLITE_FULL: _Words(
        "the disk is full; what was to be written was not, what was there is untouched",
        "make room on the disk, then try again",
    ),
    sqlite3.SQLITE_READONLY: _Words(
        "the ledger or its folder may be read but not written to",
        "change the permission of the file and its folder, or name another place with --ledger",
    ),
    sqlite3.SQLITE_CANTOPEN: _Words(
        "the ledger cannot be opened here",
        "check that the folder exists and may be written to, or name another place with --ledger",
    ),
    sqlite3.SQLITE_NOTADB: _Words(
        "the file is not a ledger", "name the ledger's own file with --ledger"
    ),
    sqlite3.SQLITE_CORRUPT: _Words(
        "the ledger's file is damaged",
        "keep a copy of it, then go back to your last export or backup",
    ),
    sqlite3.SQLITE_IOERR: _Words(
        "the disk did not read or write as it should; the last change was not kept",
        "check the disk and its connection, then try again",
    ),
}
_BY_CODE[sqlite3.SQLITE_LOCKED] = _BY_CODE[sqlite3.SQLITE_BUSY]
_BY_TEXT = {
    "locked": sqlite3.SQLITE_BUSY,
    "is full": sqlite3.SQLITE_FULL,
    "readonly": sqlite3.SQLITE_READONLY,
    "unable to open": sqlite3.SQLITE_CANTOPEN,
    "not a database": sqlite3.SQLITE_NOTADB,
    "malformed": sqlite3.SQLITE_CORRUPT,
    "disk I/O": sqlite3.SQLITE_IOERR,
}


@contextmanager
def said(path: Path) -> Iterator[None]:
    """Turn an error of SQLite into a `LedgerError` that names the file.

    Examples
    --------
    >>> with said(Path("ledger.sqlite")):
    ...     raise sqlite3.OperationalError("database or disk is full")
    Traceback (most recent call last):
    overbend.errors.LedgerError: ledger.sqlite: the disk is full; what was to be written was \
not, what was there is untouched
      Do: make room on the disk, then try again
    """
    try:
        yield
    except sqlite3.Error as error:
        words = _BY_CODE.get(_code(error))
        if words is None:
            raise LedgerError(f"the ledger refused: {error}", str(path)) from error
        raise LedgerError(words.problem, str(path), todo=words.todo) from error


def _code(error: sqlite3.Error) -> int:
    """Primary code of an error; from its text where it carries none."""
    code: int | None = getattr(error, "sqlite_errorcode", None)
    if code is not None:
        return code & 0xFF
    return next((code for text, code in _BY_TEXT.items() if text in str(error)), -1)
