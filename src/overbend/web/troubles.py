"""What cannot be read or computed, as the page says it: every place it names is a way there.

An error names its place in words: the file with a line, a key, or both, one within another
(``stool.toml, line 81: part.leg: curve.arch.through[3]``). The page leads from a line to the
text and from a key to its field.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from typing import Any

from overbend.book.us_units import Reader
from overbend.errors import OverbendError
from overbend.project.jsonschema import schema_at

__all__ = ["key_of", "trouble", "ways"]

Data = dict[str, Any]

_LISTED = re.compile(r"^  (?=line \d+)", re.M)
"""Where one of several problems begins, as `overbend.project.problems` lists them."""
_LINE = re.compile(r"line (?P<line>\d+)(?:, column (?P<column>\d+))?$|at its (?P<end>end)$")
_INDEX = re.compile(r"\[(\d+)\]")


def trouble(error: OverbendError, reader: Reader) -> Data:
    """Return an error as the page's data, in the reader's units.

    Parameters
    ----------
    error : the error.
    reader : who reads it.

    Returns
    -------
    dict
        ``problem``, ``where``, ``allowed`` and ``todo``; ``said``, all of them as pieces, see
        `ways`.
    """
    said = reader.error(error)
    pieces = [*ways(said.where), *(["\n"] if said.where else []), *_problem(said.problem)]
    pieces += [f"\n{text}" for text in (said.allowed, said.todo) if text]
    return {
        "problem": said.problem, "where": said.where, "allowed": said.allowed, "todo": said.todo,
        "said": _joined(pieces),
    }  # fmt: skip


def ways(where: str) -> list[str | Data]:
    """Return a place in words as texts and ways.

    Parameters
    ----------
    where : such as "stool.toml, line 3: part.leg.width".

    Returns
    -------
    list
        Texts, and records with ``text``, ``key`` (a dotted key, "" for none) and ``line`` (0
        when it is not known, -1 for the last) with ``column``.

    Examples
    --------
    >>> ways("stool.toml, line 3: part.leg.ply[2].wood")[1]
    {'text': 'part.leg.ply[2].wood', 'key': 'part.leg.ply.1.wood', 'line': 3, 'column': 0}
    >>> ways("stool.toml, line 9, column 4")
    ['stool.toml, ', {'text': 'line 9, column 4', 'key': '', 'line': 9, 'column': 4}]
    """
    pieces: list[str | Data] = []
    parts = where.split(": ")
    line = 0
    for i, part in enumerate(parts):
        pieces += [": "] if i else []
        found, key = _LINE.search(part), key_of(part)
        if key:
            pieces.append(_way(part, key, line))
        elif found:
            line = -1 if found["end"] else int(found["line"])
            if i + 1 < len(parts) and key_of(parts[i + 1]):
                pieces.append(part)  # the key behind it leads there
                continue
            pieces += [part[: found.start()], _way(found[0], "", line, int(found["column"] or 0))]
        else:
            pieces.append(part)
    return _joined(pieces)


def key_of(text: str) -> str:
    """Return the dotted key of a place of the file as errors write it; "" when it is none.

    Examples
    --------
    >>> key_of("curve.rib.through[3]"), key_of("a curve"), key_of("curve.arch.stations.rear post")
    ('curve.rib.through.2', '', 'curve.arch.stations.rear post')
    """
    root = re.split(r"[.\[]", text, maxsplit=1)[0]
    if root not in _roots() or not re.fullmatch(r"[\w.\-\[\] ]+", text):
        return ""
    return _INDEX.sub(lambda found: f".{int(found[1]) - 1}", text)


@cache
def _roots() -> frozenset[str]:
    """Names at the top of a project file."""
    return frozenset(schema_at(()).get("properties", {}))


def _problem(text: str) -> Iterator[str | Data]:
    """What is wrong; of several problems each with its way."""
    first, *rest = _LISTED.split(text)
    yield first
    for one in rest:
        head, _, tail = one.partition(": ")
        key, colon, problem = tail.partition(": ")
        where = f"{head}: {key}" if key_of(key) else head
        yield "  "
        yield from ways(where)
        yield f": {problem if key_of(key) and colon else tail}"


def _way(text: str, key: str, line: int, column: int = 0) -> Data:
    return {"text": text, "key": key, "line": line, "column": column}


def _joined(pieces: list[str | Data]) -> list[str | Data]:
    """The same with neighbouring texts as one, and no empty ones."""
    made: list[str | Data] = []
    for piece in pieces:
        if isinstance(piece, str) and made and isinstance(made[-1], str):
            made[-1] += piece
        elif piece:
            made.append(piece)
    return made
