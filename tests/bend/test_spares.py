import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overbend.bend.breakage import Capacity, break_risk
from overbend.bend.spares import (
    chance_enough,
    expected_losses,
    loss_chances,
    spares_needed,
)
from overbend.errors import LayupError
from support.pace import quiet_seconds

CHANCES = st.floats(0.0, 0.6)
LIKE = st.floats(0.0, 0.95)


@given(st.integers(0, 40), CHANCES, LIKE)
def test_losses_of_a_board_have_the_mean_and_spread_of_the_beta_binomial(count, p, rho):
    k = np.arange(count + 1)
    pmf = loss_chances(count, p, rho)
    mean = pmf @ k
    assert pmf.sum() == pytest.approx(1.0, rel=1e-9)
    assert mean == pytest.approx(count * p, abs=1e-9)
    spread = count * p * (1 - p) * (1 + (count - 1) * rho)
    assert pmf @ (k - mean) ** 2 == pytest.approx(spread, abs=1e-6)


def test_losses_hold_at_the_ends():
    assert loss_chances(3, 0.0, 0.3).tolist() == [1.0, 0.0, 0.0, 0.0]
    assert loss_chances(3, 1.0, 0.3).tolist() == [0.0, 0.0, 0.0, 1.0]
    assert loss_chances(0, 0.4).tolist() == [1.0]
    alike = loss_chances(5, 0.3, 1 - 1e-9)
    assert alike[[0, 5]] == pytest.approx([0.7, 0.3], abs=1e-6)


def test_clustered_boards_by_simulation():
    boards, good, p, rho = [7, 7, 7, 4], 20, 0.12, 0.22
    rng = np.random.default_rng(5)
    total = 1 / rho - 1
    chance = rng.beta(p * total, (1 - p) * total, (100_000, len(boards)))
    left = sum(boards) - rng.binomial(boards, chance).sum(axis=1)
    # sampling error 0.0015
    assert chance_enough(good, boards, p, rho) == pytest.approx((left >= good).mean(), abs=0.006)


def test_levels_of_board_and_strip_by_simulation():
    capacity = Capacity(0.0155, 0.16, 0.13, 0.0)
    strain, boards, good = 0.0125, [6] * 4, 20
    p, rho, weight = break_risk(strain, capacity).scenarios(doubted=False)
    rng = np.random.default_rng(6)
    n = 60_000
    lost = np.zeros(n)
    for count in boards:
        board = capacity.board * rng.standard_normal((n, 1))
        own = capacity.strip * rng.standard_normal((n, count))
        lost += (np.log(strain / capacity.median) > board + own).sum(axis=1)
    seen = (sum(boards) - lost >= good).mean()
    # the beta distribution stands in for the lognormal levels: within two in a hundred
    assert chance_enough(good, boards, p, rho, weight) == pytest.approx(seen, abs=0.02)


def test_doubt_by_simulation():
    capacity = Capacity(0.0155, 0.0, 0.2, 0.2)
    p, rho, weight = break_risk(0.0115, capacity).scenarios()
    rng = np.random.default_rng(8)
    median = np.log(capacity.median) + capacity.doubt * rng.standard_normal((60_000, 1))
    stands = median + capacity.strip * rng.standard_normal((60_000, 17))
    seen = ((stands > np.log(0.0115)).sum(axis=1) >= 14).mean()
    assert chance_enough(14, [1] * 17, p, rho, weight) == pytest.approx(seen, abs=0.008)


@settings(max_examples=40)
@given(st.integers(1, 30), st.floats(0.0, 0.4), st.floats(0.0, 0.6), st.integers(1, 9))
def test_the_number_is_the_least_that_is_enough(good, p, rho, per_board):
    need = spares_needed(good, p, rho, strips_per_board=per_board)
    assert need.mill is not None

    def chance(milled):
        full, rest = divmod(milled, per_board)
        return chance_enough(good, [per_board] * full + [rest] * (rest > 0), p, rho)

    assert need.reached == pytest.approx(chance(need.mill))
    assert need.reached >= 0.95
    assert need.mill == good or chance(need.mill - 1) < 0.95
    assert need.boards == -(-need.mill // per_board)
    assert need.spare == need.mill - good


@given(st.integers(2, 25), st.floats(0.01, 0.3), st.floats(0.0, 0.5))
def test_more_strips_never_make_it_worse(good, p, rho):
    chances = [chance_enough(good, [4] * k + [2], p, rho) for k in range(1, 12)]
    assert np.diff(chances).min() >= -1e-9


def test_boards_that_agree_cost_more_spares():
    alone = spares_needed(24, 0.06, 0.0, strips_per_board=8).mill
    alike = spares_needed(24, 0.06, 0.3, strips_per_board=8).mill
    assert alone < alike


def test_doubt_costs_more_spares():
    sure, doubted = Capacity(0.015, 0.1, 0.15, 0.0), Capacity(0.015, 0.1, 0.15, 0.2)
    one, two = (
        spares_needed(14, *break_risk(0.0108, c).scenarios(), strips_per_board=7)
        for c in (sure, doubted)
    )
    assert one.mill < two.mill


def test_losses_expected():
    assert expected_losses(20, [0.1, 0.3], [3, 1]) == pytest.approx(3.0)
    need = spares_needed(14, 0.1)
    assert need.losses == pytest.approx(0.1 * need.mill)


def test_hopeless_wood_is_a_result_with_its_reason():
    need = spares_needed(6, 0.97, strips_per_board=4)
    assert need.mill is None
    assert (need.spare, need.boards) == (0, 0)
    assert need.words().startswith("Not even 120 strips are enough for 6")


def test_nothing_breaks_nothing_spare():
    need = spares_needed(9, 0.0, 0.2, strips_per_board=4)
    assert (need.mill, need.boards, need.spare) == (9, 3, 0)
    assert (
        need.words() == "Mill 9 for 9: about 0.0 break, and in 100 batches of 100 enough are left."
    )


def test_too_few_strips_are_never_enough():
    assert chance_enough(9, [4, 4], 0.0) == 0.0


def test_quick_enough_to_follow_a_drag():
    p, rho, weight = break_risk(0.0095, Capacity(0.0152, 0.138, 0.138, 0.25)).scenarios()
    spares_needed(14, p, rho, weight, strips_per_board=8)
    # 2 ms on the machine it was written on
    assert quiet_seconds(lambda: spares_needed(14, p, rho, weight, strips_per_board=8)) < 0.01


def test_refusals():
    with pytest.raises(LayupError, match="chances from 0 to 1"):
        loss_chances(3, 1.2)
    with pytest.raises(LayupError, match="counts of 1 or more"):
        spares_needed(0, 0.1)
    with pytest.raises(LayupError, match="between 0 and 1"):
        spares_needed(5, 0.1, confidence=1.0)
