"""Scores of ISO 13528; the numbers follow from the standard's definitions by hand."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from results.science.scores import (
    Judgement,
    is_negligible,
    judge,
    z_prime_scores,
    z_scores,
    zeta_scores,
)

spreads = st.floats(0.01, 10)


@given(st.floats(-50, 50), spreads, spreads)
def test_z_prime_is_never_further_from_zero_than_z(x, sigma_pt, u):
    assert abs(z_prime_scores(x, 0.0, sigma_pt, u)) <= abs(z_scores(x, 0.0, sigma_pt))


def test_z_prime_without_uncertainty_is_z():
    assert z_prime_scores(12.5, 12.0, 0.2, 0.0) == z_scores(12.5, 12.0, 0.2)


def test_negligible_uncertainty_changes_z_by_less_than_a_twentieth():
    assert is_negligible(0.0599, 0.2)
    assert not is_negligible(0.0601, 0.2)
    z, z_prime = z_scores(12.5, 12.0, 0.2), z_prime_scores(12.5, 12.0, 0.2, 0.0599)
    assert z_prime == pytest.approx(z, rel=0.05)


def test_zeta_needs_an_uncertainty():
    assert str(zeta_scores(12.5, 12.0, 0.0, 0.0)) == "nan"


@pytest.mark.parametrize("score", [z_scores, lambda *a: z_prime_scores(*a, 0.1)])
def test_standard_deviation_of_nothing_is_refused(score):
    with pytest.raises(ValueError, match="above zero"):
        score(12.5, 12.0, 0.0)


@pytest.mark.parametrize(
    ("score", "judgement"),
    [
        (2.0, Judgement.ACCEPTABLE),
        (-2.1, Judgement.WARNING),
        (2.99, Judgement.WARNING),
        (-3.0, Judgement.ACTION),
    ],
)
def test_scores_are_judged_by_the_standards_limits(score, judgement):
    assert judge(score) is judgement
