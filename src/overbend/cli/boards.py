"""Choosing boards while the maker watches."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from overbend.cli.shared import Step
    from overbend.plan import Plan
    from overbend.solver import Solution

__all__ = ["choose_boards"]


def choose_boards(plan: Plan, step: Step) -> None:
    """Make the cutting plan, if any, and show the seconds gone by as it gets better.

    Parameters
    ----------
    plan : the plan; its cutting plan is made from then on.
    step : shows what is being done, seconds gone and seconds in all.
    """
    if plan.to_cut is None:
        return
    start, seconds = time.monotonic(), max(1, round(plan.project.shop.cutting.seconds))
    shown = 0

    def told(_: Solution) -> None:
        nonlocal shown
        gone = min(seconds, int(time.monotonic() - start))
        if gone > shown:
            shown = gone
            step("choosing boards", gone, seconds)

    step("choosing boards", 0, seconds)
    plan.cut_with(progress=told)
