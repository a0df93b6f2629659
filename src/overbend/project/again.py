"""Reading a project once more after a few of its values changed, quickly.

Only the tables that changed, and those whose expressions follow a dimension that changed, are
read again. The result is what reading the whole file gives.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any

from pydantic import TypeAdapter, ValidationError

from overbend.project.checks import cross_check
from overbend.project.expressions import Scope, is_expression
from overbend.project.schema import Project

__all__ = ["read_again", "tables_with_expressions"]

_NAMED = frozenset({"dimensions", "wood", "adhesive", "curve", "part", "joint", "made"})
_TABLES = _NAMED | {"shop"}


def read_again(
    before: Project, raw: Mapping[str, Any], keys: Iterable[str], following: Iterable[str]
) -> Project | None:
    """Read the project whose values under some keys changed.

    Parameters
    ----------
    before : the project with other values there, otherwise the same.
    raw : plain values of the whole file as they are now.
    keys : dotted keys that may have changed.
    following : tables that hold expressions, of :func:`tables_with_expressions`.

    Returns
    -------
    Project or None
        None when it cannot be told apart so simply, or when a value is refused: then the whole
        has to be read.

    Examples
    --------
    >>> text = {"schema": 1, "name": "Stool", "units": "mm", "dimensions": {"seat": 400}}
    >>> stool = Project.model_validate(text, context=Scope(text["dimensions"]))
    >>> text["dimensions"] = {"seat": 420}
    >>> read_again(stool, text, ["dimensions.seat"], ()).dimensions["seat"].value
    420.0
    """
    tables = {_table_of(key) for key in keys}
    if "" in tables:
        return None
    if any(table.startswith("dimensions") for table in tables):
        tables = {t for t in tables if not t.startswith("dimensions")} | set(following)
        tables.add("dimensions")
    try:
        project = before.model_copy(update=_read(before, raw, tables))
    except (ValidationError, KeyError):
        return None
    return None if cross_check(project) else project


def _read(before: Project, raw: Mapping[str, Any], tables: Iterable[str]) -> dict[str, Any]:
    """Fields of the project that these tables change."""
    scope = Scope(raw.get("dimensions", {}), before.units)
    update: dict[str, Any] = {}
    for table in tables:
        top, _, name = table.partition(".")
        if not name:
            update[top] = _adapter(top).validate_python(raw.get(top, {}), context=scope)
            continue
        held = update.setdefault(top, dict(getattr(before, top)))
        if name not in held:  # a table that was not there before changes more than itself
            raise KeyError(name)
        held |= _adapter(top).validate_python({name: raw[top][name]}, context=scope)
    return update


def tables_with_expressions(raw: Mapping[str, Any]) -> frozenset[str]:
    """Tables of a file in which a value is an expression.

    Examples
    --------
    >>> part = {"leg": {"width": "= seat / 9"}, "rail": {"width": 30}}
    >>> sorted(tables_with_expressions({"part": part, "shop": {"people": "= 1 + 1"}}))
    ['part.leg', 'shop']
    """
    named = {
        f"{top}.{name}": table
        for top in _NAMED - {"dimensions"}
        if isinstance(raw.get(top), dict)
        for name, table in raw[top].items()
    }
    held = {**named, "shop": raw.get("shop", {})}
    return frozenset(key for key, table in held.items() if _holds_expression(table))


def _holds_expression(value: object) -> bool:
    if isinstance(value, dict):
        return any(map(_holds_expression, value.values()))
    if isinstance(value, list):
        return any(map(_holds_expression, value))
    return is_expression(value)


def _table_of(key: str) -> str:
    """The table a key lies in, ``part.leg`` or ``shop``; "" for a key outside the tables."""
    top, _, rest = key.partition(".")
    if top not in _TABLES or not rest:
        return ""
    return f"{top}.{rest.partition('.')[0]}" if top in _NAMED else top


@cache
def _adapter(top: str) -> TypeAdapter[Any]:
    """Reader of one field of the project."""
    kind: Any = Project.model_fields[top].annotation
    return TypeAdapter(kind)
