"""Which strip goes into which stack: as few boards in a stack as the cuts allow.

Strips that were neighbours in one board agree in colour and grain. Which board a strip comes from
is settled by cost and wood; which stack it goes into is free, so this costs nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from overbend.stock.records import Demand
from overbend.stock.sawplan import BoardPlan, Piece

__all__ = ["boards_in_stacks", "stacked"]

Place = tuple[int, int, int]
"""Board, length and piece."""


def stacked(boards: Sequence[BoardPlan], demands: Sequence[Demand]) -> tuple[BoardPlan, ...]:
    """Boards whose pieces know their stack, and whether they are more than asked for.

    Parameters
    ----------
    boards : with all cuts.
    demands : what was asked for; those with `part` and `per_part` make stacks.

    Notes
    -----
    Stacks are filled one after the other. Each takes from the board that gives it the most; of
    equals the one that is left with the least.
    """
    pools: dict[str, list[Place]] = {d.name: [] for d in demands}
    for b, board in enumerate(boards):
        for n, length in enumerate(board.lengths):
            for k, piece in enumerate(length.pieces):
                pools[piece.demand].append((b, n, k))
    stack_of: dict[Place, int] = {}
    for part in dict.fromkeys(d.part for d in demands if d.part and d.per_part):
        kinds = [d for d in demands if d.part == part and d.per_part]
        for number in range(1, min(d.count // d.per_part for d in kinds) + 1):
            _fill(number, {d.name: d.per_part for d in kinds}, pools, stack_of)
    extra = _extra(pools, stack_of, demands)
    return tuple(_marked(b, board, stack_of, extra) for b, board in enumerate(boards))


def _fill(
    number: int, wanted: dict[str, int], pools: dict[str, list[Place]], stack_of: dict[Place, int]
) -> None:
    """Take one stack's strips from as few boards as it can."""
    while any(wanted.values()):
        there: dict[int, dict[str, int]] = {}
        for kind in wanted:
            for place in pools[kind]:
                if place not in stack_of:
                    row = there.setdefault(place[0], {})
                    row[kind] = row.get(kind, 0) + 1
        gives = {b: sum(min(n, wanted[k]) for k, n in row.items()) for b, row in there.items()}
        board = max(gives, key=lambda b: (gives[b], -sum(there[b].values()), -b))
        for kind in wanted:
            for place in pools[kind]:
                if place[0] == board and place not in stack_of and wanted[kind]:
                    stack_of[place] = number
                    wanted[kind] -= 1


def _extra(
    pools: dict[str, list[Place]], stack_of: dict[Place, int], demands: Sequence[Demand]
) -> set[Place]:
    """Pieces beyond the count asked for, none of them in a stack."""
    found: set[Place] = set()
    for demand in demands:
        free = [place for place in pools[demand.name] if place not in stack_of]
        over = len(pools[demand.name]) - demand.count
        found.update(free[len(free) - over :] if over > 0 else ())
    return found


def _marked(b: int, board: BoardPlan, stack_of: dict[Place, int], extra: set[Place]) -> BoardPlan:
    def marked(place: Place, piece: Piece) -> Piece:
        return replace(piece, stack=stack_of.get(place, 0), extra=place in extra)

    lengths = tuple(
        replace(
            length,
            pieces=tuple(marked((b, n, k), piece) for k, piece in enumerate(length.pieces)),
        )
        for n, length in enumerate(board.lengths)
    )
    return replace(board, lengths=lengths)


def boards_in_stacks(
    boards: Sequence[BoardPlan], demands: Sequence[Demand]
) -> dict[tuple[str, int], int]:
    """From how many boards each stack (part and number) comes."""
    part = {d.name: d.part for d in demands}
    found: dict[tuple[str, int], set[int]] = {}
    for b, board in enumerate(boards):
        for piece in board.pieces:
            if piece.stack:
                found.setdefault((part[piece.demand], piece.stack), set()).add(b)
    return {stack: len(sources) for stack, sources in found.items()}
