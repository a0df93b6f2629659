"""The ledger's file: opening it, keeping its version, reading and writing records.

One SQLite file. Readers never wait for a writer; a second writer waits a bounded time. What a
`with` block writes is there whole or not at all, also when the program or the machine stops.
"""

from __future__ import annotations

import json
import os
import sqlite3
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any, Self, TypeVar

from overbend.errors import LedgerError
from overbend.ledger.evidence import check_trial
from overbend.ledger.migrations import APPLICATION_ID, MIGRATIONS
from overbend.ledger.records import (
    KINDS,
    Measurement,
    Record,
    Run,
    RunEvent,
    Trial,
    read_record,
)
from overbend.ledger.rows import as_record, as_row
from overbend.ledger.troubles import said

__all__ = ["WAIT", "Ledger", "default_path", "open_ledger"]

WAIT = 5.0  # s a writer waits for another one before it gives up. Our choice
_MAGIC = b"SQLite format 3\x00"

R = TypeVar("R", bound=Record)


def default_path() -> Path:
    """Where the ledger lies when no place is named.

    Returns
    -------
    Path
        What ``OVERBEND_LEDGER`` names, else ``ledger.sqlite`` in the user's data folder.
    """
    named = os.environ.get("OVERBEND_LEDGER")
    if named:
        return Path(named).expanduser()
    from platformdirs import user_data_path

    return user_data_path("overbend", appauthor=False) / "ledger.sqlite"


def open_ledger(
    path: Path | None = None,
    *,
    make: bool = True,
    wait: float = WAIT,
    steps: Sequence[Sequence[str]] = MIGRATIONS,
) -> Ledger:
    """Open a ledger; an older one is brought up to date.

    Parameters
    ----------
    path : its file; None: :func:`default_path`.
    make : whether to make a new one where there is none, at the usual place with its folder.
    wait : how long to wait for another program's writing [s].
    steps : migrations, the first from an empty file.

    Raises
    ------
    LedgerError
        When there is none and none is to be made, when the file is no ledger or one of a newer
        version, when it cannot be opened, or when another program keeps it locked for longer
        than `wait`.

    Examples
    --------
    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     with open_ledger(Path(folder) / "shop.sqlite") as ledger:
    ...         ledger.all_of(Trial)
    ()
    """
    file = path if path is not None else default_path()
    _prepare(file, make, make and path is None)
    with said(file):
        connection = sqlite3.connect(file, timeout=wait, isolation_level=None)
    try:
        with said(file):
            _check_file(connection, file, len(steps))
            connection.execute("PRAGMA foreign_keys = ON")
            connection.execute("PRAGMA synchronous = FULL")
            _share(connection, wait)
            _migrate(connection, file, steps)
    except BaseException:
        connection.close()
        raise
    return Ledger(connection, file)


