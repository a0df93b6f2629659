"""Everything in the ledger as JSON, and back.

A record keeps its `uid` in every ledger it is copied to. So an import adds what is not there,
leaves what is there alike, and refuses the whole file when one record differs.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, NoReturn

from overbend.errors import LedgerError, OverbendError
from overbend.ledger.evidence import check_trial
from overbend.ledger.migrations import MIGRATIONS
from overbend.ledger.records import KINDS, Record, Trial, read_record
from overbend.ledger.store import Ledger

__all__ = ["FORMAT", "Imported", "export_json", "import_json"]

FORMAT = "overbend-ledger"
_VERSION = len(MIGRATIONS)
_SINCE = {"runs": 2, "cuts": 3}  # versions from which on an export has these kinds

Records = dict[str, list[Record]]


@dataclass(frozen=True)
class Imported:
    """What an import did: records added, and records that were there already."""

    added: int
    there: int


def export_json(ledger: Ledger) -> str:
    """Everything in a ledger, as JSON text that :func:`import_json` reads.

    Raises
    ------
    LedgerError
        When the ledger cannot be read.
    """
    with ledger.reading():
        held = {name: ledger.all_of(kind) for name, kind in KINDS.items()}
    data: dict[str, Any] = {"format": FORMAT, "version": _VERSION}
    for name, records in held.items():
        data[name] = [record.model_dump(mode="json") for _, record in records]
    return json.dumps(data, ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def import_json(ledger: Ledger, text: str, where: str = "import") -> Imported:
    """Add the records of an export to a ledger, all of them or none.

    Parameters
    ----------
    ledger : to add to.
    text : of the export.
    where : what the text came from, for messages.

    Raises
    ------
    LedgerError
        When the text is no export, is of a newer version, holds a record that cannot be meant,
        refers to a record that is nowhere, or differs from a record that is there; nothing is
        added then.
    """
    given = _read(text, where)
    with ledger.writing():
        held = {
            name: {record.uid: record for _, record in ledger.all_of(kind)}
            for name, kind in KINDS.items()
        }
        fresh = [r for name, records in given.items() for r in _fresh(name, records, held, where)]
        for record in fresh:
            ledger.add(record)
    return Imported(len(fresh), sum(map(len, given.values())) - len(fresh))


def _fresh(
    table: str, records: list[Record], held: Mapping[str, Mapping[str, Record]], where: str
) -> list[Record]:
    """Records that are not there yet; refuse those that are there and differ."""
    fresh = []
    for number, record in enumerate(records, start=1):
        there = held[table].get(record.uid)
        if there is None:
            fresh.append(record)
        elif there != record:
            raise LedgerError(
                f"record {record.uid} differs from the one that is there",
                f"{where}, {table}, number {number}",
                allowed="the same record, or one with a uid of its own",
                todo="import into another ledger, or give the record a new uid",
            )
    return fresh


def _read(text: str, where: str) -> Records:
    """Read and check everything before anything is written."""
    data = _parsed(text, where)
    _check_head(data, where)
    given = {
        name: [_record(name, i, v, where) for i, v in enumerate(data.get(name, []), start=1)]
        for name in KINDS
    }
    uids = [record.uid for records in given.values() for record in records]
    if len(set(uids)) < len(uids):
        twice = next(uid for uid in uids if uids.count(uid) > 1)
        raise LedgerError(f"the uid {twice} stands there twice", where, "each uid once")
    return given


def _parsed(text: str, where: str) -> dict[str, Any]:
    def refuse(word: str) -> NoReturn:
        raise ValueError(f"{word} is no number")

    def once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        if len(dict(pairs)) < len(pairs):
            raise ValueError("a key stands there twice")
        return dict(pairs)

    try:
        data = json.loads(text, parse_constant=refuse, object_pairs_hook=once)
    except (ValueError, RecursionError) as error:
        raise LedgerError(
            f"the text is not readable as JSON: {error}", where, "what an export wrote"
        ) from error
    if not isinstance(data, dict) or data.get("format") != FORMAT:
        raise LedgerError("the file is no export of a ledger", where, "what an export wrote")
    return data


def _check_head(data: Mapping[str, Any], where: str) -> None:
    version = data.get("version")
    if type(version) is not int or not 1 <= version <= _VERSION:
        raise LedgerError(
            f"an export of version {version!r}",
            where,
            allowed=f"1 to {_VERSION}",
            todo="bring this Overbend up to date when the export is newer",
        )
    later = {name for name, since in _SINCE.items() if version < since}
    wrong = ({*data} ^ {"format", "version", *KINDS}) - (later - {*data})
    if wrong:
        raise LedgerError(
            f"keys that are missing or unknown: {', '.join(sorted(wrong))}",
            where,
            allowed=", ".join(KINDS),
        )
    for name in KINDS:
        if not isinstance(data.get(name, []), list):
            raise LedgerError(f"{name} is not a list", where, "a list of records")


def _record(table: str, number: int, values: object, where: str) -> Record:
    place = f"{where}, {table}, number {number}"
    if not isinstance(values, dict):
        raise LedgerError(f"cannot use {values!r:.60}", place, "a record with its keys")
    if "uid" not in values:
        raise LedgerError("uid is missing", place)
    record: Record = read_record(KINDS[table], values, place)
    if isinstance(record, Trial):
        try:
            check_trial(record)
        except OverbendError as error:
            raise LedgerError(error.problem, place, error.allowed, error.todo) from error
    return record
