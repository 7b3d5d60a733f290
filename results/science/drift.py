"""Whether something moved over time: each station against its own history."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from results.science.arrays import FloatArray, IntArray
from results.science.control_chart import Ewma, Run, ewma, longest_run
from results.science.effects.design import Factor, factor, level_medians
from results.science.effects.polish import MEDIAN_FACTOR
from results.science.robust import MAD_TO_SD, median_and_mad

#: A cell of a station and a week needs so many groups, a history so many weeks.
FEWEST_GROUPS, FEWEST_PERIODS = 5, 3


@dataclass(frozen=True, slots=True)
class History:
    """One station over the periods in which it was used by five groups or more.

    Attributes
    ----------
    periods : tuple
        Labels, in order of time.
    n : array of int (t,)
        Groups.
    value, se : array (t,)
        Median against the other stations of the period, and its standard error.
    centre : float
        The station's own median over all periods.
    followed : Ewma or None
        None for fewer than three periods: no history to compare with.
    run : Run
    """

    station: Any
    periods: tuple[Any, ...]
    n: IntArray
    value: FloatArray
    se: FloatArray
    centre: float
    followed: Ewma | None
    run: Run

    @property
    def has_moved(self) -> bool:
        """Whether the station left its own history, now or before."""
        return self.followed is not None and (
            bool(np.any(self.followed.beyond)) or self.run.is_long
        )


def histories(
    y: ArrayLike, station: ArrayLike, period: ArrayLike
) -> tuple[History, ...]:
    """Follow each station over periods, against its own history.

    What all stations share in a period (a batch of reagent, the standard salt) is
    taken out by the period's median.  How much a station usually moves from one
    period to the next is pooled over all stations.

    Parameters
    ----------
    y : array (N,)
        Response of each group, such as log slope; NaN is left out.
    station, period : array (N,)
        Periods sort in the order of time.

    Returns
    -------
    tuple of History
        One for each station with a period of five groups or more.
    """
    values = np.asarray(y, dtype=np.float64)
    known = np.isfinite(values)
    if not np.any(known):
        return ()
    values = values[known]
    where = factor("station", np.asarray(station)[known])
    when = factor("period", np.asarray(period)[known])
    values = values - level_medians(values, when)[when.codes]
    cells = factor("cell", where.codes * len(when) + when.codes)
    median = level_medians(values, cells)
    within = MAD_TO_SD * float(np.median(np.abs(values - median[cells.codes])))
    enough = cells.count >= FEWEST_GROUPS
    labels = np.array(cells.levels, dtype=np.int64)[enough]
    series = _Series(
        station=labels // len(when),
        period=labels % len(when),
        n=cells.count[enough],
        value=median[enough],
        se=MEDIAN_FACTOR * within / np.sqrt(cells.count[enough]),
    )
    return tuple(_followed(series, where, when))


@dataclass(frozen=True, slots=True)
class _Series:
    station: IntArray
    period: IntArray
    n: IntArray
    value: FloatArray
    se: FloatArray


def _followed(series: _Series, where: Factor, when: Factor) -> Iterator[History]:
    parts = [
        (code, np.flatnonzero(series.station == code))
        for code in np.unique(series.station).tolist()
    ]
    centres = {code: float(np.median(series.value[rows])) for code, rows in parts}
    moves = [
        series.value[rows] - centres[code]
        for code, rows in parts
        if len(rows) >= FEWEST_PERIODS
    ]
    usual = median_and_mad(np.concatenate(moves)).sd if moves else float("nan")
    for code, rows in parts:
        value, se, centre = series.value[rows], series.se[rows], centres[code]
        followed = None
        if len(rows) >= FEWEST_PERIODS:
            # What a station usually moves holds its medians' errors already.
            followed = ewma(value, target=centre, sd=np.maximum(usual, se))
        yield History(
            station=where.levels[code],
            periods=tuple(when.levels[k] for k in series.period[rows].tolist()),
            n=series.n[rows],
            value=value,
            se=se,
            centre=centre,
            followed=followed,
            run=longest_run(value, centre),
        )
