"""Whether levels of one factor differ, and by how much."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import brentq
from scipy.stats import f as f_distribution

from results.science.arrays import FloatArray, IntArray


@dataclass(frozen=True, slots=True)
class OneWay:
    """A one-way analysis of variance."""

    f_ratio: float
    p_value: float
    df_between: int
    df_within: int
    sum_squares_between: float
    sum_squares_within: float


@dataclass(frozen=True, slots=True)
class VarianceComponents:
    """Mean, and the standard deviations between and within levels."""

    between_sd: float
    within_sd: float
    mean: float


@dataclass(frozen=True, slots=True)
class _Levels:
    """Values summed up by level, about their overall mean."""

    centre: float
    count: IntArray
    mean: FloatArray
    sum_squares_within: float

    @property
    def n_values(self) -> int:
        return int(self.count.sum())


def one_way(values: ArrayLike, labels: ArrayLike) -> OneWay:
    """Compare the means of several levels by analysis of variance.

    Parameters
    ----------
    values : array (N,)
        NaN values are left out.
    labels : array (N,)
        The level of each value: numbers or texts.

    Raises
    ------
    ValueError
        If there are fewer than two levels, or no level has two values.

    Examples
    --------
    >>> result = one_way([1.0, 2.0, 3.0, 4.0], ["a", "a", "b", "b"])
    >>> round(result.f_ratio, 3), round(result.p_value, 3)
    (8.0, 0.106)
    """
    levels = _levels(values, labels)
    df_between = levels.count.size - 1
    df_within = levels.n_values - levels.count.size
    between = float(np.sum(levels.count * levels.mean**2))
    with np.errstate(divide="ignore", invalid="ignore"):
        f_ratio = np.divide(between / df_between, levels.sum_squares_within / df_within)
    return OneWay(
        f_ratio=float(f_ratio),
        p_value=float(f_distribution.sf(f_ratio, df_between, df_within)),
        df_between=df_between,
        df_within=df_within,
        sum_squares_between=between,
        sum_squares_within=levels.sum_squares_within,
    )


def variance_components(values: ArrayLike, labels: ArrayLike) -> VarianceComponents:
    """Split the scatter of values into between and within levels.

    Parameters
    ----------
    values : array (N,)
        NaN values are left out.
    labels : array (N,)

    Raises
    ------
    ValueError
        If there are fewer than two levels, or no level has two values.

    Notes
    -----
    Restricted maximum likelihood of the one-way random-effects model, levels of
    unequal size allowed (S. R. Searle, G. Casella and C. E. McCulloch, Variance
    Components, 1992, chapter 3).  Between-level variance is never below zero.

    Examples
    --------
    >>> parts = variance_components([1.0, 2.0, 3.0, 4.0], ["a", "a", "b", "b"])
    >>> round(parts.between_sd, 3), round(parts.within_sd, 3), parts.mean
    (1.323, 0.707, 2.5)
    """
    levels = _levels(values, labels)
    if levels.sum_squares_within == 0.0:
        between_sd = float(np.std(levels.mean, ddof=1))
        mean = levels.centre + float(np.mean(levels.mean))
        return VarianceComponents(between_sd, 0.0, mean)
    ratio = _variance_ratio(levels)
    weight, shift, scatter = _weighted(levels, ratio)
    total = levels.sum_squares_within + float(np.sum(weight * scatter**2))
    within_variance = total / (levels.n_values - 1)
    return VarianceComponents(
        between_sd=float(np.sqrt(ratio * within_variance)),
        within_sd=float(np.sqrt(within_variance)),
        mean=levels.centre + shift,
    )


def _levels(values: ArrayLike, labels: ArrayLike) -> _Levels:
    numbers = np.asarray(values, dtype=np.float64)
    names: NDArray[Any] = np.asarray(labels)
    if numbers.ndim != 1 or numbers.shape != names.shape:
        message = "Values and labels must be two lists of the same length."
        raise ValueError(message)
    present = ~np.isnan(numbers)
    _, place = np.unique(names[present], return_inverse=True)
    count = np.bincount(place)
    if count.size < 2 or count.max() < 2:
        message = "Needs at least two levels, and one of them with two values."
        raise ValueError(message)
    centre = float(np.mean(numbers[present]))
    about = numbers[present] - centre
    # The mean was rounded; what is left of it would spoil the sums of squares.
    remainder = float(np.mean(about))
    about = about - remainder
    mean = np.bincount(place, about) / count
    within = float(np.sum((about - mean[place]) ** 2))
    return _Levels(centre + remainder, count.astype(np.int64), mean, within)


def _weighted(levels: _Levels, ratio: float) -> tuple[FloatArray, float, FloatArray]:
    """Weights of the level means, their weighted mean, and deviations from it."""
    weight = levels.count / (1.0 + levels.count * ratio)
    shift = float(np.sum(weight * levels.mean) / np.sum(weight))
    return weight, shift, levels.mean - shift


def _variance_ratio(levels: _Levels) -> float:
    """Between over within variance at which the restricted likelihood is greatest."""

    def slope(ratio: float) -> float:
        weight, _, scatter = _weighted(levels, ratio)
        explained = np.sum((weight * scatter) ** 2)
        total = levels.sum_squares_within + np.sum(weight * scatter**2)
        penalty = np.sum(weight) - np.sum(weight**2) / np.sum(weight)
        return float(penalty - (levels.n_values - 1) * explained / total)

    if slope(0.0) >= 0.0:
        return 0.0
    upper = 1.0
    while slope(upper) < 0.0:
        upper *= 4.0
    return float(brentq(slope, 0.0, upper, xtol=1e-14 * upper, rtol=1e-13))
