"""Boards put together from columns: layouts laid on the lengths that patterns give."""

from __future__ import annotations

from collections.abc import Sequence

from overbend.stock.build import Sawn
from overbend.stock.patterns import Layout, Pattern, Problem

__all__ = ["assemble"]


def assemble(problem: Problem, used: Sequence[tuple[Pattern | Layout, int]]) -> list[Sawn]:
    """Boards with the layouts laid on their lengths, equal layouts together."""
    waiting: dict[int, list[Layout]] = {}
    for column, times in used:
        if isinstance(column, Layout):
            waiting.setdefault(problem.place(column), []).extend([column] * times)
    plan = []
    for column, times in used:
        if isinstance(column, Pattern):
            start = problem.starts[problem.boards[column.board].section]
            for _ in range(times):
                layouts = [
                    waiting[start + a].pop()
                    for a, n in enumerate(problem.lengths_in(column))
                    for _ in range(n)
                    if waiting.get(start + a)
                ]
                plan.append(Sawn.of(problem, column, layouts))
    return [board for board in plan if board.layouts]
