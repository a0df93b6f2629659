"""What is written on boards, on the lengths cut from them, and on every strip.

A board gets a letter, a length the board's letter and a number, a strip its length's name and
a number: A, A2, A2-7. I and O are left out, because they are read as digits.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby

from overbend.plan.cutting import Cutting, Kept
from overbend.stock import BoardPlan, OffCut, Piece, SawnLength, Stock

__all__ = [
    "Ends",
    "Lettered",
    "NamedLength",
    "alike_boards",
    "alike_ends",
    "board_letters",
    "lettered",
    "listed",
    "numbers_text",
    "span_text",
]

_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"
_SAME = 4  # decimals of a millimetre that have to agree


def board_letters(place: int) -> str:
    """Letters of the board in a place, counted from 0.

    Examples
    --------
    >>> board_letters(0), board_letters(8), board_letters(24)
    ('A', 'J', 'AA')
    """
    text = ""
    place += 1
    while place:
        place, rest = divmod(place - 1, len(_LETTERS))
        text = _LETTERS[rest] + text
    return text


@dataclass(frozen=True)
class NamedLength:
    """A length cut from a board, by name.

    Parameters
    ----------
    name : such as "A2".
    cut : where it lies and what is ripped from it.
    beside : off-cut kept from it, along its edge; None when none is.
    """

    name: str
    cut: SawnLength
    beside: Kept | None = None

    def strip(self, place: int) -> str:
        """Name of the strip in a place, counted from 0, such as "A2-1"."""
        return f"{self.name}-{place + 1}"


@dataclass(frozen=True)
class Lettered:
    """A board with its letter.

    Parameters
    ----------
    letter : written at its marked end.
    board : its cuts.
    stock : what it is.
    kept : its off-cuts worth keeping, with their names.
    """

    letter: str
    board: BoardPlan
    stock: Stock
    kept: tuple[Kept, ...] = ()

    @property
    def lengths(self) -> tuple[NamedLength, ...]:
        """Lengths from the marked end on, each with its name."""
        return tuple(
            NamedLength(f"{self.letter}{n}", cut, self._beside(cut))
            for n, cut in enumerate(self.board.lengths, start=1)
        )

    @property
    def ends(self) -> tuple[Kept, ...]:
        """Off-cuts as wide as the board."""
        return tuple(k for k in self.kept if _full(k.offcut, self.stock))

    def _beside(self, cut: SawnLength) -> Kept | None:
        """Off-cut along the edge of a length."""
        here = (k for k in self.kept if abs(k.offcut.x - cut.x) < 1e-4)
        return next((k for k in here if not _full(k.offcut, self.stock)), None)


def _full(offcut: OffCut, stock: Stock) -> bool:
    return offcut.width >= stock.width - 1e-4


def lettered(cutting: Cutting) -> tuple[Lettered, ...]:
    """Every board of a plan with its letter, in the order they are cut; none without a plan.

    Parameters
    ----------
    cutting : the cutting plan.
    """
    if cutting.result.plan is None:
        return ()
    stocks = {s.name: s for s in cutting.supply}
    kept: dict[tuple[str, int], list[Kept]] = {}
    for one in cutting.kept:
        kept.setdefault((one.stock, one.number), []).append(one)
    return tuple(
        Lettered(board_letters(n), b, stocks[b.stock], tuple(kept.get((b.stock, b.number), ())))
        for n, b in enumerate(cutting.result.plan.boards)
    )


def alike_boards(boards: Iterable[Lettered]) -> tuple[tuple[Lettered, ...], ...]:
    """Boards of one kind with the same cuts, together; the first of them come first."""
    groups: dict[object, list[Lettered]] = {}
    for board in boards:
        groups.setdefault(_board_key(board), []).append(board)
    return tuple(map(tuple, groups.values()))


def _board_key(board: Lettered) -> object:
    """What has to agree for two boards to be cut alike."""
    lengths = tuple((_near(n.cut.x), *_length_key(n)) for n in board.lengths)
    kept = tuple((_near(o.x), _near(o.y), _near(o.length)) for o in board.board.offcuts)
    stock = board.stock
    return (stock.name, _near(stock.length), stock.defects, lengths, kept)


def _length_key(length: NamedLength) -> tuple[object, ...]:
    cut, beside = length.cut, length.beside
    pieces = tuple(_piece_key(p, cut.x) for p in cut.pieces)
    edge = beside and (_near(beside.offcut.y), _near(beside.offcut.width))
    return (_near(cut.length), pieces, edge)


def _piece_key(piece: Piece, start: float) -> tuple[object, ...]:
    sizes = (piece.x - start, piece.y, piece.z, piece.length, piece.across, piece.through)
    return (piece.demand, piece.way, *map(_near, sizes))


def _near(mm: float) -> float:
    return round(mm, _SAME)


@dataclass(frozen=True)
class Ends:
    """Lengths that are ripped and split alike.

    Parameters
    ----------
    lengths : all of them.
    stock : what the first was cut from; the others have the same section.
    """

    lengths: tuple[NamedLength, ...]
    stock: Stock

    @property
    def first(self) -> NamedLength:
        """The one that is drawn."""
        return self.lengths[0]

    @property
    def names(self) -> tuple[str, ...]:
        """Names of all of them."""
        return tuple(length.name for length in self.lengths)


def alike_ends(boards: Iterable[Lettered]) -> tuple[Ends, ...]:
    """Lengths with the same section and the same cuts in it, together."""
    groups: dict[object, list[tuple[NamedLength, Stock]]] = {}
    for board in boards:
        stock = board.stock
        section = (stock.wood, _near(stock.width), _near(stock.thickness), stock.surfaced)
        for length in board.lengths:
            groups.setdefault((section, _length_key(length)), []).append((length, stock))
    return tuple(Ends(tuple(n for n, _ in g), g[0][1]) for g in groups.values())


def listed(names: Sequence[str]) -> str:
    """Names in a row.

    Examples
    --------
    >>> listed(["A"]), listed(["A", "B"]), listed(["A1", "A2", "B1"])
    ('A', 'A and B', 'A1, A2 and B1')
    """
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def span_text(first: int, last: int) -> str:
    """Numbers from first to last, short.

    Examples
    --------
    >>> span_text(3, 3), span_text(3, 4), span_text(3, 8)
    ('3', '3, 4', '3 to 8')
    """
    if last == first:
        return str(first)
    return f"{first}, {last}" if last == first + 1 else f"{first} to {last}"


def numbers_text(numbers: Iterable[int]) -> str:
    """Numbers with runs put together.

    Examples
    --------
    >>> numbers_text([5, 1, 2, 3]), numbers_text([1, 2])
    ('1 to 3 and 5', '1 and 2')
    """
    runs = groupby(enumerate(sorted(numbers)), key=lambda pair: pair[1] - pair[0])
    spans = [[n for _, n in run] for _, run in runs]
    return listed([t for span in spans for t in _span_texts(span[0], span[-1])])


def _span_texts(first: int, last: int) -> list[str]:
    return [f"{first} to {last}"] if last > first + 1 else [str(n) for n in range(first, last + 1)]
