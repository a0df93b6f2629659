"""The folder of projects: which there are, a new one, a copy, another name, the trash.

A project is a TOML file in the folder or one folder down. Nothing outside the folder is read or
written: names are checked letter by letter, and every path is followed to its end and must
still lie inside.
"""

from __future__ import annotations

import re
import shutil
import time
import tomllib
import unicodedata
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from overbend.book.folder import MARK
from overbend.errors import InputError, OutputError
from overbend.examples import example_files
from overbend.web.tracing import companions

__all__ = ["TRASH", "Entry", "Store", "plain_name"]

TRASH = "trash"
"""Folder inside the projects' folder that deleted projects are moved to."""

_NAME = re.compile(r"[a-z0-9][a-z0-9_-]{0,59}")
_ID = re.compile(r"(?:[A-Za-z0-9_][A-Za-z0-9 ._-]{0,79}/)?[A-Za-z0-9_][A-Za-z0-9 ._-]{0,79}")
_MOST = 500  # projects listed


@dataclass(frozen=True)
class Entry:
    """One project of the folder.

    Parameters
    ----------
    id : its path in the folder without the ending, such as "bench/bench".
    title : the name the file gives the piece, "" when it cannot be read.
    changed : when it was last written [seconds since 1970].
    """

    id: str
    title: str
    changed: float


def plain_name(text: str) -> str:
    """File name from what a maker types: small letters, digits and hyphens.

    Examples
    --------
    >>> plain_name("Grandma's Rocker, No. 2"), plain_name("Grüne Bank")
    ('grandma-s-rocker-no-2', 'grune-bank')

    Raises
    ------
    InputError
        When nothing usable is left.
    """
    letters = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().lower()
    name = re.sub(r"[^a-z0-9]+", "-", letters).strip("-")[:60].strip("-")
    if not _NAME.fullmatch(name):
        raise InputError(
            f"{text[:60]!r} cannot be a file name", "name", "some letters or digits, a to z"
        )
    return name


