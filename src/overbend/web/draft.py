"""The project's text as an editable document, with changes on trial while something is dragged.

Comments and layout stay. A change that leaves the file unreadable is refused and undone.
"""

from __future__ import annotations

from collections.abc import Mapping, MutableSequence, Sequence
from contextlib import suppress
from functools import cached_property
from pathlib import Path
from typing import Any, TypeAlias

import tomlkit
from tomlkit import TOMLDocument
from tomlkit.exceptions import TOMLKitError

from overbend.errors import ProjectError
from overbend.project import Loaded, Project, dump, edit, read
from overbend.project.again import read_again, tables_with_expressions

__all__ = ["Draft", "Trial", "changed", "with_element"]

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


class Trial(Loaded):
    """A project with changes on trial; its text is written only when somebody asks for it.

    Parameters
    ----------
    project : with the changes.
    base : without them.
    raw : plain values with them.
    edits : the changes.
    """

    def __init__(
        self, project: Project, base: Loaded, raw: Mapping[str, Any], edits: Mapping[str, object]
    ) -> None:
        own = {"project": project, "path": base.path, "raw": raw}
        self.__dict__.update(own, _changes=(base, edits))  # a frozen record takes values this way

    @cached_property
    def text(self) -> str:
        """The file's text with the changes."""
        base, edits = self.__dict__["_changes"]
        return _laid_over(_parsed(base.text), edits)


class Draft:
    r"""Changes on trial over a project.

    Parameters
    ----------
    base : the project they are laid over.

    Examples
    --------
    >>> from overbend.project import read
    >>> draft = Draft(read('schema = 1\nname = "Stool"  # mine\nunits = "mm"'))
    >>> trial = draft.put([("name", "Bench")])
    >>> trial.project.name, trial.text.splitlines()[1]
    ('Bench', 'name = "Bench"  # mine')
    """

    def __init__(self, base: Loaded) -> None:
        self.base = base
        self.edits: dict[str, object] = {}
        self._raw: dict[str, Any] = base.raw
        self._following = tables_with_expressions(base.raw)
        self._document: TOMLDocument | None = None

    def put(self, edits: Edits) -> Loaded:
        """Lay some changes over what was laid over before, and read the project with them.

        Raises
        ------
        ProjectError
            When the changes do not go there, or the file does not describe a piece with them.
        """
        raw = self._raw
        for key, value in edits:
            raw = _with(raw, key, value)
        self._raw, self.edits = raw, {**self.edits, **dict(edits)}
        project = read_again(self.base.project, raw, self.edits, self._following)
        if project is None:
            return read(self.text, self.base.path)
        return Trial(project, self.base, raw, self.edits)

    @property
    def text(self) -> str:
        """The file's text with the changes."""
        if self._document is None or None in self.edits.values():  # to take out twice is wrong
            self._document = _parsed(self.base.text)
        return _laid_over(self._document, self.edits)


def _with(raw: dict[str, Any], key: str, value: object) -> dict[str, Any]:
    """Plain values with one of them changed; what lies beside it is shared, not copied."""
    fresh = dict(raw)
    holder: Any = fresh
    with suppress(LookupError, ValueError):  # a way that ends early is for `edit` to judge
        for step in key.split(".")[:-1]:
            at: Any = int(step) if isinstance(holder, list) else step
            if not isinstance(holder[at], list | dict):
                break
            holder[at] = holder = holder[at].copy()
    edit(fresh, key, value)
    return fresh


def _laid_over(document: TOMLDocument, edits: Mapping[str, object]) -> str:
    """Text of a document with some changes, comments and layout kept."""
    for key, value in edits.items():
        edit(document, key, value)
    return dump(document)
