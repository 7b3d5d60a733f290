"""Medians that leave something out."""

from dataclasses import dataclass

import numpy as np

from results.science.arrays import FloatArray, IntArray

#: Scales a median absolute deviation to a standard deviation (normal distribution).
MAD_FACTOR = 1.4826
#: A median varies this much more than a mean (normal distribution, large samples).
MEDIAN_FACTOR = 1.2533


@dataclass(frozen=True, slots=True)
class LeftOut:
    """For each member of a group: median, count and mad of the other members."""

    median: FloatArray
    count: FloatArray


def row_median(values: FloatArray) -> FloatArray:
    """Median over the last axis of what is not NaN; NaN where nothing is."""
    ordered = np.sort(values, axis=-1)
    count = np.sum(~np.isnan(values), axis=-1)
    low, high = np.maximum(count - 1, 0) // 2, count // 2
    last = values.shape[-1] - 1
    places = np.stack([low, np.minimum(high, last)], axis=-1)
    middle = np.take_along_axis(ordered, places, axis=-1)
    return np.asarray(0.5 * (middle[..., 0] + middle[..., 1]))


def median_of_others(values: FloatArray, labels: IntArray) -> LeftOut:
    """Median of the other values with the same label, for every value.

    NaN values have no say, but get the median of those that have one.

    Examples
    --------
    >>> others = median_of_others(np.array([1.0, 2.0, 9.0]), np.array([0, 0, 0]))
    >>> others.median.tolist()
    [5.5, 5.0, 1.5]
    """
    median = np.full(len(values), np.nan)
    count = np.zeros(len(values))
    known = np.isfinite(values)
    order = np.lexsort((np.where(known, values, np.inf), labels))
    ends = np.flatnonzero(np.diff(np.asarray(labels)[order], append=np.nan) != 0) + 1
    start = 0
    for end in ends.tolist():
        members = order[start:end]
        ranked = values[members[known[members]]]
        rank = np.minimum(np.arange(len(members)), len(ranked))
        median[members], count[members] = _without(ranked, rank)
        start = end
    return LeftOut(median, count)


def _without(ranked: FloatArray, rank: IntArray) -> tuple[FloatArray, FloatArray]:
    """Median of sorted values without the one at each rank (none, past the end)."""
    size = len(ranked)
    left = np.where(rank < size, size - 1, size)
    if size == 0:
        return np.full(len(rank), np.nan), np.zeros(len(rank))
    low, high = (left - 1) // 2, left // 2
    low, high = low + (low >= rank), high + (high >= rank)
    inside = left > 0
    low, high = np.clip(low, 0, size - 1), np.clip(high, 0, size - 1)
    middle = 0.5 * (ranked[low] + ranked[high])
    return np.where(inside, middle, np.nan), left.astype(float)


def robust_sd(values: FloatArray) -> float:
    """Median absolute deviation as a standard deviation; NaN of nothing."""
    present = values[np.isfinite(values)]
    if present.size == 0:
        return float("nan")
    return float(MAD_FACTOR * np.median(np.abs(present - np.median(present))))
