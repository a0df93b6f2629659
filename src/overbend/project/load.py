"""Reading a project file."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

import tomlkit
from pydantic import ValidationError
from tomlkit import TOMLDocument

from overbend.errors import OverbendError, ProjectError
from overbend.project.checks import cross_check
from overbend.project.expressions import Scope
from overbend.project.lines import Place, line_of, lines_of
from overbend.project.migrate import migrate, version_of
from overbend.project.problems import Problem, dotted, joined, problems_of
from overbend.project.schema import SCHEMA_VERSION, Project

__all__ = ["LARGEST_FILE", "Loaded", "load", "read"]

LARGEST_FILE = 5_000_000
"""Largest project file that is read [bytes]."""


@dataclass(frozen=True)
class Loaded:
    """A project file as read.

    Parameters
    ----------
    project : the project.
    text : the file's text.
    path : where it is, None for a text from elsewhere.
    """

    project: Project
    text: str
    path: Path | None = None

    @cached_property
    def document(self) -> TOMLDocument:
        """The file as an editable document that keeps comments and formatting."""
        return tomlkit.parse(self.text)

    @cached_property
    def raw(self) -> dict[str, Any]:
        """Plain values of the file; not to be changed."""
        return tomllib.loads(self.text)

    @cached_property
    def lines(self) -> dict[Place, int]:
        """Line of every key of the file."""
        return lines_of(self.text)

    def where(self, *place: str | int) -> str:
        r"""File, line and dotted key of a place, to put in front of an error.

        Examples
        --------
        >>> read('schema = 1\nname = "Stool"\nunits = "mm"').where("units")
        'project, line 3: units'
        """
        line = line_of(self.lines, place)
        name = self.path.name if self.path else "project"
        return f"{name}, line {line}: {dotted(place)}" if line else f"{name}: {dotted(place)}"

    @property
    def folder(self) -> Path:
        """Folder that paths in the file start from."""
        return self.path.parent if self.path else Path()


def load(path: str | Path) -> Loaded:
    """Read a project file.

    Parameters
    ----------
    path : the file; UTF-8, 5 MB at most.

    Raises
    ------
    ProjectError
        When the file cannot be read, is no TOML, or does not describe a piece: with file,
        line, key, value and what is allowed, up to ten problems at once.
    """
    file = Path(path)
    return read(_text_of(file), file)


def read(text: str, path: Path | None = None) -> Loaded:
    r"""Read a project from its text.

    Raises
    ------
    ProjectError
        As `load`.

    Examples
    --------
    >>> read('schema = 1\nname = "Stool"\nunits = "mm"').project.name
    'Stool'
    """
    name = path.name if path else "project"
    raw = _parsed(text, name)
    text, raw = _up_to_date(text, raw, name)
    problems, project = _validated(raw)
    if not problems and project is not None:
        problems = cross_check(project)
    if problems or project is None:
        raise joined(problems, lines_of(text), name)
    return Loaded(project, text, path)


def _text_of(file: Path) -> str:
    """Text of a file, refused when it is no readable UTF-8 text of a fair size."""
    try:
        if file.is_dir():
            raise ProjectError(
                "this is a folder", str(file), "a project file", "name the file inside it"
            )
        with file.open("rb") as stream:
            data = stream.read(LARGEST_FILE + 1)
    except FileNotFoundError as error:
        raise ProjectError(
            "there is no such file", str(file), todo="check the name and folder"
        ) from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise ProjectError(f"the file cannot be read: {reason}", str(file)) from error
    if len(data) > LARGEST_FILE:
        raise ProjectError(
            f"the file is larger than {LARGEST_FILE / 1e6:g} MB",
            str(file),
            "a project file, which is a text of some kilobytes",
            "check that this is the right file",
        )
    return _decoded(data, file)


def _decoded(data: bytes, file: Path) -> str:
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise ProjectError(
            f"the byte 0x{data[error.start]:02x} is not UTF-8",
            f"{file.name}, line {line}",
            "text in UTF-8",
            "save the file again with the encoding UTF-8",
        ) from error


def _parsed(text: str, name: str) -> dict[str, Any]:
    """Plain values of a TOML text."""
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        message = str(error)
        place = re.search(r" \(at line (\d+), column (\d+)\)$", message)
        where = f"{name}, line {place[1]}, column {place[2]}" if place else f"{name}, at its end"
        problem = re.sub(r" \(at .*\)$", "", message)
        problem = re.sub(r"\('(.*?)',?\)", lambda m: m[1].replace("', '", "."), problem)
        raise ProjectError(
            f"this is not TOML: {problem}",
            where,
            'lines such as width = 45, name = "Stool", [part.leg]',
            "look at this line and the one before it: quotes, brackets, commas",
        ) from error
    except (RecursionError, ValueError) as error:
        raise ProjectError(
            "brackets are nested too deep or a number is too long", name, "a project file"
        ) from error


def _up_to_date(text: str, raw: dict[str, Any], name: str) -> tuple[str, dict[str, Any]]:
    """Migrate an older layout; a newer one is refused."""
    try:
        if version_of(raw.get("schema")) == SCHEMA_VERSION:
            return text, raw
        document = tomlkit.parse(text)
        migrate(document)
    except OverbendError as error:
        raise joined([(("schema",), error)], lines_of(text), name) from error
    return document.as_string(), document.unwrap()


def _validated(raw: dict[str, Any]) -> tuple[list[Problem], Project | None]:
    """The project, or everything that is wrong with its values."""
    dimensions = raw.get("dimensions")
    system = raw.get("units")
    scope = Scope(
        dimensions if isinstance(dimensions, dict) else {},
        "in" if system == "in" else "mm",
    )
    try:
        return [], Project.model_validate(raw, context=scope)
    except ValidationError as error:
        problems = problems_of(error)
    if any(place == ("units",) for place, _ in problems):  # lengths cannot be judged
        problems = [problem for problem in problems if len(problem[0]) == 1]
    return problems, None