class Ledger:
    """An open ledger; use it in a `with` block, or close it.

    Parameters
    ----------
    connection : to its file.
    path : of its file.
    """

    def __init__(self, connection: sqlite3.Connection, path: Path) -> None:
        self._connection, self.path = connection, path

    def __enter__(self) -> Self:
        """Return the ledger."""
        return self

    def __exit__(self, *_: object) -> None:
        """Close the file."""
        self.close()

    def close(self) -> None:
        """Close the file; what was written is kept."""
        with said(self.path):
            self._connection.close()

    @contextmanager
    def writing(self) -> Iterator[None]:
        """Everything written in this block is kept whole, or not at all; blocks may nest.

        Raises
        ------
        LedgerError
            When the file cannot be written; it stays as it was.
        """
        if self._connection.in_transaction:
            yield
            return
        with said(self.path), _transaction(self._connection, "IMMEDIATE"):
            yield

    @contextmanager
    def reading(self) -> Iterator[None]:
        """Everything read in this block is of one moment."""
        with said(self.path), _transaction(self._connection, "DEFERRED"):
            yield

    def add(self, record: Record) -> int:
        """Add a record and return its number.

        Raises
        ------
        LedgerError
            When it is there already, refers to a board or form that is not, or cannot be written.
        TrialError, LayupError
            When a trial bend contradicts itself.
        """
        if isinstance(record, Trial):
            check_trial(record)
        with self.writing():
            return self._insert(record)

    def all_of(self, kind: type[R]) -> tuple[tuple[int, R], ...]:
        """Every record of a kind with its number, oldest first.

        Raises
        ------
        LedgerError
            When the file cannot be read or holds what no record can be.
        """
        table = _table(kind)
        with said(self.path):
            found = [as_record(r) for r in self._dicts(f"SELECT * FROM {table} ORDER BY id")]
            measured = self._measurements() if kind is Trial else {}
            events = self._events() if kind is Run else {}
        out = []
        for row in found:
            number = row.pop("id")
            if kind is Trial:
                row["measurements"] = measured.get(number, [])
            if kind is Run:
                row["events"] = events.get(number, [])
            where = f"{self.path}, {table}, number {number}"
            out.append((number, read_record(kind, row, where)))
        return tuple(out)

    def trial(self, number: int) -> Trial:
        """Return the trial bend of a number.

        Raises
        ------
        LedgerError
            When there is none.
        """
        found = dict(self.all_of(Trial))
        if number not in found:
            raise LedgerError(
                f"there is no trial bend {number}",
                str(self.path),
                allowed=", ".join(map(str, found)) or "none yet",
                todo="overbend trial list shows their numbers",
            )
        return found[number]

    def measure(self, number: int, measurement: Measurement) -> Trial:
        """Add a measurement to a trial bend and return it with all of them.

        Raises
        ------
        LedgerError
            When there is no such trial, or the file cannot be written.
        TrialError, LayupError
            When the measurement contradicts the trial.
        """
        with self.writing():
            trial = self.trial(number)
            more = trial.model_copy(update={"measurements": (*trial.measurements, measurement)})
            check_trial(more)
            self._put("measurements", _measurement_row(number, measurement))
        return more

    def remove_trial(self, number: int) -> None:
        """Take a trial bend out, with what was measured on it.

        Raises
        ------
        LedgerError
            When there is none, or the file cannot be written.
        """
        with self.writing():
            self.trial(number)
            self._connection.execute("DELETE FROM trial_bends WHERE id = ?", (number,))

    def replace(self, number: int, record: Record) -> None:
        """Put a record, changed, in the place of the one of that number; not for trial bends.

        Raises
        ------
        LedgerError
            When there is no such record, or the file cannot be written.
        """
        row, table = as_row(record.model_dump()), _table(type(record))
        values = ", ".join(f"{name} = ?" for name in row)
        with self.writing():
            done = self._connection.execute(
                f"UPDATE {table} SET {values} WHERE id = ? AND uid = ?",
                (*row.values(), number, record.uid),
            )
            if done.rowcount != 1:
                raise LedgerError(f"there is no number {number} in {table}", str(self.path))

    def log(self, number: int, events: Sequence[RunEvent]) -> None:
        """Add what happened to a steam day; what is there already stays as it is.

        Raises
        ------
        LedgerError
            When there is no such day, or the file cannot be written.
        """
        with self.writing():
            if not self._dicts(f"SELECT id FROM runs WHERE id = {int(number)}"):
                raise LedgerError(f"there is no steam day {number}", str(self.path))
            for event in events:
                row = {"run": number, **event.model_dump()}
                self._put("run_events", row, "INSERT OR IGNORE")

    def remove(self, kind: type[Record], number: int) -> None:
        """Take out a record that was entered by mistake.

        Raises
        ------
        LedgerError
            When there is none, when a trial bend refers to it, or the file cannot be written.
        """
        table = _table(kind)
        with self.writing():
            try:
                done = self._connection.execute(f"DELETE FROM {table} WHERE id = ?", (number,))
            except sqlite3.IntegrityError as error:
                raise LedgerError(
                    f"number {number} in {table} is what a trial bend was made from",
                    str(self.path),
                    todo="mark it as gone, and what was learnt from it stays known",
                ) from error
            if done.rowcount != 1:
                raise LedgerError(f"there is no number {number} in {table}", str(self.path))

    def _insert(self, record: Record) -> int:
        row = record.model_dump()
        measurements, events = row.pop("measurements", ()), row.pop("events", ())
        try:
            number = self._put(_table(type(record)), as_row(row))
            for measured in measurements:
                self._put("measurements", _measurement_row(number, Measurement(**measured)))
            for event in events:
                self._put("run_events", {"run": number, **event})
        except sqlite3.IntegrityError as error:
            raise LedgerError(
                f"the record {record.uid} is there already, or refers to what is not there",
                str(self.path),
                allowed="a record of its own, on a board and a form of this ledger",
            ) from error
        return number

    def _put(self, table: str, row: dict[str, Any], how: str = "INSERT") -> int:
        marks = ", ".join("?" * len(row))
        statement = f"{how} INTO {table} ({', '.join(row)}) VALUES ({marks})"
        return int(self._connection.execute(statement, tuple(row.values())).lastrowid or 0)

    def _dicts(self, statement: str) -> list[dict[str, Any]]:
        cursor = self._connection.execute(statement)
        names = [column[0] for column in cursor.description]
        return [dict(zip(names, row, strict=True)) for row in cursor]

    def _events(self) -> dict[int, list[dict[str, Any]]]:
        """Events by the number of their steam day, in order of time."""
        found: dict[int, list[dict[str, Any]]] = {}
        for row in self._dicts("SELECT * FROM run_events ORDER BY run, at, id"):
            del row["id"]
            found.setdefault(row.pop("run"), []).append(row)
        return found

    def _measurements(self) -> dict[int, list[dict[str, Any]]]:
        """Measurements by the number of their trial."""
        found: dict[int, list[dict[str, Any]]] = {}
        for row in self._dicts("SELECT * FROM measurements ORDER BY trial, id"):
            del row["id"]
            row["past_half"] = bool(row["past_half"])
            row["points"] = json.loads(row["points"]) if row["points"] else None
            found.setdefault(row.pop("trial"), []).append(row)
        return found


