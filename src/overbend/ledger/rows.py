"""Between records and the rows of the file: what SQLite has no kind of its own for."""

from __future__ import annotations

import json
from collections.abc import Mapping
from contextlib import suppress
from typing import Any

__all__ = ["as_record", "as_row"]

_FLAGS = ("strap", "broken", "surfaced")
_LISTS = ("defects", "used", "kept")


def as_row(values: Mapping[str, Any]) -> dict[str, Any]:
    """Values of a record as they are stored: lists as JSON.

    Examples
    --------
    >>> as_row({"length": 900.0, "defects": ((0.0, 120.0),)})
    {'length': 900.0, 'defects': '[[0.0, 120.0]]'}
    """
    return {k: json.dumps(v) if k in _LISTS else v for k, v in values.items()}


def as_record(row: Mapping[str, Any]) -> dict[str, Any]:
    """Values of a row as a record takes them; a list that is no JSON stays a text.

    Examples
    --------
    >>> as_record({"surfaced": 1, "defects": "[[0.0, 120.0]]"})
    {'surfaced': True, 'defects': [[0.0, 120.0]]}
    """
    values = {k: bool(v) if k in _FLAGS else v for k, v in row.items()}
    for key in _LISTS:
        if key in row:
            with suppress(ValueError):
                values[key] = json.loads(row[key])
    return values
