import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from numpy.testing import assert_allclose, assert_array_equal

from results.science.inverse import read_off
from results.science.line import fit_line

# A loaded machine is no reason to fail.
unhurried = settings(deadline=None)

X = np.array([0.3, 0.6, 1.2, 1.8, 3.0])
absorbances = arrays(np.float64, (4, 5), elements=st.floats(0.0, 2.0, width=32))


def test_single_fit_gives_plain_numbers():
    line = fit_line(X, 0.1 + 0.2 * X)

    assert float(line.slope) == pytest.approx(0.2)
    assert float(line.intercept) == pytest.approx(0.1)
    assert float(line.residual_sd) == pytest.approx(0.0, abs=1e-15)


def test_missing_point_is_as_if_it_were_not_there():
    y = np.array([0.06, 0.13, np.nan, 0.36, 0.61])
    kept = ~np.isnan(y)

    line = fit_line(X, y)

    shorter = fit_line(X[kept], y[kept])
    assert float(line.n) == 4
    assert_allclose(line.slope_se, shorter.slope_se, rtol=1e-13)


@unhurried
@given(absorbances)
def test_line_does_not_depend_on_its_batch(y):
    batch = fit_line(X, y)

    alone = [fit_line(X, row) for row in y]

    assert_array_equal(batch.slope, [line.slope for line in alone])
    assert_array_equal(batch.residual_sd, [line.residual_sd for line in alone])


@unhurried
@given(absorbances, st.floats(-1.0, 1.0))
def test_shifting_all_signals_moves_the_intercept_only(y, shift):
    before = fit_line(X, y)

    after = fit_line(X, y + shift)

    assert_allclose(after.slope, before.slope, atol=1e-12)
    assert_allclose(after.intercept, before.intercept + shift, atol=1e-12)


@unhurried
@given(absorbances, st.floats(0.1, 10.0))
def test_scale_of_the_weights_does_not_change_standard_errors(y, scale):
    weights = 1.0 / X

    before, after = fit_line(X, y, weights), fit_line(X, y, scale * weights)

    assert_allclose(after.slope_se, before.slope_se, rtol=1e-8, atol=1e-12)


def test_far_away_x_values_do_not_spoil_the_fit():
    x, y = 1e8 + X, 0.1 + 0.2 * X

    line = fit_line(x, y)

    assert float(line.slope) == pytest.approx(0.2, rel=1e-7)


def test_points_at_one_x_have_no_slope():
    line = fit_line(np.ones(4), np.arange(4.0))

    assert np.isnan(line.slope)
    assert np.isnan(line.slope_se)


def test_two_points_have_no_standard_errors():
    line = fit_line(np.array([0.0, 1.0]), np.array([0.0, 2.0]))

    assert float(line.slope) == pytest.approx(2.0)
    assert np.isnan(line.residual_sd)


def test_no_points_at_all_give_no_line():
    line = fit_line(np.full((2, 3), np.nan), np.ones((2, 3)))

    assert np.isnan(line.slope).all()


def test_empty_batch_gives_an_empty_line():
    line = fit_line(np.ones((0, 5)), np.ones((0, 5)))

    assert line.slope.shape == (0,)


def test_fieller_has_no_finite_limits_where_the_slope_may_be_zero():
    line = fit_line(X, np.array([0.3, 0.1, 0.5, 0.2, 0.4]))

    estimate = read_off(line, np.array(0.3), method="fieller")

    assert float(estimate.g) >= 1.0
    assert (float(estimate.low), float(estimate.high)) == (-np.inf, np.inf)


def test_fieller_and_the_approximation_agree_for_a_sharp_line():
    line = fit_line(X, 0.2 * X + np.array([1, -1, 0, 1, -1]) * 1e-4)

    approximate = read_off(line, np.array(0.3))
    fieller = read_off(line, np.array(0.3), method="fieller")

    assert_allclose(fieller.low, approximate.low, rtol=1e-5)


def test_heavier_unknown_is_read_more_sharply():
    line = fit_line(X, 0.2 * X + np.array([1, -1, 0, 1, -1]) * 1e-3, 1 / X)

    light = read_off(line, np.array(0.3), weight=1.0)
    heavy = read_off(line, np.array(0.3), weight=4.0)

    assert float(heavy.se) < float(light.se)


@pytest.mark.parametrize("arguments", [{"method": "exact"}, {"confidence": 95}])
def test_reading_off_refuses_what_it_cannot_do(arguments):
    line = fit_line(X, X)

    with pytest.raises(ValueError, match="must"):
        read_off(line, np.array(1.0), **arguments)
