"""Beliefs changed by evidence, against closed forms and against sums over a fine grid."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import expit, log_ndtr

from overbend.bend.belief import Belief, learn


def reading(value, error):
    value, error = np.atleast_1d(value)[:, None], np.atleast_1d(error)[:, None]
    return lambda u: -0.5 * ((u - value) / error) ** 2


def exact(prior, value, error):
    """Kalman's update for readings of the first quantities."""
    n = len(value)
    gain = prior.cov[:, :n] @ np.linalg.inv(prior.cov[:n, :n] + np.diag(np.square(error)))
    mean = prior.mean + gain @ (np.asarray(value) - prior.mean[:n])
    return mean, prior.cov - gain @ prior.cov[:n]


COV = np.array([[1.0, 0.6, 0.3], [0.6, 1.5, -0.2], [0.3, -0.2, 0.7]])
PRIOR = Belief(np.array([0.4, -1.0, 2.0]), COV)


def test_gaussian_readings_give_the_closed_form():
    after = learn(PRIOR, reading([1.3, -2.0], [0.2, 1.1]), 2)
    mean, cov = exact(PRIOR, [1.3, -2.0], [0.2, 1.1])
    np.testing.assert_allclose(after.mean, mean, atol=1e-5)
    np.testing.assert_allclose(after.cov, cov, atol=1e-5)


@given(st.lists(st.tuples(st.floats(-6, 6), st.floats(0.01, 3.0)), min_size=1, max_size=3))
def test_any_gaussian_readings(pairs):
    value, error = zip(*pairs, strict=True)
    after = learn(PRIOR, reading(value, error), len(pairs))
    mean, cov = exact(PRIOR, value, error)
    np.testing.assert_allclose(after.mean, mean, atol=2e-3)
    np.testing.assert_allclose(np.diagonal(after.cov), np.diagonal(cov), atol=2e-3)


def test_no_evidence_changes_nothing():
    assert learn(PRIOR, reading([1.0], [1.0]), 0) is PRIOR
    blank = learn(PRIOR, lambda u: np.zeros_like(u), 3)
    np.testing.assert_allclose(blank.mean, PRIOR.mean, atol=1e-6)
    np.testing.assert_allclose(blank.cov, PRIOR.cov, atol=1e-6)


def test_one_quantity_read_twice_is_one_quantity():
    twin = Belief(np.zeros(2), np.ones((2, 2)))
    after = learn(twin, reading([1.0, 2.0], [1.0, 1.0]), 2)
    np.testing.assert_allclose(after.mean, [1.0, 1.0], atol=1e-5)
    np.testing.assert_allclose(after.sd, [3**-0.5] * 2, atol=1e-5)


def test_cases_side_by_side_are_the_cases_alone():
    value = np.array([[1.3, -2.0], [0.1, 4.0]])

    def both(u):
        return -0.5 * ((u - value[..., None]) / 0.5) ** 2

    after = learn(PRIOR, both, 2)
    for case in range(2):
        alone = learn(PRIOR, reading(value[case], [0.5, 0.5]), 2)
        np.testing.assert_allclose(after.mean[case], alone.mean, atol=1e-5)
        np.testing.assert_allclose(after.cov[case], alone.cov, atol=1e-5)


def summed(prior, log_likelihood):
    """Mean and standard deviation of two quantities from a sum over the plane."""
    span = [m + s * np.linspace(-7, 7, 1201) for m, s in zip(prior.mean, prior.sd, strict=True)]
    x, y = np.meshgrid(*span, indexing="ij")
    off = np.stack([x - prior.mean[0], y - prior.mean[1]], axis=-1)
    log = -0.5 * np.einsum("...i,ij,...j->...", off, np.linalg.inv(prior.cov), off)
    said = [log_likelihood(np.stack([v, v]))[i] for i, v in enumerate(span)]
    weight = np.exp(log + said[0][:, None] + said[1][None, :])
    weight /= weight.sum()
    mean = [(weight * v).sum() for v in (x, y)]
    return mean, [np.sqrt((weight * (v - m) ** 2).sum()) for v, m in zip((x, y), mean, strict=True)]


LOSSES = (([0.03, 0.11], 0.004), ([0.0, 0.02], 0.01), ([-0.02, 0.3], 0.01), ([0.9, 0.02], 0.05))


@pytest.mark.parametrize(("lost", "error"), LOSSES, ids=str)
def test_readings_of_a_loss_agree_with_the_sum_over_the_plane(lost, error):
    """The last two rows are near phi = 1 and far from the prior; tolerance as the docstring."""
    prior = Belief(np.array([2.4, 1.9]), 0.72 * np.array([[1.0, 0.5], [0.5, 1.2]]))
    value = np.array(lost)[:, None]

    def log_likelihood(u):
        return -0.5 * ((value - expit(-u)) / error) ** 2

    after = learn(prior, log_likelihood, 2)
    mean, sd = summed(prior, log_likelihood)
    np.testing.assert_allclose((after.mean - mean) / sd, 0.0, atol=0.02)
    np.testing.assert_allclose(after.sd / sd, 1.0, atol=0.02)


@pytest.mark.parametrize("broke", [(True, True), (True, False), (False, False)], ids=str)
def test_breaking_agrees_with_the_sum_over_the_plane(broke):
    prior = Belief(np.zeros(2), np.array([[0.06, 0.04], [0.04, 0.06]]))
    at, gone = np.array([[-0.25], [0.1]]), np.array(broke)[:, None]

    def log_likelihood(u):
        whole = log_ndtr((u - at) / 0.14)
        return np.where(gone, np.log(-np.expm1(whole)), whole)

    after = learn(prior, log_likelihood, 2)
    mean, sd = summed(prior, log_likelihood)
    np.testing.assert_allclose((after.mean - mean) / sd, 0.0, atol=0.02)
    np.testing.assert_allclose(after.sd / sd, 1.0, atol=0.02)
