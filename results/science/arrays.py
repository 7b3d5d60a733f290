"""Array types and the few reductions every calculation shares."""

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
IntArray = NDArray[np.int64]


def running_sum(terms: Iterable[FloatArray]) -> FloatArray:
    """Add arrays one after another, always in the given order.

    numpy's own reductions change the order of addition with the shape and the
    strides of the whole array, so that one group's sum would depend on how many
    other groups happen to be computed with it.  Adding point by point does not.

    Parameters
    ----------
    terms : iterable of arrays of one shape
        Such as the rows of an array that has its points on the first axis.

    Returns
    -------
    array
        A new one, zero-dimensional and zero if there are no terms.

    Examples
    --------
    >>> running_sum(np.array([[1.0, 2.0], [3.0, 4.0]])).tolist()
    [4.0, 6.0]
    """
    rest = iter(terms)
    total = np.array(next(rest, 0.0), dtype=np.float64)
    for term in rest:
        np.add(total, term, out=total)
    return total


def mean_present(values: FloatArray) -> FloatArray:
    """Mean over the last axis of the values that are not NaN; NaN where none is.

    Examples
    --------
    >>> mean_present(np.array([[1.0, 3.0], [5.0, np.nan]])).tolist()
    [2.0, 5.0]
    """
    columns = np.moveaxis(values, -1, 0)
    present = ~np.isnan(columns)
    total = running_sum(np.where(present, columns, 0.0))
    count = running_sum(present.astype(np.float64))
    with np.errstate(all="ignore"):
        return np.asarray(total / count, dtype=np.float64)


def count_present(values: FloatArray) -> IntArray:
    """Count the values over the last axis that are not NaN.

    Examples
    --------
    >>> count_present(np.array([[1.0, 3.0], [5.0, np.nan]])).tolist()
    [2, 1]
    """
    return np.asarray(np.sum(~np.isnan(values), axis=-1), dtype=np.int64)
