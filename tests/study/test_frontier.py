"""The frontier against comparing every row with every other."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overbend.errors import InputError
from overbend.study import frontier


def by_brute_force(rows):
    """Every row against every other."""
    rows = np.asarray(rows, float)
    return [not any((other <= row).all() and (other < row).any() for other in rows) for row in rows]


@settings(max_examples=200, deadline=None)
@given(
    st.integers(1, 5).flatmap(
        lambda kinds: st.lists(st.tuples(*[st.integers(0, 6)] * kinds), min_size=1, max_size=40)
    )
)
def test_it_is_what_comparing_all_pairs_gives_ties_included(rows):
    assert frontier(rows).tolist() == by_brute_force(rows)


@pytest.mark.parametrize("seed", range(6))
def test_on_random_grids(seed):
    rng = np.random.default_rng(seed)
    rows = rng.random((300, 4)) * [1.0, 1e6, 1e-3, 40.0]
    rows[::7, 1] = rows[0, 1]
    marked = frontier(rows)
    assert marked.tolist() == by_brute_force(rows)
    assert 1 < marked.sum() < 300


def test_order_does_not_matter():
    rng = np.random.default_rng(8)
    rows, order = rng.integers(0, 9, (120, 3)), rng.permutation(120)
    assert (frontier(rows)[order] == frontier(rows[order])).all()


def test_nothing_has_no_frontier():
    assert frontier(np.zeros((0, 4))).tolist() == []


@pytest.mark.parametrize("bad", [[1.0, 2.0], [[1.0, np.inf]], [[np.nan]]])
def test_costs_that_are_no_finite_table_are_refused(bad):
    with pytest.raises(InputError, match="finite"):
        frontier(bad)
