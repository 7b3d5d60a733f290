"""Whether calibration points lie on a straight line at all."""

import numpy as np
from scipy.special import fdtrc

from results.science.arrays import FloatArray, running_sum
from results.science.line import Deviations, Line

#: Sums of squares smaller than this, relative to what they are the rest of, are
#: rounding and carry no information.
NOTHING_LEFT = 1e-12

Test = tuple[FloatArray, FloatArray]


def mandel(points: Deviations, line: Line) -> Test:
    """Test a parabola against the fitted line.

    J. Mandel, The Statistical Analysis of Experimental Data (1964): the drop of the
    sum of squares by the quadratic term, over what is left, on 1 and n - 3 degrees
    of freedom.  The part of x² that is orthogonal to 1 and x is enough; no parabola
    is fitted.

    Parameters
    ----------
    points : Deviations
        From `fit_columns`, no point missing; all lines have as many points.
    line : Line

    Returns
    -------
    f, p : array (...)
        NaN with fewer than four points or three different x, or if the points leave
        nothing to compare with.

    Notes
    -----
    With five standards there are 2 degrees of freedom: one group's p value proves
    nothing; it is meant for looking at stations and classes.
    """
    z, residual = points.dx, points.residual
    wz_sq = points.w * z * z
    cubes, fourths = running_sum(wz_sq * z), running_sum(wz_sq * z * z)
    second = line.sum_squares_x
    own = fourths - cubes * cubes / second - second * second / line.sum_weights
    with_residual = running_sum(wz_sq * residual)
    explained = with_residual * with_residual / own
    whole = line.df * line.residual_sd * line.residual_sd
    left = whole - explained
    df = len(z) - 3
    testable = (own > 1e-9 * fourths) & (left > NOTHING_LEFT * (whole + explained))
    testable &= df > 0
    f = np.where(testable, df * explained / left, np.nan)
    return f, _probability_above(f, max(df, 1))


def lack_of_fit(
    deviation_sq: FloatArray,
    within_sq: FloatArray,
    replicates: FloatArray,
    df: FloatArray,
) -> Test:
    """Compare the scatter about the line with the scatter of replicate readings.

    N. R. Draper and H. Smith, Applied Regression Analysis, chapter 1.  A small p
    says that tubes scatter more than their readings: a curve, or volumes.

    Parameters
    ----------
    deviation_sq : array (n, ...)
        Squared distance of each tube's mean from the line over the variance of one
        reading (up to a common factor).
    within_sq : array (n, ...)
        Sum of squares of each tube's readings about their mean, over the same.
    replicates : array (n, ...)
    df : array (...)
        n - 2.

    Returns
    -------
    f, p : array (...)
        NaN without replicates, or where all of them agree.
    """
    between = running_sum(replicates * deviation_sq)
    within = running_sum(within_sq)
    within_df = running_sum(replicates - 1.0)
    testable = (
        (within_df > 0.0) & (df > 0.0) & (within > NOTHING_LEFT * (between + within))
    )
    f = np.where(testable, between / df / (within / within_df), np.nan)
    return f, np.asarray(fdtrc(df, np.maximum(within_df, 1.0), f))


def _probability_above(f: FloatArray, df: int) -> FloatArray:
    """Probability that F on 1 and df degrees of freedom exceeds each value.

    The finite series of Student's t for whole degrees of freedom: M. Abramowitz and
    I. A. Stegun, Handbook of Mathematical Functions, 26.7.3 and 26.7.4.  Right to
    1e-15, which is enough to tell a probability from zero, and five times as fast as
    the incomplete beta function.
    """
    cos_sq = df / (f + df)
    sine = np.sqrt(f / (f + df))
    even = df % 2 == 0
    term = np.ones_like(f) if even else np.sqrt(cos_sq)
    series = term.copy() if df > 1 else np.zeros_like(f)
    for k in range(2 if even else 3, df - 1, 2):
        term = term * cos_sq * ((k - 1) / k)
        series += term
    if even:
        return np.asarray(1.0 - sine * series)
    return np.asarray(1.0 - (np.arcsin(sine) + sine * series) * (2.0 / np.pi))
