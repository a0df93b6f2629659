"""Many rectangles on few sheets: free corners filled in many orders, and a bound from below."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from overbend.solver import Clock

if TYPE_CHECKING:
    import numpy as np

__all__ = ["Rect", "Spot", "fewest_sheets", "nested_quickly"]


@dataclass(frozen=True)
class Rect:
    """A rectangle with the kerf on two sides; whether it may be turned."""

    x: int
    y: int
    turns: bool

    def ways(self, room: tuple[int, int]) -> Iterator[tuple[int, int]]:
        """Sizes along the sheet and across it, in which it fits."""
        both = {(self.x, self.y), (self.y, self.x)} if self.turns else {(self.x, self.y)}
        yield from (way for way in sorted(both) if way[0] <= room[0] and way[1] <= room[1])


SIZES: tuple[Callable[[Rect], int], ...] = (
    lambda r: r.x * r.y,
    lambda r: max(r.x, r.y),
    lambda r: min(r.x, r.y),
    lambda r: r.x + r.y,
)
"""What large means, when the large ones are laid first."""


@dataclass(frozen=True)
class Spot:
    """Where a rectangle lies: its kind, corner and size."""

    rect: int
    x: int
    y: int
    along: int
    across: int


def fewest_sheets(rects: Sequence[Rect], counts: Sequence[int], room: tuple[int, int]) -> int:
    """Sheets that are needed, by area, and by rectangles that cannot lie above each other.

    Examples
    --------
    >>> fewest_sheets([Rect(6, 6, False)], [3], (10, 10))
    3
    """
    area = sum(r.x * r.y * n for r, n in zip(rects, counts, strict=True))
    bounds = [-(-area // (room[0] * room[1]))]
    for side in (0, 1):
        high = [
            (min(way[side] for way in ways), n)
            for r, n in zip(rects, counts, strict=True)
            if (ways := list(r.ways(room)))
            if all(2 * way[1 - side] > room[1 - side] for way in ways)
        ]
        bounds.append(-(-sum(size * n for size, n in high) // room[side]))
        bounds.append(sum(n for size, n in high if 2 * size > room[side]))
    return max(bounds)


def nested_quickly(
    rects: Sequence[Rect],
    counts: Sequence[int],
    room: tuple[int, int],
    least: int,
    rng: np.random.Generator,
    clock: Clock,
) -> list[list[Spot]]:
    """Spots on few sheets, in the best of many orders; one list a sheet.

    Parameters
    ----------
    rects : different rectangles, each of which fits a sheet.
    counts : how many of each.
    room : size of a sheet.
    least : sheets that are needed.
    rng : chance in the orders.
    clock : when to end.
    """
    every = [k for k, n in enumerate(counts) for _ in range(n)]
    best: list[list[Spot]] | None = None
    turn = 0
    while best is None or (len(best) > least and not clock.over):
        size, blur = SIZES[turn % len(SIZES)], 0.3 * (turn >= 2 * len(SIZES))
        chance = 1 + blur * rng.uniform(-1, 1, len(every))
        sizes = [-size(rects[k]) * c for k, c in zip(every, chance, strict=True)]
        order = [every[n] for n in sorted(range(len(every)), key=sizes.__getitem__)]
        plan = _filled(rects, order, room, longer=bool(turn // len(SIZES) % 2))
        if best is None or len(plan) < len(best):
            best = plan
        turn += 1
    return best


def _filled(
    rects: Sequence[Rect], order: Sequence[int], room: tuple[int, int], *, longer: bool
) -> list[list[Spot]]:
    """Each rectangle into the free box it fills best; a new sheet when none takes it."""
    sheets: list[list[Spot]] = []
    free: list[tuple[int, int, int, int, int]] = []
    for kind in order:
        chosen = min(_fits(rects[kind], free), default=None)
        if chosen is None:
            sheets.append([])
            free.append((len(sheets) - 1, 0, 0, *room))
            chosen = min(_fits(rects[kind], free[-1:], len(free) - 1))
        _, place, along, across = chosen
        sheet, x, y, wide, high = free.pop(place)
        sheets[sheet].append(Spot(kind, x, y, along, across))
        beside, above = wide - along, high - across
        if (beside * high >= wide * above) == longer:
            free += [(sheet, x + along, y, beside, high), (sheet, x, y + across, along, above)]
        else:
            free += [(sheet, x + along, y, beside, across), (sheet, x, y + across, wide, above)]
        free = [box for box in free if box[3] > 0 and box[4] > 0]
    return sheets


def _fits(
    rect: Rect, free: Sequence[tuple[int, int, int, int, int]], first: int = 0
) -> Iterator[tuple[tuple[int, int], int, int, int]]:
    """Ways to lay a rectangle into the free boxes, the closest fit least."""
    for place, (_, _, _, wide, high) in enumerate(free, start=first):
        for along, across in rect.ways((wide, high)):
            rest = sorted((wide - along, high - across))
            yield (rest[0], rest[1]), place, along, across
