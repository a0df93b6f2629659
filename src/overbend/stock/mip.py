"""Whole-number programs over given columns, solved by HiGHS within a time, on request ended."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from overbend.solver import Clock

if TYPE_CHECKING:
    import highspy
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

__all__ = ["Column", "Found", "quiet_highs", "solve_whole"]


@dataclass(frozen=True)
class Column:
    """A variable: its price, its entries by row, the most it may be, whether it is whole."""

    price: float
    entries: dict[int, float]
    most: float = float("inf")
    is_whole: bool = True


@dataclass(frozen=True)
class Found:
    """What was found.

    Parameters
    ----------
    counts : of each column; None when nothing was found.
    objective : of it; inf when nothing was found.
    bound : proven by the program.
    optimal : whether it is proven the best; without counts: that there is none.
    """

    counts: Ints | None
    objective: float
    bound: float
    optimal: bool


def solve_whole(
    columns: Sequence[Column],
    lower: Floats,
    upper: Floats,
    clock: Clock,
    *,
    gap: float = 0.0,
) -> Found:
    """Least price of columns, in whole numbers, whose rows stay within their bounds.

    Parameters
    ----------
    columns : the variables.
    lower, upper : bounds of the rows.
    clock : when to end.
    gap : relative gap at which it may end.

    Examples
    --------
    >>> import numpy as np
    >>> items = [Column(3.0, {0: 2.0}), Column(2.0, {0: 1.0})]
    >>> found = solve_whole(items, np.array([5.0]), np.array([np.inf]), Clock(5.0))
    >>> found.objective, found.counts.tolist()
    (8.0, [2, 1])
    """
    lp = _loaded(columns, lower, upper)
    lp.setOptionValue("time_limit", max(0.01, clock.left))
    lp.setOptionValue("mip_rel_gap", gap)
    lp.setOptionValue("mip_abs_gap", 1e-7)

    def ask(event: highspy.highs.HighsCallbackEvent) -> None:
        if clock.over:
            event.interrupt()

    lp.cbMipInterrupt += ask
    lp.run()
    return _read(lp)


def quiet_highs() -> highspy.Highs:
    """A solver on one thread that prints nothing, not even its name when it is made."""
    import highspy

    class Quiet(highspy.Highs):
        def enableCallbacks(self) -> None:  # noqa: N802
            self.setOptionValue("output_flag", False)
            super().enableCallbacks()  # type: ignore[no-untyped-call]

    solver = Quiet()  # type: ignore[no-untyped-call]
    solver.setOptionValue("threads", 1)
    return solver


def _loaded(columns: Sequence[Column], lower: Floats, upper: Floats) -> highspy.Highs:
    import highspy
    import numpy as np

    lp = quiet_highs()
    rows = len(lower)
    none = np.zeros(0, dtype=np.int32)
    lp.addRows(rows, lower, upper, 0, np.zeros(rows, dtype=np.int32), none, np.zeros(0))
    sizes = np.array([len(c.entries) for c in columns])
    starts = np.concatenate([[0], np.cumsum(sizes)[:-1]]).astype(np.int32)
    places = np.array([r for c in columns for r in c.entries], dtype=np.int32)
    values = np.array([v for c in columns for v in c.entries.values()], dtype=np.float64)
    prices = np.array([c.price for c in columns])
    most = np.array([c.most for c in columns])
    count = len(columns)
    lp.addCols(count, prices, np.zeros(count), most, len(values), starts, places, values)
    kinds = highspy.HighsVarType
    kind = [kinds.kInteger if c.is_whole else kinds.kContinuous for c in columns]
    lp.changeColsIntegrality(count, np.arange(count, dtype=np.int32), np.array(kind))
    return lp


def _read(lp: highspy.Highs) -> Found:
    import highspy
    import numpy as np

    info, status = lp.getInfo(), lp.getModelStatus()
    none = status in (highspy.HighsModelStatus.kInfeasible, highspy.HighsModelStatus.kUnbounded)
    feasible = info.primal_solution_status == int(highspy.SolutionStatus.kSolutionStatusFeasible)
    if none or not feasible:
        return Found(None, float("inf"), float(info.mip_dual_bound), none)
    counts = np.rint(np.array(lp.getSolution().col_value)).astype(np.int64)
    optimal = status == highspy.HighsModelStatus.kOptimal
    return Found(counts, float(info.objective_function_value), float(info.mip_dual_bound), optimal)
