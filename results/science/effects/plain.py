"""The plain medians beside the model: what anybody can check by hand."""

from dataclasses import dataclass

import numpy as np
from scipy.special import stdtrit

from results.science.arrays import FloatArray
from results.science.effects.design import Factor, level_medians
from results.science.effects.polish import MEDIAN_FACTOR
from results.science.robust import MAD_TO_SD

#: Levels with fewer rows carry no claim, and their medians no interval.
FEWEST = 5
CONFIDENCE = 0.95


@dataclass(frozen=True, slots=True)
class Medians:
    """Median of each level with its 95 % interval, arrays of shape (L,).

    Attributes
    ----------
    low, high : array (L,)
        NaN for levels with fewer than five rows.
    sd : array (L,)
        Robust standard deviation within the level, 1.483 times the median absolute
        deviation; NaN for fewer than five rows.
    """

    median: FloatArray
    low: FloatArray
    high: FloatArray
    sd: FloatArray


def medians_of(values: FloatArray, one: Factor) -> Medians:
    """Return the medians of a factor's levels, with intervals by Student's t.

    The robust standard deviation stands in for that of normal values, of which a
    median's standard error is sqrt(pi / 2) times the mean's in large samples.

    Parameters
    ----------
    values : array (N,)
        None missing.
    """
    median = level_medians(values, one)
    sd = MAD_TO_SD * level_medians(np.abs(values - median[one.codes]), one)
    sd = np.where(one.count >= FEWEST, sd, np.nan)
    t = stdtrit(np.maximum(one.count - 1.0, 1.0), 0.5 + CONFIDENCE / 2.0)
    half = t * MEDIAN_FACTOR * sd / np.sqrt(one.count)
    return Medians(median, median - half, median + half, sd)
