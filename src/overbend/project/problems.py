"""Saying what is wrong with a project file: file, line, key, value, what is allowed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from overbend.errors import OverbendError, ProjectError
from overbend.project.expressions import CircleError, FollowingError, suggestion
from overbend.project.fields import RefusedError, shown
from overbend.project.jsonschema import schema_at
from overbend.project.lines import Place, line_of

__all__ = ["MOST_SHOWN", "Problem", "dotted", "joined", "problems_of"]

MOST_SHOWN = 10

Problem = tuple[Place, OverbendError]
"""A place in the file and what is wrong there."""

_LENGTHS = {
    "too_long": "a list of {max_length} at most",
    "too_short": "a list of {min_length} or more",
    "string_too_long": "a text of {max_length} characters at most",
    "string_too_short": "a text of {min_length} characters or more",
}
_TYPES = {
    "string_type": "a text in quotes",
    "bool_type": "true or false, without quotes",
    "model_type": "a table",
    "dict_type": "a table",
    "tuple_type": "a list in [ ]",
    "list_type": "a list in [ ]",
    "model_attributes_type": "a table",
}


def problems_of(error: ValidationError) -> list[Problem]:
    """Everything a validation found, in the file's own places and words."""
    found: dict[object, Problem] = {}
    following: list[Problem] = []
    for details in error.errors(include_url=False):
        problem = _file_place(details), _problem(details)
        cause = _cause(details)
        if isinstance(cause, FollowingError):
            following.append(problem)
        else:
            mark = "" if isinstance(cause, CircleError) else problem[0]
            found.setdefault((mark, str(problem[1])), problem)
    return list(found.values()) or following


def _cause(details: ErrorDetails) -> OverbendError | None:
    """Return the error of ours that pydantic carries, if any."""
    carried = details.get("ctx", {}).get("error")
    return carried.error if isinstance(carried, RefusedError) else None


def _file_place(details: ErrorDetails) -> Place:
    """Place in the file: without the kind that pydantic adds, and without its key mark."""
    loc = details["loc"]
    if details["type"].startswith("union_tag"):
        return (*loc, "kind")
    tagged = len(loc) > 2 and loc[0] in ("part", "made", "joint")
    place = (*loc[:2], *loc[3:]) if tagged and isinstance(loc[2], str) else loc
    return tuple(step for step in place if step != "[key]")


def _problem(details: ErrorDetails) -> OverbendError:
    """Overbend error for one of pydantic's."""
    kind, context = details["type"], details.get("ctx", {})
    cause = _cause(details)
    if cause is not None:
        return ProjectError(cause.problem, cause.where, cause.allowed, cause.todo)
    if kind == "missing":
        return _missing(details)
    if kind == "extra_forbidden":
        return _unknown_key(details)
    if kind == "string_pattern_mismatch":
        return ProjectError(
            f"{shown(details['input'])} cannot be a name",
            allowed="letters a to z, digits, - and _, 60 at most; no - in a dimension, and spaces "
            "inside only for a station",
        )
    if kind.startswith("union_tag"):
        given = context.get("tag")
        return ProjectError(
            f"kind {given!r} is not known" if given else "the key 'kind' is missing",
            allowed=str(context.get("expected_tags") or _kinds(details)),
        )
    given = shown(details["input"])
    if kind in _LENGTHS:
        given = f"{given} of {len(details['input'])} characters" if "string" in kind else given
        return ProjectError(f"{given} cannot be used", allowed=_LENGTHS[kind].format(**context))
    allowed = _TYPES.get(kind) or context.get("expected") or details["msg"]
    return ProjectError(f"{given} cannot be used", allowed=str(allowed))


def _missing(details: ErrorDetails) -> OverbendError:
    key = details["loc"][-1]
    if isinstance(key, int):
        wanted = _description(details["loc"][:-1])
        return ProjectError(f"value {key + 1} of the list is missing", allowed=wanted)
    wanted = _description(details["loc"])
    return ProjectError(f"the key {key!r} is missing", allowed=wanted, todo=f"write {key} = ...")


def _unknown_key(details: ErrorDetails) -> OverbendError:
    key = str(details["loc"][-1])
    known = list(schema_at(details["loc"][:-1]).get("properties", {}))
    if not known:
        return ProjectError(f"{shown(details['input'])} is one too many")
    return ProjectError(
        f"the key {key!r} is not known", allowed=", ".join(known), todo=suggestion(key, known)
    )


def _description(place: Place) -> str:
    return str(schema_at(place).get("description", ""))


def _kinds(details: ErrorDetails) -> str:
    mapping: Mapping[str, Any] = schema_at(details["loc"]).get("discriminator", {})
    return ", ".join(repr(kind) for kind in mapping.get("mapping", {}))


def dotted(place: Sequence[str | int]) -> str:
    """Place as a dotted key; list elements are counted from 1.

    Examples
    --------
    >>> dotted(("part", "leg", "ply", 0, "wood"))
    'part.leg.ply[1].wood'
    """
    text = ""
    for step in place:
        text += f"[{step + 1}]" if isinstance(step, int) else f".{step}"
    return text.lstrip(".")


def joined(problems: Sequence[Problem], places: Mapping[Place, int], file: str) -> ProjectError:
    """One error for all problems of a file; at most ten are listed."""
    lined = [(line_of(places, place), dotted(place), error) for place, error in problems]
    lined.sort(key=lambda row: row[0] or 0)
    if len(lined) == 1:
        line, key, error = lined[0]
        head = f"{file}, line {line}" if line else file
        where = ": ".join(part for part in (head, key, error.where) if part)
        return ProjectError(error.problem, where, error.allowed, error.todo)
    texts = [_one(line, key, error) for line, key, error in lined[:MOST_SHOWN]]
    more = len(lined) - MOST_SHOWN
    if more > 0:
        texts.append(f"and {more} more")
    return ProjectError(f"{len(lined)} things cannot be used\n" + "\n".join(texts), file)


def _one(line: int | None, key: str, error: OverbendError) -> str:
    """One problem of several, indented under the file."""
    head = ": ".join(part for part in (f"line {line}" if line else "", key) if part)
    return "  " + str(error.at(head) if head else error).replace("\n", "\n  ")
