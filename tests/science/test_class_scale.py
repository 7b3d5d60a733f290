import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.stats import t as student_t

from results.science.class_scale import fit_class_scale
from results.science.student import one_sided_95, two_sided_95


def residual_variances(groups, d0, s0_sq, df, seed=0):
    """Draw variances as Smyth's model has them."""
    rng = np.random.default_rng(seed)
    own = s0_sq * d0 / rng.chisquare(d0, groups)
    return own * rng.chisquare(df, groups) / df


def test_both_numbers_of_a_clean_class_are_found():
    df = np.full(40_000, 3.0)

    scale = fit_class_scale(residual_variances(40_000, 8.0, 1.3, df), df, 0.0)

    assert scale.s0_sq == pytest.approx(1.3, rel=0.05)
    assert scale.d0 == pytest.approx(8.0, rel=0.25)
    assert scale.n == 40_000


def test_groups_with_different_numbers_of_standards_are_pooled():
    df = np.resize([2.0, 3.0, 6.0], 30_000)

    scale = fit_class_scale(residual_variances(30_000, 8.0, 1.0, df), df, 0.0)

    assert scale.s0_sq == pytest.approx(1.0, rel=0.05)
    assert scale.d0 == pytest.approx(8.0, rel=0.25)


def test_slips_in_every_tenth_group_hardly_move_the_scale():
    df = np.full(10_000, 3.0)
    phi = residual_variances(10_000, 20.0, 1.0, df)
    phi[::10] *= 400.0

    scale = fit_class_scale(phi, df, contamination=0.1)

    assert scale.s0_sq == pytest.approx(1.0, rel=0.08)
    assert scale.d0 > 10.0


def test_groups_that_are_all_alike_borrow_almost_everything():
    df = np.full(20_000, 3.0)
    phi = np.random.default_rng(1).chisquare(3, 20_000) / 3

    assert fit_class_scale(phi, df).d0 > 30.0


@pytest.mark.parametrize("groups", [0, 1, 29])
def test_small_class_lends_nothing(groups):
    scale = fit_class_scale(np.ones(groups), np.full(groups, 3.0))

    assert (scale.d0, scale.n) == (0.0, groups)


def test_groups_without_a_line_are_left_out():
    phi, df = np.full(40, np.nan), np.full(40, 3.0)

    assert fit_class_scale(phi, df).n == 0


def test_perfect_fits_of_most_groups_lend_nothing():
    phi = np.zeros(60)
    phi[:5] = 1.0

    assert fit_class_scale(phi, np.full(60, 3.0)).d0 == 0.0


def test_quantiles_are_students_for_any_degrees_of_freedom():
    df = np.geomspace(1.0, 1e8, 300)

    two, one = two_sided_95(1 / df), one_sided_95(1 / df)

    assert_allclose(two, student_t.ppf(0.975, df), rtol=1e-9)
    assert_allclose(one, student_t.ppf(0.95, df), rtol=1e-9)


def test_wildly_different_groups_lend_next_to_nothing():
    df = np.full(2_000, 3.0)
    phi = np.exp(np.random.default_rng(2).normal(0, 12, 2_000))

    assert fit_class_scale(phi, df).d0 == pytest.approx(0.5)
