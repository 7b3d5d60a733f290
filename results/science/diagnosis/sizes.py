"""How much the readings speak for a shift along one direction, against none.

With r the residual, P the precision of the Gaussian without a slip and v the
direction, s = v'Pr and q = v'Pv hold all that the readings say.  The formulas are
Gaussian integrals over the size of the shift.
"""

from collections.abc import Iterator, Sequence

import numpy as np
from scipy.special import ndtr

from results.science.arrays import FloatArray

_LOWEST = -1e4


def fixed_size(
    s: FloatArray, q: FloatArray, size: FloatArray | float, extra: FloatArray | float
) -> FloatArray:
    """Log evidence for a shift of a known size; none either way where q is zero.

    Parameters
    ----------
    s, q : array
    size : array or float
    extra : array or float
        Variance of the size about the stated one; negative where the slip also
        means that the direction scatters less than the readings let one think.

    Examples
    --------
    >>> float(fixed_size(np.array(4.0), np.array(4.0), 1.0, 0.0))
    2.0
    """
    with np.errstate(all="ignore"):
        loose = 1.0 + extra * q
        exponent = s * size + 0.5 * extra * s * s - 0.5 * q * size * size
        evidence = exponent / loose - 0.5 * np.log(loose)
    return np.where(loose > 0.0, evidence, _LOWEST)


def where_told(q: FloatArray, evidence: FloatArray) -> FloatArray:
    """Rule a slip out where its tubes cannot be looked at."""
    return np.where(q > 0.0, evidence, _LOWEST)


def ranged_sizes(
    s: FloatArray, q: FloatArray, ranges: Sequence[tuple[float, float]]
) -> Iterator[FloatArray]:
    """Yield the log evidence for a shift of any size within each range."""
    with np.errstate(all="ignore"):
        root = np.sqrt(q)
        best = s / root
        start = 0.5 * best * best - np.log(root)
    # Ranges that touch share the work at their common bound.
    bounds = {bound: bound * root - best for pair in ranges for bound in pair}
    tails = {bound: ndtr(-np.abs(away)) for bound, away in bounds.items()}
    for low, high in ranges:
        with np.errstate(all="ignore"):
            # The tail that is cut off is taken on the side where nothing cancels.
            beside = np.abs(tails[high] - tails[low])
            across = (bounds[low] < 0.0) & (bounds[high] > 0.0)
            inside = np.where(across, 1.0 - tails[low] - tails[high], beside)
            evidence = start + np.log(inside * (np.sqrt(2.0 * np.pi) / (high - low)))
        yield np.where(np.isfinite(evidence), evidence, _LOWEST)


def ranged_size(s: FloatArray, q: FloatArray, low: float, high: float) -> FloatArray:
    """Log evidence for a shift of any size between two, all equally likely.

    Examples
    --------
    >>> float(ranged_size(np.array(0.0), np.array(9.0), -1.0, 1.0).round(3))
    -0.876
    """
    return next(ranged_sizes(s, q, ((low, high),)))


def exchanged(
    s: tuple[FloatArray, FloatArray],
    q: tuple[FloatArray, FloatArray, FloatArray],
    size: FloatArray,
    extra: FloatArray,
) -> FloatArray:
    """Log evidence for two tubes having been exchanged.

    Parameters
    ----------
    s : pair of array
        Entries i and j of P r.
    q : three arrays
        Entries ii, jj and ij of P.
    size : array
        How much more the first tube reads than the second.
    extra : array
        Variance that the first place gains and the second loses by exchanging.
    """
    qi, qj, qij = q
    with np.errstate(all="ignore"):
        gi, gj = s[0] - size * (qi - qij), s[1] - size * (qij - qj)
        change = size * (s[0] - s[1]) - 0.5 * size**2 * (qi + qj - 2.0 * qij)
        # I + C Q for C = diag(extra, -extra), and its inverse times C.
        a, b = 1.0 + extra * qi, extra * qij
        c, d = -extra * qij, 1.0 - extra * qj
        det = a * d - b * c
        hi, hj = extra * gi, -extra * gj
        xi, xj = (d * hi - b * hj) / det, (a * hj - c * hi) / det
        evidence = change + 0.5 * (gi * xi + gj * xj) - 0.5 * np.log(det)
    return np.where(np.isfinite(evidence), evidence, _LOWEST)
