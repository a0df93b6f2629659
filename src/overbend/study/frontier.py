"""Which of many are beaten by none: the frontier of a trade-off."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from overbend.errors import InputError

__all__ = ["frontier"]


def frontier(costs: ArrayLike) -> NDArray[np.bool_]:
    """Mark the rows that no other row beats.

    A row beats another when it costs no more in anything and less in something. Equal rows do
    not beat each other. Exact: no grid, no tolerance.

    Parameters
    ----------
    costs : less is better, finite, shape (rows, kinds).

    Returns
    -------
    Shape (rows,); at least one is marked when there are rows.

    Raises
    ------
    InputError
        For costs of another shape, or that are not finite.

    Notes
    -----
    Taken in the order of their first costs, a row can only be beaten by one before it, and it
    is enough to look at those that are themselves unbeaten: whatever beats a beaten row is
    beaten, if at all, by one of them.

    Examples
    --------
    >>> frontier([[1.0, 5.0], [2.0, 5.0], [3.0, 1.0], [1.0, 5.0]]).tolist()
    [True, False, True, True]
    """
    rows = np.asarray(costs, float)
    if rows.ndim != 2 or not np.isfinite(rows).all():
        raise InputError("costs that are not a finite table", allowed="rows of finite numbers")
    kept = np.empty_like(rows)
    count = 0
    marked = np.zeros(len(rows), bool)
    for i in np.lexsort(rows.T[::-1]):
        before = kept[:count]
        beaten = (before <= rows[i]).all(axis=1) & (before < rows[i]).any(axis=1)
        if not beaten.any():
            marked[i] = True
            kept[count] = rows[i]
            count += 1
    return marked
