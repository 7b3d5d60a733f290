"""What the layout of a class cannot tell apart, whatever the numbers are."""

from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from results.science.arrays import FloatArray, IntArray
from results.science.effects.design import Factor

#: Two levels of different factors that share this much of their rows are as good as
#: one: judgement.
SAME_ROWS = 0.8


@dataclass(frozen=True, slots=True)
class Partner:
    """For each level of a factor, the level of another with most rows in common.

    Attributes
    ----------
    other : array of int (L,)
        Place of the other factor; -1 if there is none.
    level : array of int (L,)
        Place of the level in it.
    overlap : array (L,)
        Rows in common over the geometric mean of both levels' rows, 0 to 1.
    """

    other: IntArray
    level: IntArray
    overlap: FloatArray


def partners(factors: tuple[Factor, ...], place: int) -> Partner:
    """Find what shares most rows with each level of a factor."""
    one = factors[place]
    best = Partner(
        np.full(len(one), -1), np.full(len(one), -1), np.zeros(len(one), dtype=float)
    )
    for k, other in enumerate(factors):
        if k == place:
            continue
        keys, common = np.unique(
            one.codes * len(other) + other.codes, return_counts=True
        )
        level, partner = keys // len(other), keys % len(other)
        share = common / np.sqrt(one.count[level] * other.count[partner])
        order = np.lexsort((share, level))
        last = order[np.flatnonzero(np.diff(level[order], append=-1))]
        better = last[share[last] > best.overlap[level[last]]]
        best.other[level[better]] = k
        best.level[level[better]] = partner[better]
        best.overlap[level[better]] = share[better]
    return best


def islands(one: Factor, other: Factor) -> IntArray:
    """Return the connected component of each level, linked by another factor.

    Levels of the first factor are linked by levels of the second in which they met.
    Between components any difference of the first factor could as well be one of the
    second; within one, contrasts can be estimated (R. C. Bose's connectedness of a
    design, as in S. R. Searle, Linear Models for Unbalanced Data, 1987, section 5.3).

    Returns
    -------
    array of int (L,)

    Examples
    --------
    >>> from results.science.effects.design import factor
    >>> station = factor("station", ["S1", "S2", "S3"])
    >>> islands(station, factor("section", ["A", "A", "B"])).tolist()
    [0, 0, 1]
    """
    size = len(one) + len(other)
    ends = one.codes, len(one) + other.codes
    graph = coo_array((np.ones(one.codes.size), ends), shape=(size, size))
    _, label = connected_components(graph, directed=False)
    _, numbered = np.unique(label[: len(one)], return_inverse=True)
    return np.asarray(numbered, dtype=np.int64)
