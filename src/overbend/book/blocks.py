"""What a page of the book is made of: blocks of plain data, set by one template.

A chapter is a function that returns blocks. Texts are finished strings: numbers are
already formatted in the maker's units. Nothing here knows the typesetter.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Literal

__all__ = [
    "Blanks",
    "Block",
    "Facts",
    "Heading",
    "NewPage",
    "Pair",
    "Picture",
    "Table",
    "Text",
    "Whole",
    "block_data",
    "reworded",
]

Kind = Literal["body", "lead", "small", "hold", "caution", "stamp"]


@dataclass(frozen=True)
class Heading:
    """A heading; level 1 opens a chapter, 2 a sheet, 3 a paragraph group."""

    text: str
    level: int = 2


@dataclass(frozen=True)
class Text:
    """A paragraph. Kinds: body, lead (the answer first), small, hold, caution, stamp."""

    text: str
    kind: Kind = "body"


@dataclass(frozen=True)
class Table:
    """A table; the columns named in `right` are numbers, set against the right edge.

    It stays on one page unless it has more than 18 rows. `size` of the letters [pt].
    """

    header: Sequence[str]
    rows: Sequence[Sequence[str]]
    right: Sequence[int] = ()
    caption: str = ""
    size: float = 10.0


@dataclass(frozen=True)
class Picture:
    """A drawing as SVG text in real millimetres, shrunk only if wider than the page.

    Without a caption it stands at the left edge.
    """

    svg: str
    caption: str = ""


@dataclass(frozen=True)
class Facts:
    """Label and value, one line each, in one or two columns; `size` of the letters [pt]."""

    rows: Sequence[tuple[str, str]]
    columns: int = 2
    size: float = 10.5


@dataclass(frozen=True)
class Blanks:
    """Lines to write on at the bench."""

    labels: Sequence[str]
    columns: int = 2


@dataclass(frozen=True)
class NewPage:
    """Start a new page."""


@dataclass(frozen=True)
class Pair:
    """Two stacks of blocks side by side."""

    left: Sequence[Any] = field(default_factory=tuple)
    right: Sequence[Any] = field(default_factory=tuple)
    share: float = 0.5


@dataclass(frozen=True)
class Whole:
    """Blocks that stay together on one page; they have to be shorter than one."""

    blocks: Sequence[Any] = field(default_factory=tuple)


Block = Heading | Text | Table | Picture | Facts | Blanks | NewPage | Pair | Whole


_NOT_WORDS = ("svg", "kind")


def reworded(block: Block, change: Callable[[str], str]) -> Block:
    """Return the same block with every text in it changed.

    Examples
    --------
    >>> reworded(Pair((Text("mill nine"),), ()), str.upper).left[0].text
    'MILL NINE'
    """
    texts: dict[str, Any] = {
        k: _changed(v, change) for k, v in vars(block).items() if k not in _NOT_WORDS
    }
    return replace(block, **texts)


def _changed(value: object, change: Callable[[str], str]) -> object:
    match value:
        case str():
            return change(value)
        case list() | tuple():
            return tuple(_changed(one, change) for one in value)
    return reworded(value, change) if isinstance(value, Block) else value


def block_data(block: Block, pictures: dict[str, str]) -> dict[str, Any]:
    """Plain data of one block for the template; SVG texts go into `pictures` by file name."""
    data: dict[str, Any] = {"block": type(block).__name__}
    for name, value in vars(block).items():
        if name == "svg":
            file = f"picture-{len(pictures) + 1}.svg"
            pictures[file] = value
            data["file"] = file
        elif isinstance(block, Pair | Whole) and name in ("left", "right", "blocks"):
            data[name] = [block_data(b, pictures) for b in value]
        else:
            data[name] = value
    return data
