"""Answers as sentences: texts with numbers that may be changed, verdicts and links in them.

A sentence goes to the page as a list of pieces: plain texts and small records. The page turns
a record with a ``key`` into a labelled input, one with a ``word`` into a verdict, one with an
``href`` into a link.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import Any, Literal, TypeAlias

from overbend.web.words import ENGLISH

__all__ = [
    "Piece", "Pieces", "block", "facts", "picture", "reworded", "sentence", "table", "verdict",
]  # fmt: skip

Piece: TypeAlias = str | dict[str, Any]
Pieces: TypeAlias = list[Piece]
Kind: TypeAlias = Literal["lead", "text", "small", "hold", "caution", "heading"]

_READ = frozenset(
    ("lead", "more", "pieces", "text", "head", "heads", "rows", "caption", "cells", "about",
     "sizes", "rules", "places", "marks", "acts")
)  # fmt: skip
"""Keys under which a section holds what is read; the rest is for the page's own use."""
_HOLE = re.compile(r"\{(\w+)\}")


def sentence(key: str, /, **values: Piece) -> Pieces:
    """Return a text of the catalogue with its values as pieces.

    Parameters
    ----------
    key : of the text.
    values : what goes in the braces, text or record.

    Examples
    --------
    >>> sentence("boards.mill", mill="16", good="14", wood="ash", size={"key": "part.a.width"})
    ['Mill 16 strips of ash for 14, ', {'key': 'part.a.width'}, '.']
    """
    pieces: Pieces = []
    text = ENGLISH[key]
    at = 0
    for hole in _HOLE.finditer(text):
        _add(pieces, text[at : hole.start()])
        _add(pieces, values[hole[1]])
        at = hole.end()
    _add(pieces, text[at:])
    return pieces


def _add(pieces: Pieces, piece: Piece) -> None:
    """Add a piece; texts beside each other become one."""
    if isinstance(piece, str):
        if not piece:
            return
        if pieces and isinstance(pieces[-1], str):
            pieces[-1] += piece
            return
    pieces.append(piece)


def verdict(word: str, *, opens: bool = False) -> Piece:
    """One of the three words, with the sign that stands beside it; `opens` a sentence."""
    text = ENGLISH[f"word.{word}"]
    return {"word": word, "text": f"{text.capitalize()}." if opens else text}


def block(kind: Kind, pieces: Pieces | str) -> dict[str, Any]:
    """Return a paragraph."""
    return {"kind": kind, "pieces": [pieces] if isinstance(pieces, str) else pieces}


def table(
    head: Sequence[str],
    rows: Sequence[Sequence[Piece | Sequence[Piece]]],
    right: Sequence[int] = (),
    caption: str = "",
) -> dict[str, Any]:
    """Return a table; `right` names the columns of numbers."""
    return {
        "kind": "table",
        "head": list(head),
        "rows": [list(row) for row in rows],
        "right": list(right),
        "caption": caption,
    }


def facts(rows: Sequence[tuple[str, Piece | Pieces]]) -> dict[str, Any]:
    """Return a list of names and values."""
    return {"kind": "facts", "rows": [[name, value] for name, value in rows]}


def picture(svg: str, caption: str) -> dict[str, Any]:
    """Return a drawing with its caption."""
    return {"kind": "picture", "svg": svg, "caption": caption}


def reworded(made: dict[str, Any], change: Callable[[str], str]) -> dict[str, Any]:
    """Return a section with every text that is read changed; values of the file stay as they are.

    Parameters
    ----------
    made : the section's data.
    change : what becomes of a text.

    Examples
    --------
    >>> field = {"key": "shop.clamp.0.name", "text": "12 mm"}
    >>> reworded({"lead": [block("hold", ["use ", field])]}, str.upper)["lead"][0]["pieces"]
    ['USE ', {'key': 'shop.clamp.0.name', 'text': '12 mm'}]
    """
    if "key" in made:
        return made
    return {k: _changed(v, change) if k in _READ else v for k, v in made.items()}


def _changed(value: object, change: Callable[[str], str]) -> object:
    match value:
        case str():
            return change(value)
        case list() | tuple():
            return [_changed(one, change) for one in value]
        case dict():
            return reworded(value, change)
    return value
