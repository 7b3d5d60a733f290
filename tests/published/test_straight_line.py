"""Fitted lines and readings off them against published worked examples."""

from pathlib import Path

import numpy as np
import pytest
import scipy.stats
import statsmodels.api as sm
from numpy.testing import assert_allclose
from scipy.optimize import brentq

from results.science.inverse import read_off
from results.science.line import fit_line

# D. Harvey, Analytical Chemistry 2.1 (open textbook), section 5.4.
HARVEY_X = np.array([0.0, 0.1, 0.2, 0.3, 0.4, 0.5])
HARVEY_Y = np.array([0.0, 12.36, 24.83, 35.91, 48.79, 60.42])

# J. N. Miller and J. C. Miller, Statistics and Chemometrics for Analytical
# Chemistry, chapter 5; both examples quoted from memory and recomputed.
MILLER_X = np.arange(0.0, 13.0, 2.0)
MILLER_Y = np.array([2.1, 5.0, 9.0, 12.6, 17.3, 21.0, 24.7])
WEIGHTED_X = np.arange(0.0, 11.0, 2.0)
WEIGHTED_Y = np.array([0.009, 0.158, 0.301, 0.472, 0.577, 0.739])
WEIGHTED_SD = np.array([0.001, 0.004, 0.010, 0.013, 0.017, 0.022])

# D. L. Massart et al., Handbook of Chemometrics and Qualimetrics A (1997),
# chapter 8, example 1; values as confirmed by the tests of the R package chemCal.
MASSART_X = np.arange(0.0, 51.0, 10.0)
MASSART_Y = np.array([4.0, 21.2, 44.6, 61.8, 78.0, 105.2])


def test_harveys_calibration_line_is_reproduced():
    line = fit_line(HARVEY_X, HARVEY_Y)

    assert float(line.slope) == pytest.approx(120.706, abs=5e-4)
    assert float(line.intercept) == pytest.approx(0.209, abs=5e-4)
    assert float(line.residual_sd) == pytest.approx(0.4033, abs=5e-5)
    assert float(line.slope_se) == pytest.approx(0.964, abs=1e-3)
    assert float(line.intercept_se) == pytest.approx(0.292, abs=5e-4)


def test_harveys_unknown_is_reproduced():
    signal = np.mean([29.32, 29.16, 29.51])

    estimate = read_off(fit_line(HARVEY_X, HARVEY_Y), signal, replicates=3)

    assert float(estimate.value) == pytest.approx(0.241, abs=5e-4)
    assert float(estimate.se) == pytest.approx(0.0024, abs=5e-5)
    assert float(estimate.high - estimate.value) == pytest.approx(0.007, abs=5e-4)


def test_millers_fluorescence_line_is_reproduced():
    line = fit_line(MILLER_X, MILLER_Y)

    assert float(line.slope) == pytest.approx(1.93, abs=5e-3)
    assert float(line.intercept) == pytest.approx(1.518, abs=5e-4)
    assert float(np.sqrt(line.r_squared)) == pytest.approx(0.9989, abs=5e-5)
    # The book gives 0.4329; unrounded it is 0.43285, one in its last place.
    assert float(line.residual_sd) == pytest.approx(0.4329, abs=1e-4)
    assert float(line.slope_se) == pytest.approx(0.0409, abs=5e-5)
    assert float(line.intercept_se) == pytest.approx(0.295, abs=5e-4)


@pytest.mark.parametrize(
    ("signal", "value", "se"),
    [(2.9, 0.72, 0.26), (13.5, 6.21, 0.24), (23.0, 11.13, 0.26)],
)
def test_millers_unknowns_are_reproduced(signal, value, se):
    estimate = read_off(fit_line(MILLER_X, MILLER_Y), signal)

    assert float(estimate.value) == pytest.approx(value, abs=5e-3)
    assert float(estimate.se) == pytest.approx(se, abs=5e-3)


