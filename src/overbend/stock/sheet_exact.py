"""Few rectangles on the fewest sheets, exactly.

Any cutting from edge to edge joins, seen backwards, two boxes into one: side by side or one above
the other. For every collection of the rectangles the boxes it can be joined into are listed, those
only that no other beats in both sizes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from overbend.stock.sheet_fill import Rect, Spot

__all__ = ["nested_exactly", "ways_to_choose"]

Counts = tuple[int, ...]


@dataclass(frozen=True)
class _Box:
    """A box: its size, and the rectangle or the two boxes in it."""

    x: int
    y: int
    rect: int = -1
    first: _Box | None = None
    second: _Box | None = None
    beside: bool = True


def ways_to_choose(counts: Sequence[int]) -> int:
    """Number of collections of the rectangles.

    Examples
    --------
    >>> ways_to_choose([2, 3])
    12
    """
    total = 1
    for n in counts:
        total *= n + 1
    return total


def nested_exactly(
    rects: Sequence[Rect], counts: Sequence[int], room: tuple[int, int]
) -> list[list[Spot]]:
    """Spots on the fewest sheets: one list a sheet.

    Parameters
    ----------
    rects : different rectangles, each of which fits a sheet.
    counts : how many of each.
    room : size of a sheet.
    """
    full = tuple(counts)
    boxes: dict[Counts, list[_Box]] = {}
    for chosen in sorted(product(*(range(n + 1) for n in full)), key=lambda c: (sum(c), c)):
        if sum(chosen):
            boxes[chosen] = _front(_boxes(rects, chosen, boxes, room))
    sheets: dict[Counts, tuple[int, Counts]] = {(0,) * len(full): (0, full)}
    for chosen in boxes:
        sheets[chosen] = min(
            (sheets[rest][0] + 1, part)
            for part, rest in _parts(chosen)
            if boxes[part] and rest in sheets
        )
    plan, left = [], full
    while sum(left):
        part = sheets[left][1]
        plan.append(list(_spots(boxes[part][0], 0, 0)))
        left = tuple(a - b for a, b in zip(left, part, strict=True))
    return plan


def _parts(chosen: Counts) -> Iterator[tuple[Counts, Counts]]:
    """Ways to take something out of a collection: the part and the rest."""
    for part in product(*(range(n + 1) for n in chosen)):
        if sum(part):
            yield part, tuple(a - b for a, b in zip(chosen, part, strict=True))


def _boxes(
    rects: Sequence[Rect], chosen: Counts, boxes: dict[Counts, list[_Box]], room: tuple[int, int]
) -> Iterator[_Box]:
    """All boxes that a collection can be joined into."""
    if sum(chosen) == 1:
        kind = chosen.index(1)
        for x, y in rects[kind].ways(room):
            yield _Box(x, y, kind)
        return
    for part, rest in _parts(chosen):
        if part <= rest:
            for one, two in product(boxes[part], boxes[rest]):
                if one.x + two.x <= room[0]:
                    yield _Box(one.x + two.x, max(one.y, two.y), -1, one, two, beside=True)
                if one.y + two.y <= room[1]:
                    yield _Box(max(one.x, two.x), one.y + two.y, -1, one, two, beside=False)


def _front(boxes: Iterator[_Box]) -> list[_Box]:
    """Boxes that no other beats in both sizes."""
    best: list[_Box] = []
    for box in sorted(boxes, key=lambda b: (b.x, b.y)):
        if not best or box.y < best[-1].y:
            best.append(box)
    return best


def _spots(box: _Box, x: int, y: int) -> Iterator[Spot]:
    if box.first is None or box.second is None:
        yield Spot(box.rect, x, y, box.x, box.y)
        return
    yield from _spots(box.first, x, y)
    if box.beside:
        yield from _spots(box.second, x + box.first.x, y)
    else:
        yield from _spots(box.second, x, y + box.first.y)
