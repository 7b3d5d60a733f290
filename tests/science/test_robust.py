import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from numpy.testing import assert_allclose

from results.science.robust import algorithm_a, h_and_k, median_and_mad

numbers = arrays(np.float64, st.integers(3, 30), elements=st.floats(-50, 50, width=32))


@given(numbers, st.floats(0.1, 10), st.floats(-10, 10))
def test_algorithm_a_follows_scale_and_shift(values, scale, shift):
    mean, sd = algorithm_a(values)

    moved_mean, moved_sd = algorithm_a(scale * values + shift)

    assert moved_mean == pytest.approx(scale * mean + shift, abs=1e-5)
    assert moved_sd == pytest.approx(scale * sd, abs=1e-5)


@given(numbers)
def test_algorithm_a_stays_between_the_extremes(values):
    mean, sd = algorithm_a(values)

    assert values.min() - 1e-9 <= mean <= values.max() + 1e-9
    assert sd >= 0


def test_clean_normal_values_give_nearly_the_plain_mean_and_sd():
    values = np.random.default_rng(4).normal(12.0, 0.5, 20_000)

    mean, sd = algorithm_a(values)

    assert mean == pytest.approx(12.0, abs=0.02)
    assert sd == pytest.approx(0.5, rel=0.02)


def test_tenth_of_wild_values_hardly_moves_the_mean():
    values = np.random.default_rng(4).normal(12.0, 0.5, 1000)
    values[:100] = 60.0

    mean, _ = algorithm_a(values)

    assert mean == pytest.approx(12.0, abs=0.15)


def test_equal_values_have_no_spread():
    assert algorithm_a(np.full(5, 3.0)) == (3.0, 0.0)


def test_spread_is_found_when_most_values_are_equal():
    mean, sd = algorithm_a(np.array([5.0, 5.0, 5.0, 5.0, 4.0, 7.0]))

    assert mean == pytest.approx(5.0, abs=0.5)
    assert sd > 0


def test_nothing_has_neither_mean_nor_sd():
    assert np.isnan(algorithm_a(np.array([np.nan]))).all()
    assert np.isnan(median_and_mad(np.array([]))).all()


def test_single_value_has_a_mean_only():
    mean, sd = algorithm_a(np.array([4.0]))

    assert mean == 4.0
    assert np.isnan(sd)


def test_missing_values_are_left_out():
    assert median_and_mad(np.array([1.0, np.nan, 3.0])).mean == 2.0


def test_laboratory_with_wide_replicates_has_the_largest_k():
    table = np.array([[1.0, 1.1, 1.2], [1.0, 3.0, 5.0], [2.0, 2.1, 2.2]])

    consistency = h_and_k(table)

    assert consistency.k.argmax() == 1


def test_squares_of_k_have_mean_one_when_no_replicate_is_missing():
    table = np.random.default_rng(2).normal(10, 1, (8, 3))

    consistency = h_and_k(table)

    assert_allclose(np.mean(consistency.k**2), 1.0)


def test_missing_replicates_are_left_out_of_h_and_k():
    table = np.array([[1.0, 2.0, np.nan], [3.0, 4.0, 5.0], [np.nan] * 3])

    consistency = h_and_k(table)

    assert np.isfinite(consistency.h[:2]).all()
    assert np.isnan(consistency.h[2])
    assert np.isnan(consistency.k[2])


def test_list_is_not_a_table():
    with pytest.raises(ValueError, match="two axes"):
        h_and_k(np.ones(3))