def test_millers_weighted_line_is_reproduced():
    weights = WEIGHTED_SD**-2 / np.mean(WEIGHTED_SD**-2)

    line = fit_line(WEIGHTED_X, WEIGHTED_Y, weights)

    assert float(line.slope) == pytest.approx(0.0738, abs=5e-5)
    assert float(line.intercept) == pytest.approx(0.0091, abs=5e-5)
    assert float(line.mean_x) == pytest.approx(0.23, abs=5e-3)
    assert float(line.mean_y) == pytest.approx(0.026, abs=5e-4)


def test_millers_unweighted_line_through_the_same_points_is_reproduced():
    line = fit_line(WEIGHTED_X, WEIGHTED_Y)

    assert float(line.slope) == pytest.approx(0.0725, abs=5e-5)
    assert float(line.intercept) == pytest.approx(0.0133, abs=5e-5)


@pytest.mark.parametrize(
    ("signal", "replicates", "value", "se", "half_width"),
    [
        (15.0, 1, 6.09381, 1.767278, 4.906751),
        (90.0, 1, 43.93983, 1.767747, 4.908053),
        (90.0, 5, 43.93983, 1.141204, 3.168489),
    ],
)
def test_massarts_unknowns_are_reproduced(signal, replicates, value, se, half_width):
    estimate = read_off(fit_line(MASSART_X, MASSART_Y), signal, replicates)

    assert float(estimate.value) == pytest.approx(value, abs=5e-6)
    assert float(estimate.se) == pytest.approx(se, abs=5e-7)
    assert float(estimate.high - estimate.value) == pytest.approx(half_width, abs=5e-7)


def test_norris_is_certified_to_twelve_digits():
    # NIST Statistical Reference Datasets, linear regression; the file ships with scipy.
    file = Path(scipy.stats.__file__).parent / "tests/data/nist_linregress/Norris.dat"
    y, x = np.loadtxt(file, skiprows=60, unpack=True)

    line = fit_line(x, y)

    assert_allclose(line.slope, 1.00211681802045, rtol=1e-13)
    assert_allclose(line.intercept, -0.262323073774029, rtol=1e-12)
    assert_allclose(line.slope_se, 0.429796848199937e-3, rtol=1e-12)
    assert_allclose(line.intercept_se, 0.232818234301152, rtol=1e-12)
    assert_allclose(line.residual_sd, 0.884796396144373, rtol=1e-12)
    assert_allclose(line.r_squared, 0.999993745883712, rtol=1e-14)


@pytest.mark.parametrize("weights", [np.ones(6), WEIGHTED_SD**-2])
def test_fit_agrees_with_statsmodels(weights):
    oracle = sm.WLS(WEIGHTED_Y, sm.add_constant(WEIGHTED_X), weights=weights).fit()

    line = fit_line(WEIGHTED_X, WEIGHTED_Y, weights)

    assert_allclose([line.intercept, line.slope], oracle.params, rtol=1e-12)
    assert_allclose([line.intercept_se, line.slope_se], oracle.bse, rtol=1e-12)
    assert_allclose(line.covariance, oracle.cov_params()[0, 1], rtol=1e-12)
    assert_allclose(line.residual_sd, np.sqrt(oracle.scale), rtol=1e-12)
    assert_allclose(line.r_squared, oracle.rsquared, rtol=1e-12)


@pytest.mark.parametrize("signal", [2.9, 13.5, 23.0])
def test_fiellers_limits_are_roots_of_his_equation(signal):
    line = fit_line(MILLER_X, MILLER_Y)
    t = scipy.stats.t.ppf(0.975, 5)

    def excess(x):
        distance = signal - line.intercept - line.slope * x
        spread = 1 / 2 + 1 / 7 + (x - line.mean_x) ** 2 / line.sum_squares_x
        return float(distance**2 - t**2 * line.residual_sd**2 * spread)

    estimate = read_off(line, signal, replicates=2, method="fieller")

    middle = float(estimate.value)
    assert_allclose(estimate.low, brentq(excess, middle - 5, middle), rtol=1e-9)
    assert_allclose(estimate.high, brentq(excess, middle, middle + 5), rtol=1e-9)
