"""Bringing files of an earlier layout up to date."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from tomlkit import TOMLDocument

from overbend.errors import ProjectError
from overbend.project.schema import SCHEMA_VERSION

__all__ = ["MIGRATIONS", "Migration", "migrate", "version_of"]

Migration = Callable[[TOMLDocument], None]
"""Changes a document of one version, in place, into the next."""

MIGRATIONS: tuple[Migration, ...] = ()
"""The first entry turns version 1 into 2, the next 2 into 3, and so on."""


def version_of(raw: object, newest: int = SCHEMA_VERSION) -> int:
    """Layout version a file states.

    Raises
    ------
    ProjectError
        When it is missing, no whole number, or newer than this program knows.

    Examples
    --------
    >>> version_of(1)
    1
    """
    if raw is None:
        raise ProjectError(
            "the key 'schema' is missing",
            allowed=f"schema = {newest}",
            todo=f"write schema = {newest} at the top of the file",
        )
    if isinstance(raw, bool) or not isinstance(raw, int) or raw < 1:
        raise ProjectError(f"schema = {raw!r} cannot be used", allowed=f"schema = {newest}")
    if raw > newest:
        raise ProjectError(
            f"schema = {raw} is newer than this program, which knows up to {newest}",
            allowed=f"schema = {newest} or an earlier one",
            todo="install a newer version of the program",
        )
    return int(raw)


def migrate(document: TOMLDocument, migrations: Sequence[Migration] = MIGRATIONS) -> int:
    """Bring a document up to the newest layout, in place; comments stay.

    Returns
    -------
    the version it had.

    Raises
    ------
    ProjectError
        As `version_of`.
    """
    newest = len(migrations) + 1
    before = version_of(document.unwrap().get("schema"), newest)
    for step in migrations[before - 1 :]:
        step(document)
    if before != newest:
        document["schema"] = newest
    return before
