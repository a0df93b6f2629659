"""Spares against scipy.stats.

Source: scipy.stats.binom, nbinom and betabinom (SciPy reference guide). Independent strips:
exact. Tolerances are for rounding: the batch is summed through a Fourier transform, good to
about 1e-13 in a chance.
"""

import numpy as np
import pytest
from scipy.stats import betabinom, binom, nbinom

from overbend.bend.spares import chance_enough, loss_chances, spares_needed


@pytest.mark.parametrize("count", [1, 4, 9, 60])
@pytest.mark.parametrize("p", [1e-6, 0.03, 0.35, 0.9])
def test_one_board_of_independent_strips_is_binomial(count, p):
    k = np.arange(count + 1)
    assert loss_chances(count, p) == pytest.approx(binom.pmf(k, count, p), rel=1e-9, abs=1e-300)


@pytest.mark.parametrize("count", [2, 7, 40])
@pytest.mark.parametrize(("p", "rho"), [(0.02, 0.1), (0.15, 0.4), (0.6, 0.03), (0.3, 0.9)])
def test_one_board_is_beta_binomial(count, p, rho):
    total = 1 / rho - 1
    expected = betabinom.pmf(np.arange(count + 1), count, p * total, (1 - p) * total)
    assert loss_chances(count, p, rho) == pytest.approx(expected, rel=1e-8)


@pytest.mark.parametrize("boards", [[20], [1] * 20, [8, 7, 5]])
def test_independent_strips_do_not_care_about_boards(boards):
    for p in (0.01, 0.12, 0.4):
        lost_at_most = binom.cdf(20 - 16, 20, p)
        assert chance_enough(16, boards, p) == pytest.approx(lost_at_most, abs=1e-12)


@pytest.mark.parametrize("good", [1, 3, 14, 80, 300])
@pytest.mark.parametrize("p", [0.002, 0.05, 0.21, 0.55])
@pytest.mark.parametrize("confidence", [0.8, 0.95, 0.999])
def test_independent_spares_are_the_negative_binomial_quantile(good, p, confidence):
    # losses before the good-th strip comes through
    spare = int(nbinom.ppf(confidence, good, 1 - p))
    need = spares_needed(good, p, confidence=confidence)
    assert need.spare == spare
    assert need.reached == pytest.approx(nbinom.cdf(spare, good, 1 - p), abs=1e-11)


def test_two_boards_convolve():
    p, rho = 0.1, 0.25
    total = 1 / rho - 1
    one = betabinom(6, p * total, (1 - p) * total).pmf(np.arange(7))
    two = betabinom(4, p * total, (1 - p) * total).pmf(np.arange(5))
    enough = np.convolve(one, two)[: 10 - 8 + 1].sum()
    assert chance_enough(8, [6, 4], p, rho) == pytest.approx(enough, abs=1e-12)
