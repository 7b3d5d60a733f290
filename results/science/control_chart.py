"""Whether one quantity stays where it should be: control charts."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from results.science.arrays import BoolArray, FloatArray
from results.science.robust import MAD_TO_SD

#: Weight of the newest value, and limits in standard deviations; common practice.
NEWEST, REACH = 0.3, 3.0
#: So many values in a row on one side of the centre are no accident (ISO 7870-2).
LONG_RUN = 9
#: Fewer values say nothing about how much they scatter.
FEWEST_VALUES = 5


@dataclass(frozen=True, slots=True)
class Ewma:
    """Exponentially weighted moving average, arrays of shape (n,).

    Attributes
    ----------
    smoothed, low, high : array (n,)
        The average after each value, and its limits.
    beyond : array of bool (n,)
    """

    smoothed: FloatArray
    low: FloatArray
    high: FloatArray
    beyond: BoolArray


def ewma(
    values: ArrayLike,
    *,
    target: float,
    sd: ArrayLike,
    newest: float = NEWEST,
    reach: float = REACH,
    settled: bool = False,
) -> Ewma:
    """Follow values by their exponentially weighted moving average.

    S. W. Roberts, Technometrics 1 (1959) 239; NIST/SEMATECH e-Handbook of
    Statistical Methods, section 6.3.2.4.

    Parameters
    ----------
    values : array (n,)
        In the order of time; none missing.
    target : float
        Where they should lie.
    sd : array (n,) or float
        Standard deviation of each.
    newest : float
        Weight of the newest value, above 0 to 1.
    settled : bool
        Use the limits of a long series throughout, not those that widen with it.

    Raises
    ------
    ValueError
        If the weight is outside its range or a value is missing.

    Examples
    --------
    >>> followed = ewma([1.0, 1.0, 1.0], target=0.0, sd=1.0)
    >>> followed.smoothed.round(3).tolist(), followed.beyond.tolist()
    ([0.3, 0.51, 0.657], [False, False, False])
    """
    x = np.asarray(values, dtype=np.float64)
    if not 0.0 < newest <= 1.0 or np.any(np.isnan(x)):
        message = "Needs a weight above 0 and at most 1, and no missing values."
        raise ValueError(message)
    sds = np.broadcast_to(np.asarray(sd, dtype=np.float64), x.shape)
    smoothed, variance = np.empty_like(x), np.empty_like(x)
    level, spread = target, 0.0
    for i, (value, one_sd) in enumerate(zip(x.tolist(), sds.tolist(), strict=True)):
        level = newest * value + (1.0 - newest) * level
        spread = newest**2 * one_sd**2 + (1.0 - newest) ** 2 * spread
        smoothed[i], variance[i] = level, spread
    if settled:
        variance = newest / (2.0 - newest) * sds**2
    half = reach * np.sqrt(variance)
    beyond = np.abs(smoothed - target) > half
    return Ewma(smoothed, target - half, target + half, np.asarray(beyond))


@dataclass(frozen=True, slots=True)
class Run:
    """Values in a row on one side of the centre.

    Attributes
    ----------
    start, length : int
    above : bool
    """

    start: int
    length: int
    above: bool

    @property
    def is_long(self) -> bool:
        """Whether it is too long for chance."""
        return self.length >= LONG_RUN


def longest_run(values: ArrayLike, centre: float) -> Run:
    """Return the longest run on one side; a value on the centre ends a run.

    Examples
    --------
    >>> longest_run([1, 2, 3, -1, -1], 0.0)
    Run(start=0, length=3, above=True)
    """
    best, start = Run(0, 0, above=False), 0
    sides = np.sign(np.asarray(values, dtype=np.float64) - centre).tolist()
    for i, side in enumerate(sides):
        if i and side != sides[i - 1]:
            start = i
        if side and i - start + 1 > best.length:
            best = Run(start, i - start + 1, above=side > 0)
    return best


@dataclass(frozen=True, slots=True)
class Watch:
    """A quantity that should stay where it is: a blank read again, a check standard.

    Attributes
    ----------
    n : int
    latest : float
        The moving average after the last value.
    followed : Ewma or None
        None for fewer than five values, which say nothing.
    """

    n: int
    latest: float
    followed: Ewma | None

    @property
    def warns(self) -> bool:
        """Whether the average lies beyond its limits now."""
        return self.followed is not None and bool(self.followed.beyond[-1])


def watch(values: ArrayLike, *, target: float, least_sd: float) -> Watch:
    """Watch re-readings in the order of time, as an early warning.

    Parameters
    ----------
    values : array (n,)
        Such as re-read blanks in percent transmittance; NaN is left out.
    target : float
        What they should be, such as 100 %T.
    least_sd : float
        Standard deviation of one reading at least, such as the meter's step over
        sqrt(12): readings that repeat exactly do not make the next one alarming.

    Notes
    -----
    The scatter is taken from successive differences, which a drift leaves alone
    (J. von Neumann et al., Ann. Math. Statist. 12, 1941, 153), by their median.
    """
    x = np.asarray(values, dtype=np.float64)
    x = x[np.isfinite(x)]
    if x.size < FEWEST_VALUES:
        return Watch(int(x.size), float(x[-1]) if x.size else float("nan"), None)
    steps = np.abs(np.diff(x))
    sd = max(MAD_TO_SD * float(np.median(steps)) / float(np.sqrt(2.0)), least_sd)
    followed = ewma(x, target=target, sd=sd)
    return Watch(int(x.size), float(followed.smoothed[-1]), followed)
