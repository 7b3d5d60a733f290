"""How much absorbance a station should show, from the other groups of a class."""

import numpy as np

from results.science.arrays import FloatArray, IntArray
from results.science.diagnosis.medians import (
    MEDIAN_FACTOR,
    median_of_others,
    robust_sd,
)

#: A verdict about a station or a lot needs this many groups, the own one included.
FEWEST_GROUPS = 5
#: Spread of meters about the class, log scale, and how sure a class median is of one
#: group's absorptivity; judgement.
STATION_SD = 0.015
#: How many stations that judgement is worth against a class's own.
USUAL_STATIONS = 3.0
#: Own scatter of one group's log absorptivity and log iron content, at least.
GROUP_SD = 0.006
#: A station this many standard deviations off the class is not leaned on, if it is
#: off by as much as a slip at the meter makes (`assumptions.SIZES`); log scale.  Of
#: a few groups that is no station's doing.
WILD, ODD = 3.0, 0.06


def station_reference(
    values: FloatArray, station: IntArray
) -> tuple[FloatArray, FloatArray]:
    """Shrink every station's median towards the class's, by the spread of stations.

    The best linear prediction of a station's deviation (C. R. Henderson, Biometrics
    31, 1975, 423), of medians in place of means.

    Parameters
    ----------
    values : array (N,)
        Log of each group's own absorptivity; NaN where it has none.
    station : array of int (N,)

    Returns
    -------
    centre, sd : array (N,)
        Without the group's own say; NaN in a class of too few groups.
    """
    everybody = median_of_others(values, np.zeros(len(values), dtype=np.int64))
    within, between = _spreads(values, station)
    here = median_of_others(values, station)
    stations = max(len(np.unique(station)), 1)
    with np.errstate(all="ignore"):
        variance = _median_variance(within, here.count)
        class_variance = _median_variance(within, everybody.count)
        class_variance = class_variance + MEDIAN_FACTOR**2 * between**2 / stations
        shift = here.median - everybody.median
        share = between**2 / (between**2 + variance)
        least = np.where(here.count >= FEWEST_GROUPS - 1, ODD, 0.0)
        far = np.maximum(WILD * np.sqrt(between**2 + variance), least)
        wild = np.abs(shift) > far
    share = np.where(wild | ~np.isfinite(shift), 0.0, share)
    enough = everybody.count >= FEWEST_GROUPS - 1
    centre = everybody.median + np.where(share > 0.0, share * shift, 0.0)
    left = 1.0 - share
    spread = np.sqrt(left**2 * class_variance + left * between**2)
    return np.where(enough, centre, np.nan), np.where(enough, spread, np.nan)


def _median_variance(sd: float, count: FloatArray) -> FloatArray:
    """Variance of a median; of one or two values it is their mean."""
    return np.asarray(sd**2 * np.where(count < 3, 1.0, MEDIAN_FACTOR**2) / count)


def _spreads(values: FloatArray, station: IntArray) -> tuple[float, float]:
    """Scatter of groups within a station and of stations, both robust."""
    distinct, place = np.unique(station, return_inverse=True)
    medians = np.full(len(distinct), np.nan)
    counts = np.zeros(len(distinct))
    for index in range(len(distinct)):
        mine = values[(place == index) & np.isfinite(values)]
        counts[index] = mine.size
        if mine.size:
            medians[index] = np.median(mine)
    with np.errstate(all="ignore"):
        shrink = np.sqrt(np.maximum(1.0 - 1.0 / np.maximum(counts[place], 1), 0.25))
        alone = counts[place] < 2
        within = robust_sd(np.where(alone, np.nan, values - medians[place]) / shrink)
    within = max(within if np.isfinite(within) else 0.0, GROUP_SD)
    known = medians[counts >= 2]
    if not known.size:
        return within, STATION_SD
    sampling = float(np.mean(_median_variance(within, counts[counts >= 2])))
    seen = max(robust_sd(known) ** 2 - sampling, (0.15 * within) ** 2)
    # What stations usually do has a say until a class has shown its own.
    own = known.size - 1
    pooled = (STATION_SD**2 * USUAL_STATIONS + seen * own) / (USUAL_STATIONS + own)
    return within, float(np.sqrt(pooled))