def _table(kind: type[Record]) -> str:
    return next(name for name, known in KINDS.items() if known is kind)


def _measurement_row(trial: int, measurement: Measurement) -> dict[str, Any]:
    row = {"trial": trial, **measurement.model_dump()}
    row["points"] = json.dumps(row["points"]) if row["points"] else None
    return row


# -- the file ----------------------------------------------------------------------------
def _prepare(file: Path, make: bool, make_folder: bool) -> None:
    """Refuse what cannot be a ledger before SQLite touches it."""
    try:
        if make_folder:
            file.parent.mkdir(parents=True, exist_ok=True)
        head = _head(file) if file.exists() else None
        folder = file.parent.is_dir()
    except OSError as error:
        raise LedgerError(
            f"the ledger cannot be opened: {error.strerror or error}",
            str(file),
            todo="check the place and its permissions, or name another one with --ledger",
        ) from error
    if head is None and not make:
        raise LedgerError(
            "there is no ledger here yet",
            str(file),
            todo="overbend trial add starts one, or name the place of yours with --ledger",
        )
    if not folder:
        raise LedgerError(
            "there is no such folder", str(file.parent), todo="make it, or name another place"
        )
    if head and head != _MAGIC:
        raise _no_ledger(file)


def _head(file: Path) -> bytes:
    """First bytes of a file; they tell what wrote it."""
    with file.open("rb") as stream:
        return stream.read(len(_MAGIC))


def _no_ledger(file: Path) -> LedgerError:
    return LedgerError(
        "the file is not an Overbend ledger",
        str(file),
        allowed="a ledger, or a file that does not exist yet",
        todo="name the ledger's own file with --ledger; this one was not touched",
    )


def _check_file(connection: sqlite3.Connection, file: Path, newest: int) -> None:
    """Refuse somebody else's database, and a ledger of a newer version."""
    if _number(connection, "PRAGMA application_id") != APPLICATION_ID:
        if _number(connection, "SELECT count(*) FROM sqlite_master") or _version(connection):
            raise _no_ledger(file)
        return
    if _version(connection) > newest:
        raise LedgerError(
            f"the ledger is of version {_version(connection)}, written by a newer Overbend",
            str(file),
            allowed=f"up to version {newest}",
            todo="bring this Overbend up to date; the ledger was not touched",
        )


def _share(connection: sqlite3.Connection, wait: float) -> None:
    """Let readers and one writer work side by side (write-ahead log)."""
    end = time.monotonic() + wait
    while True:
        try:
            connection.execute("PRAGMA journal_mode = WAL")
            return
        except sqlite3.OperationalError as error:
            busy = (error.sqlite_errorcode & 0xFF) == sqlite3.SQLITE_BUSY
            if not busy or time.monotonic() > end:
                raise
            time.sleep(0.02)


def _migrate(connection: sqlite3.Connection, file: Path, steps: Sequence[Sequence[str]]) -> None:
    """Carry out the steps that are still to come, each whole or not at all."""
    while _version(connection) < len(steps):
        with _transaction(connection, "IMMEDIATE"):
            _check_file(connection, file, len(steps))
            version = _version(connection)
            if version == len(steps):
                return
            for statement in steps[version]:
                connection.execute(statement)
            connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            connection.execute(f"PRAGMA user_version = {version + 1}")


@contextmanager
def _transaction(connection: sqlite3.Connection, kind: str) -> Iterator[None]:
    connection.execute(f"BEGIN {kind}")
    try:
        yield
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            with suppress(sqlite3.Error):
                connection.execute("ROLLBACK")
        raise


def _version(connection: sqlite3.Connection) -> int:
    return _number(connection, "PRAGMA user_version")


def _number(connection: sqlite3.Connection, statement: str) -> int:
    return int(connection.execute(statement).fetchone()[0])
