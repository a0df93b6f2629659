"""Least cost of small cutting problems by trying everything; knows nothing of the solver.

All sizes are whole numbers of mm. A board is crosscut into lengths asked for, each length is ripped
into bars as thick as the plank, a bar is split through its thickness into strips of one or two
kinds, strips shorter than the length are taken end to end. A strip that is all the thickness, or
all the width, of a plank planed to its finished size is not planed there.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from itertools import combinations


@dataclass(frozen=True)
class Strip:
    length: int
    width: int
    sawn: int
    count: int
    ways: tuple[str, ...] = ("edge", "flat")
    thick: int = 0  # finished; 0: as sawn
    finished: int = 0  # finished width; 0: as it is


@dataclass(frozen=True)
class Plank:
    length: int
    width: int
    thickness: int
    cost: int
    count: int
    defects: tuple[tuple[int, int], ...] = ()
    planed: bool = False


def least_cost(strips: list[Strip], planks: list[Plank], kerf: int, deep: int) -> int | None:
    """Least cost, None when the planks do not suffice."""
    wanted = tuple(s.count for s in strips)
    best = {(0,) * len(strips): 0}
    for plank in planks:
        gives = board_yields(strips, plank, kerf, deep)
        for _ in range(plank.count):
            new = dict(best)
            for have, cost in best.items():
                for give in gives:
                    key = clip(add(have, give), wanted)
                    if cost + plank.cost < new.get(key, 10**9):
                        new[key] = cost + plank.cost
            best = new
    return best.get(wanted)


def add(a, b):
    return tuple(x + y for x, y in zip(a, b, strict=True))


def clip(a, most):
    return tuple(min(x, m) for x, m in zip(a, most, strict=True))


def clear_spans(plank: Plank, kerf: int) -> list[int]:
    """Runs of clear millimetres; a defect takes at least a kerf."""
    bad = [any(a <= x < max(b, a + kerf) for a, b in plank.defects) for x in range(plank.length)]
    runs, run = [], 0
    for flag in [*bad, True]:
        if flag and run:
            runs.append(run)
        run = 0 if flag else run + 1
    return runs


def board_yields(strips, plank, kerf, deep):
    """All yields of a board that no other yield of it beats in everything."""
    wanted = tuple(s.count for s in strips)
    none = (0,) * len(strips)

    def filled(options, room):
        """Yields of pieces laid side by side, each with its size and what it gives."""

        @cache
        def fill(room):
            found = {none}
            for size, give in options:
                if size <= room:
                    found |= {clip(add(give, rest), wanted) for rest in fill(room - size - kerf)}
            return best_of(found)

        return fill(room)

    lengths = [
        (length, give)
        for length in sorted({s.length for s in strips})
        for give in filled(bars(strips, length, plank, deep, kerf), plank.width)
    ]
    total = {none}
    for span in clear_spans(plank, kerf):
        gives = filled(lengths, span)
        total = best_of({clip(add(t, give), wanted) for t in total for give in gives})
    return total


def bars(strips, length, plank, deep, kerf):
    """Width and yield of every bar of a length."""
    layers = []
    for k, s in enumerate(strips):
        ends = 0
        while (ends + 1) * s.length + ends * kerf <= length:
            ends += 1
        for across, up in sections(s, plank):
            if ends and up <= plank.thickness:
                layers.append((across, up, k, ends))
    found = set()
    for chosen in [*((x,) for x in layers), *combinations(layers, 2)]:
        if len({x[0] for x in chosen}) == 1:
            for counts in stack([x[1] for x in chosen], plank.thickness, deep):
                give = [0] * len(strips)
                for n, (_, _, k, ends) in zip(counts, chosen, strict=True):
                    give[k] += n * ends
                found.add((chosen[0][0], clip(give, [s.count for s in strips])))
    return {
        (width, give) for width, give in found
        if not any(w <= width and g != give and beats(g, give) for w, g in found)
    }  # fmt: skip


def sections(s, plank):
    """Every size across and through that a strip may be cut to."""
    wide, thick = [s.width], [s.sawn]
    for way in s.ways:
        across, up = (thick, wide) if way == "edge" else (wide, thick)
        more_across = [] if not plank.planed else [s.thick if way == "edge" else s.finished]
        more_up = [] if not plank.planed else [s.finished if way == "edge" else s.thick]
        for a in across + [x for x in more_across if x == plank.width]:
            for u in up + [x for x in more_up if x == plank.thickness]:
                yield a, u


def stack(ups, room, deep):
    """Counts of pieces of each size that fit a room with cuts between them."""
    if not ups:
        yield ()
        return
    n = 0
    while n * (ups[0] + deep) - deep <= room:
        for rest in stack(ups[1:], room - n * (ups[0] + deep), deep):
            yield (n, *rest)
        n += 1


def beats(a, b):
    return all(x >= y for x, y in zip(a, b, strict=True))


def best_of(found):
    return {a for a in found if not any(b != a and beats(b, a) for b in found)}
