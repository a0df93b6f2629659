"""What is asked for: a stock length, lengths and how many of each."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from overbend.errors import StockError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Ints = NDArray[np.int64]

__all__ = ["Sticks", "read_sticks"]

MOST = 10**9
"""Longest length and greatest count."""

ALLOWED = "whole numbers from one to a thousand million"


@dataclass(frozen=True)
class Sticks:
    """One-dimensional cutting stock; sizes in whole units, kerf included by the caller.

    Parameters
    ----------
    name : of the instance.
    stock : length of a stick.
    lengths : wanted, all different, the longest first.
    counts : how many of each.
    """

    name: str
    stock: int
    lengths: tuple[int, ...]
    counts: tuple[int, ...]

    @classmethod
    def of(cls, name: str, stock: int, pairs: list[tuple[int, int]]) -> Sticks:
        """Instance from pairs of length and count; equal lengths are put together.

        Raises
        ------
        StockError
            For no lengths, or a length or count that is not above zero or above all reason.

        Examples
        --------
        >>> Sticks.of("rails", 20, [(5, 2), (8, 1), (5, 1)])
        Sticks(name='rails', stock=20, lengths=(8, 5), counts=(1, 3))
        """
        together: dict[int, int] = {}
        if not pairs or not 0 < stock <= MOST:
            raise StockError(f"{len(pairs)} lengths of {stock}", name, ALLOWED)
        for length, count in pairs:
            if not (0 < length <= MOST and 0 < count <= MOST):
                raise StockError(f"length {length}, count {count}", name, ALLOWED)
            together[length] = together.get(length, 0) + count
        ordered = sorted(together.items(), reverse=True)
        return cls(name, stock, tuple(n for n, _ in ordered), tuple(c for _, c in ordered))

    @property
    def sizes(self) -> Ints:
        """The lengths."""
        import numpy as np

        return np.array(self.lengths, dtype=np.int64)

    @property
    def wanted(self) -> Ints:
        """The counts."""
        import numpy as np

        return np.array(self.counts, dtype=np.int64)

    @property
    def fewest(self) -> int:
        """Sticks that hold the lengths end to end, without regard to where they are cut."""
        total = sum(n * c for n, c in zip(self.lengths, self.counts, strict=True))
        return -(-total // self.stock)


def read_sticks(text: str, name: str) -> Sticks:
    r"""Read an instance: number of lengths, stock length, then lines of length and count.

    Parameters
    ----------
    text : of the file.
    name : of the instance.

    Raises
    ------
    StockError
        When the text is anything else.

    Examples
    --------
    >>> read_sticks("2\n100\n60 1\n35 4\n", "shelf").counts
    (1, 4)
    """
    layout = "line 1 the number of lengths, line 2 the stock length, then lines `length count`"
    lines = [(n, line.split()) for n, line in enumerate(text.splitlines(), 1) if line.split()]
    numbers: list[int] = []
    for place, (n, words) in enumerate(lines):
        if len(words) != (1 if place < 2 else 2) or not all(_is_count(w) for w in words):
            raise StockError(f"{' '.join(words)[:40]!r}", f"{name}, line {n}", layout)
        numbers += [int(word) for word in words]
    if len(numbers) < 2 or numbers[0] < 1 or len(numbers) != 2 + 2 * numbers[0]:
        found = f"{max(len(lines) - 2, 0)} lines of lengths"
        said = f", line 1 says {numbers[0]}" if numbers else ""
        raise StockError(found + said, name, layout)
    rest = numbers[2:]
    return Sticks.of(name, numbers[1], list(zip(rest[0::2], rest[1::2], strict=True)))


def _is_count(word: str) -> bool:
    """Whether a word is a whole number above zero that is not absurdly long."""
    return word.isascii() and word.isdigit() and len(word) <= 18 and int(word) > 0