class Store:
    """A folder of projects.

    Parameters
    ----------
    root : the folder; it is made when missing.

    Raises
    ------
    OutputError
        When it cannot be made.
    """

    def __init__(self, root: Path) -> None:
        try:
            root.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise OutputError(
                f"the folder cannot be made: {error.strerror or error}", str(root)
            ) from error
        self.root = root.resolve()

    def entries(self) -> list[Entry]:
        """Every project, the one changed last first."""
        found = [self._entry(file) for file in self._files()]
        return sorted(found, key=lambda e: -e.changed)[:_MOST]

    def _files(self) -> list[Path]:
        """Project files in the folder and one folder down; books and hidden ones left out."""
        folders = [self.root, *(p for p in sorted(self.root.iterdir()) if self._holds(p))]
        files = [f for folder in folders for f in sorted(folder.glob("*.toml"))]
        return [f for f in files if _ID.fullmatch(self._id(f)) and self._inside(f)]

    def _holds(self, folder: Path) -> bool:
        hidden = folder.name.startswith(".") or folder.name == TRASH
        return folder.is_dir() and not hidden and not (folder / MARK).exists()

    def _inside(self, file: Path) -> bool:
        return file.is_file() and file.resolve().is_relative_to(self.root)

    def _id(self, file: Path) -> str:
        return file.relative_to(self.root).with_suffix("").as_posix()

    def _entry(self, file: Path) -> Entry:
        title = ""
        with suppress(OSError, ValueError):
            name = tomllib.loads(file.read_text("utf-8")).get("name", "")
            title = name if isinstance(name, str) else ""
        return Entry(self._id(file), title, file.stat().st_mtime)

    def path(self, id: str) -> Path:
        """File of a project.

        Raises
        ------
        InputError
            When there is none of that name in the folder.
        """
        if _ID.fullmatch(id) and ".." not in id and TRASH not in id.split("/")[:-1]:
            file = self.root / f"{id}.toml"
            if self._inside(file):
                return file
        raise InputError(f"there is no project {id[:80]!r} in this folder", todo="open the list")

    def new(self, example: str, name: str) -> str:
        """Start a project from an example, under a name.

        Raises
        ------
        InputError, OutputError
            For a name that cannot be used, an unknown example, a name that is taken.
        """
        from overbend.project import new_from_example

        known = tuple(example_files())
        if example not in known:
            raise InputError(f"there is no example {example[:60]!r}", allowed=str(known))
        plain = plain_name(name or example)
        folder = self._fresh(plain)
        made = new_from_example(folder, example)
        file = made.rename(folder / f"{plain}.toml")
        if name:
            self._retitle(file, name)
        return self._id(file)

    def duplicate(self, id: str) -> str:
        """Copy a project beside itself, with its drawings, under the next free name."""
        file = self.path(id)
        for number in range(2, 1000):
            folder = self.root / f"{file.stem[:54]}-{number}"
            if not folder.exists():
                break
        shutil.copytree(file.parent, folder, ignore=self._ignored(file))
        copy = (folder / file.name).rename(folder / f"{folder.name}.toml")
        for beside in companions(folder / file.name):
            beside.rename(beside.with_name(beside.name.replace(file.stem, copy.stem, 1)))
        return self._id(copy)

    def _ignored(self, file: Path) -> Callable[[str, list[str]], list[str]]:
        """Leave out of a copy what is no drawing: folders, other projects, hidden files."""

        def names(folder: str, found: list[str]) -> list[str]:
            keep = {file.name, *(beside.name for beside in companions(file))}
            keep |= {n for n in found if Path(n).suffix.lower() in (".dxf", ".svg")}
            return [n for n in found if n not in keep or (Path(folder) / n).is_dir()]

        return names

    def rename(self, id: str, name: str) -> str:
        """Give a project another file name."""
        file = self.path(id)
        plain = plain_name(name)
        if plain == file.stem:
            return id
        beside = companions(file)
        if file.parent != self.root and self._alone(file):
            target = self._fresh(plain)
            file.parent.rename(target)
            for one in beside:
                old = target / one.name
                old.rename(old.with_name(one.name.replace(file.stem, plain, 1)))
            return self._id((target / file.name).rename(target / f"{plain}.toml"))
        target = file.with_name(f"{plain}.toml")
        if target.exists():
            raise OutputError("there is a project of that name already", plain)
        for one in beside:
            one.rename(one.with_name(one.name.replace(file.stem, plain, 1)))
        return self._id(file.rename(target))

    def delete(self, id: str) -> Path:
        """Move a project to the trash folder and say where it lies there."""
        file = self.path(id)
        place = self.root / TRASH / f"{file.stem}-{time.strftime('%Y%m%d-%H%M%S')}"
        for number in range(1, 1000):
            if not place.exists():
                break
            place = place.with_name(f"{place.name}-{number}")
        place.parent.mkdir(exist_ok=True)
        if file.parent != self.root and self._alone(file):
            file.parent.rename(place)
        else:
            place.mkdir()
            for one in (file, *companions(file)):
                one.rename(place / one.name)
        return place

    def _alone(self, file: Path) -> bool:
        """Whether a project has its folder to itself."""
        return len(list(file.parent.glob("*.toml"))) == 1

    def _fresh(self, name: str) -> Path:
        folder = self.root / name
        if name == TRASH or folder.exists() or (self.root / f"{name}.toml").exists():
            raise OutputError(
                "there is a project of that name already", name, todo="choose another name"
            )
        return folder

    def _retitle(self, file: Path, title: str) -> None:
        """Write the piece's name into a fresh copy of an example."""
        import tomlkit

        from overbend.project import dump, edit, save

        document = tomlkit.parse(file.read_text("utf-8"))
        edit(document, "name", title[:120])
        save(file, dump(document))
