"""The project's text as an editable document, with changes on trial while something is dragged.

Comments and layout stay. A change that leaves the file unreadable is refused and undone.
"""

from __future__ import annotations

from collections.abc import MutableSequence, Sequence
from pathlib import Path
from typing import Any, TypeAlias

import tomlkit
from tomlkit import TOMLDocument
from tomlkit.exceptions import TOMLKitError

from overbend.errors import ProjectError
from overbend.project import dump, edit, read

__all__ = ["Draft", "changed", "with_element"]

Edits = Sequence[tuple[str, object]]
TomlValue: TypeAlias = Any


def changed(text: str, edits: Edits, path: Path) -> str:
    r"""Text with some values changed, comments and layout kept.

    Raises
    ------
    ProjectError
        When the result does not describe a piece; nothing is changed then.

    Examples
    --------
    >>> head = 'schema = 1\nname = "Stool"  # mine\nunits = "mm"\n'
    >>> changed(head, [("name", "Bench")], Path("stool.toml")).splitlines()[1]
    'name = "Bench"  # mine'
    """
    document = _parsed(text)
    for key, value in edits:
        try:
            edit(document, key, value)
        except (TOMLKitError, ValueError, TypeError) as error:
            raise ProjectError("this cannot stand in a project file", key) from error
    fresh = dump(document)
    read(fresh, path)
    return fresh


def with_element(text: str, act: str, key: str, index: int, path: Path) -> str:
    """Text with an element of a list added after another, or taken out.

    A new element starts as a copy of the one before it; a new point lies halfway to the next.

    Parameters
    ----------
    text : of the project.
    act : "insert" or "remove".
    key : dotted key of the list.
    index : of the element.
    path : of the project, for messages.

    Raises
    ------
    ProjectError
        When there is no such element, or the result does not describe a piece.
    """
    document = _parsed(text)
    holder: Any = document
    for step in key.split("."):
        holder = holder[int(step)] if isinstance(holder, MutableSequence) else holder.get(step)
        if holder is None:
            break
    if not isinstance(holder, MutableSequence) or not 0 <= index < len(holder):
        raise ProjectError("there is no such row", f"{key}.{index}")
    if act == "remove":
        del holder[index]
    else:
        holder.insert(index + 1, _between(holder, index))
    fresh = dump(document)
    read(fresh, path)
    return fresh


def _between(holder: MutableSequence[Any], i: int) -> TomlValue:
    """A new element for after the one at i."""
    here = _plain(holder[i])
    if not isinstance(here, list) or len(here) != 2:
        if isinstance(here, dict):
            here.pop("name", None)
        return here
    other = _plain(holder[i + 1]) if i + 1 < len(holder) else None
    if other is None:
        back = _plain(holder[i - 1])
        return [2 * a - b if _numbers(a, b) else a for a, b in zip(here, back, strict=True)]
    return [0.5 * (a + b) if _numbers(a, b) else a for a, b in zip(here, other, strict=True)]


def _numbers(*values: object) -> bool:
    return all(isinstance(v, int | float) for v in values)


def _plain(value: TomlValue) -> TomlValue:
    return value.unwrap() if hasattr(value, "unwrap") else value


def _parsed(text: str) -> TOMLDocument:
    """The document of a text that may not be read before it is right."""
    try:
        return tomlkit.parse(text)
    except TOMLKitError as error:
        raise ProjectError(
            "the text does not read, so a single value cannot be changed",
            todo="put the text right first, or undo",
        ) from error


class Draft:
    """Changes on trial over a text.

    Parameters
    ----------
    text : they are laid over.
    """

    def __init__(self, text: str) -> None:
        self._base = text
        self._document = _parsed(text)
        self.edits: dict[str, object] = {}

    def put(self, edits: Edits) -> str:
        """Lay some changes over and return the text."""
        for key, value in edits:
            edit(self._document, key, value)
            self.edits[key] = value
        return dump(self._document)
