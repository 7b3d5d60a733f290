"""Quantiles of Student's t for any degrees of freedom, many at a time."""

import numpy as np
from numpy.polynomial import Chebyshev
from scipy.special import stdtrit

from results.science.arrays import FloatArray

_DEGREE = 14


def _interpolant(probability: float) -> Chebyshev:
    # The logarithm of the quantile is smooth in 1/df, down to none at all.
    places = np.polynomial.chebyshev.chebpts1(_DEGREE + 1) / 2.0 + 0.5
    quantiles = np.log(stdtrit(1.0 / places, probability))
    return Chebyshev.fit(places, quantiles, _DEGREE, domain=[0.0, 1.0])


_TWO_SIDED_95 = _interpolant(0.975)
_ONE_SIDED_95 = _interpolant(0.95)


def two_sided_95(inverse_df: FloatArray) -> FloatArray:
    """Quantile that Student's t stays within, either way, with 95 % probability.

    Parameters
    ----------
    inverse_df : array
        One over the degrees of freedom, from 0 (the normal distribution) to 1.

    Notes
    -----
    A Chebyshev interpolant, right to 1e-9 of its value; a quantile solved for
    anew takes a hundred times as long.

    Examples
    --------
    >>> two_sided_95(np.array([1.0, 0.25, 0.0])).round(3).tolist()
    [12.706, 2.776, 1.96]
    """
    return np.asarray(np.exp(_clenshaw(_TWO_SIDED_95, inverse_df)))


def one_sided_95(inverse_df: FloatArray) -> FloatArray:
    """Quantile that Student's t stays below with 95 % probability.

    Examples
    --------
    >>> one_sided_95(np.array([1.0, 0.25, 0.0])).round(3).tolist()
    [6.314, 2.132, 1.645]
    """
    return np.asarray(np.exp(_clenshaw(_ONE_SIDED_95, inverse_df)))


def _clenshaw(series: Chebyshev, inverse_df: FloatArray) -> FloatArray:
    """Sum a series by C. W. Clenshaw's recurrence, in place."""
    twice = 4.0 * inverse_df - 2.0
    last, before = np.zeros_like(twice), np.zeros_like(twice)
    for coefficient in series.coef[:0:-1]:
        following = twice * last
        following -= before
        following += coefficient
        before, last = last, following
    return np.asarray(0.5 * twice * last - before + series.coef[0])
