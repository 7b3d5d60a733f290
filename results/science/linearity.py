"""Whether calibration points lie on a straight line at all."""

import numpy as np
from scipy.special import fdtrc

from results.science.arrays import FloatArray, running_sum
from results.science.line import Line

#: Sums of squares smaller than this, relative to what they are the rest of, are
#: rounding and carry no information.
NOTHING_LEFT = 1e-12

Test = tuple[FloatArray, FloatArray]


def mandel(x: FloatArray, y: FloatArray, w: FloatArray, line: Line) -> Test:
    """Test a parabola against the fitted line.

    J. Mandel, The Statistical Analysis of Experimental Data (1964): the drop of the
    sum of squares by the quadratic term, over what is left, on 1 and n - 3 degrees
    of freedom.  The part of x² that is orthogonal to 1 and x is enough; no parabola
    is fitted.

    Parameters
    ----------
    x, y, w : array (n, ...)
        Points first, weights as in the fit, no point missing.

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
    z = x - line.mean_x
    residual = y - line.mean_y - line.slope * z
    wz_sq = w * z * z
    cubes, fourths = running_sum(wz_sq * z), running_sum(wz_sq * z * z)
    second = line.sum_squares_x
    own = fourths - cubes * cubes / second - second * second / line.sum_weights
    with_residual = running_sum(wz_sq * residual)
    explained = with_residual * with_residual / own
    whole = running_sum(w * residual * residual)
    left = whole - explained
    df = line.df - 1.0
    testable = (
        (df > 0.0)
        & (own > 1e-9 * fourths)
        & (left > NOTHING_LEFT * (whole + explained))
    )
    f = np.where(testable, df * explained / left, np.nan)
    return f, np.asarray(fdtrc(1.0, np.maximum(df, 1.0), f))


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
