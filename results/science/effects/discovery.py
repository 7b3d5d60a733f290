"""Which of many tests to believe."""

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import ndtr

from results.science.arrays import BoolArray, FloatArray


def benjamini_hochberg(p_values: ArrayLike, q: float = 0.05) -> BoolArray:
    """Mark the tests to reject at a false discovery rate of at most q.

    The step-up procedure of Y. Benjamini and Y. Hochberg, J. R. Stat. Soc. B 57
    (1995) 289.

    Parameters
    ----------
    p_values : array (k,)
        NaN (a test not made) is neither counted nor rejected.
    q : float

    Examples
    --------
    >>> benjamini_hochberg([0.01, 0.9, 0.02]).tolist()
    [True, False, True]
    """
    p = np.asarray(p_values, dtype=np.float64)
    made = np.sort(p[~np.isnan(p)])
    allowed = q * np.arange(1, made.size + 1) / max(made.size, 1)
    passing = made[made <= allowed]
    cut = passing[-1] if passing.size else -1.0
    return np.asarray(p <= cut)


def two_sided(z: FloatArray) -> FloatArray:
    """Probability of a standard normal deviate at least as far from zero.

    Examples
    --------
    >>> two_sided(np.array([0.0, 1.96])).round(3).tolist()
    [1.0, 0.05]
    """
    return np.asarray(2.0 * ndtr(-np.abs(z)))
