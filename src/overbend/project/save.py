"""Changing and writing a project file, keeping its comments and layout."""

from __future__ import annotations

import os
from collections.abc import MutableMapping, MutableSequence
from contextlib import suppress
from pathlib import Path
from typing import Any
from uuid import uuid4

import tomlkit
from tomlkit import TOMLDocument

from overbend.errors import OutputError, ProjectError

__all__ = ["dump", "edit", "save"]


def dump(document: TOMLDocument) -> str:
    r"""Text of a document; as read, byte for byte, where nothing was edited.

    Examples
    --------
    >>> dump(tomlkit.parse("width = 45  # mm\n"))
    'width = 45  # mm\n'
    """
    return document.as_string()


def edit(document: MutableMapping[str, Any], key: str, value: object) -> None:
    r"""Change one value of a document in place; comments and order stay.

    Parameters
    ----------
    document : from ``Loaded.document``, or plain tables.
    key : dotted key; elements of lists by number from 0: ``part.leg.ply.0.thickness``.
        Tables on the way are made when missing; the number after the last adds an element.
    value : number, text, true or false, list or dict; None takes the key out.

    Raises
    ------
    ProjectError
        When the key leads through something that is no table or list.

    Examples
    --------
    >>> document = tomlkit.parse("[part.leg]\nwidth = 45  # finished\n")
    >>> edit(document, "part.leg.width", "1-3/4 in")
    >>> print(dump(document).strip())
    [part.leg]
    width = "1-3/4 in"  # finished
    """
    *way, last = key.split(".")
    holder: object = document
    for step in way:
        holder = _inside(holder, step, key, make=value is not None)
        if holder is None:
            return
    if isinstance(holder, MutableSequence):
        if value is not None and last == str(len(holder)):
            holder.append(value)
            return
        index = _index(holder, last, key)
        if value is None:
            del holder[index]
        else:
            holder[index] = value
    elif isinstance(holder, MutableMapping):
        if value is None:
            holder.pop(last, None)
        else:
            holder[last] = value
    else:
        raise _no_way(key, last)


def _inside(holder: object, step: str, key: str, make: bool) -> object:
    """What a table or list holds under one step of a key."""
    if isinstance(holder, MutableSequence):
        return holder[_index(holder, step, key)]
    if not isinstance(holder, MutableMapping):
        raise _no_way(key, step)
    if step not in holder:
        if not make:
            return None
        holder[step] = tomlkit.table()
    return holder[step]


def _index(holder: MutableSequence[object], step: str, key: str) -> int:
    if not (step.isascii() and step.isdigit() and int(step) < len(holder)):
        raise ProjectError(
            f"{step!r} is not an element of a list of {len(holder)}",
            key,
            f"0 to {len(holder) - 1}" if holder else "",
        )
    return int(step)


def _no_way(key: str, step: str) -> ProjectError:
    return ProjectError(f"nothing can stand under a plain value, at {step!r}", key)


def save(path: str | Path, text: str) -> None:
    """Write a text beside the file and put it in the file's place in one step.

    The old file stays whole when anything fails, and its permissions are kept.

    Raises
    ------
    OutputError
        When the folder or disk refuses.
    """
    file = Path(path).resolve()
    fresh = file.with_name(f".{file.name}.{uuid4().hex[:12]}.part")
    try:
        data = text.encode("utf-8")
        with fresh.open("xb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        if file.exists():
            fresh.chmod(file.stat().st_mode & 0o7777)
        fresh.replace(file)
    except (OSError, UnicodeEncodeError) as error:
        with suppress(OSError):
            fresh.unlink()
        raise OutputError(
            f"the file cannot be written: {getattr(error, 'strerror', None) or error}",
            str(path),
            todo="check that the folder exists, may be written to and has room",
        ) from error
