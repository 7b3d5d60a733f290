import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from results.science.effects import (
    benjamini_hochberg,
    one_way,
    variance_components,
)


def balanced(seed, between=1.0):
    """Ten levels of six values each."""
    rng = np.random.default_rng(seed)
    labels = np.repeat(np.arange(10), 6)
    return rng.normal(0, between, 10)[labels] + rng.normal(5, 1, 60), labels


@given(st.integers(0, 200))
def test_components_of_balanced_levels_follow_from_the_mean_squares(seed):
    # Textbook moment formula, which restricted likelihood equals when balanced.
    values, labels = balanced(seed, between=2.0)
    table = one_way(values, labels)
    mean_square_within = table.sum_squares_within / table.df_within
    mean_square_between = table.sum_squares_between / table.df_between

    parts = variance_components(values, labels)

    expected = (mean_square_between - mean_square_within) / 6
    assert_allclose(parts.between_sd**2, expected, rtol=1e-9)
    assert_allclose(parts.within_sd**2, mean_square_within, rtol=1e-9)


def test_levels_closer_than_chance_have_no_between_spread():
    values = np.tile([1.0, 2.0, 3.0], 4)

    parts = variance_components(values, np.repeat(["a", "b", "c", "d"], 3))

    assert parts.between_sd == 0.0
    assert parts.mean == pytest.approx(2.0)
    assert parts.within_sd == pytest.approx(np.std(values, ddof=1))


def test_levels_without_scatter_inside_have_between_spread_only():
    parts = variance_components([1.0, 1.0, 3.0, 3.0], [1, 1, 2, 2])

    assert parts.within_sd == 0.0
    assert parts.between_sd == pytest.approx(np.sqrt(2.0))


@given(st.integers(0, 50), st.permutations(range(60)))
def test_order_of_the_values_does_not_matter(seed, order):
    values, labels = balanced(seed)

    before = one_way(values, labels)
    after = one_way(values[order], labels[order])

    assert after.f_ratio == pytest.approx(before.f_ratio, rel=1e-10)


def test_levels_without_scatter_inside_have_an_infinite_ratio():
    result = one_way([1.0, 1.0, 3.0, 3.0], [1, 1, 2, 2])

    assert result.f_ratio == np.inf
    assert result.p_value == 0.0


def test_missing_values_are_left_out():
    values, labels = balanced(1)
    values[3] = np.nan

    result = one_way(values, labels)

    assert result.df_within == 49


@pytest.mark.parametrize("function", [one_way, variance_components])
@pytest.mark.parametrize("labels", [["a", "a", "a"], ["a", "b", "c"]])
def test_too_few_levels_or_values_are_refused(function, labels):
    with pytest.raises(ValueError, match="at least two levels"):
        function([1.0, 2.0, 3.0], labels)


def test_labels_must_match_the_values():
    with pytest.raises(ValueError, match="same length"):
        one_way([1.0, 2.0], ["a"])


def test_no_tests_reject_nothing():
    assert benjamini_hochberg([]).tolist() == []


def test_test_that_was_not_made_is_not_rejected():
    assert benjamini_hochberg([np.nan, 0.001]).tolist() == [False, True]
