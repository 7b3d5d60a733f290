"""Robust location, scale and consistency statistics."""

from typing import NamedTuple

import numpy as np
from scipy.special import fdtri, stdtrit

from results.science.arrays import FloatArray

#: Constants of ISO 13528 (2015), annex C, algorithm A.
WINSORISING_POINT = 1.5
SPREAD_CORRECTION = 1.134
#: Makes the median absolute deviation consistent with a normal standard deviation.
MAD_TO_SD = 1.483
MAX_ROUNDS = 1000


class LocationScale(NamedTuple):
    """A mean and a standard deviation, or their robust stand-ins."""

    mean: float
    sd: float


class Consistency(NamedTuple):
    """Mandel's statistics for p laboratories, each of shape (p,)."""

    h: FloatArray
    k: FloatArray


def median_and_mad(values: FloatArray) -> LocationScale:
    """Median, and the median absolute deviation scaled to a standard deviation.

    NaN values are left out; both results are NaN if nothing remains.

    Examples
    --------
    >>> median_and_mad(np.array([1.0, 2.0, 3.0, 4.0, 100.0]))
    LocationScale(mean=3.0, sd=1.483)
    """
    present = _present(values)
    if not present.size:
        return LocationScale(float("nan"), float("nan"))
    median = float(np.median(present))
    return LocationScale(median, MAD_TO_SD * float(np.median(np.abs(present - median))))


def algorithm_a(values: FloatArray, tolerance: float = 1e-12) -> LocationScale:
    """Robust mean and standard deviation, algorithm A of ISO 13528 (2015), annex C.

    Parameters
    ----------
    values : array
        NaN values are left out.
    tolerance : float
        Relative change of both results at which the rounds end.

    Returns
    -------
    LocationScale
        NaN for no values, sd NaN for a single one.  If more than half of the values
        are equal, the median absolute deviation is zero; the rounds then start from
        the mean absolute deviation, as the standard advises against starting at 0.

    Examples
    --------
    >>> mean, sd = algorithm_a(np.array([9.8, 10.0, 10.1, 10.2, 30.0]))
    >>> round(mean, 3), round(sd, 3)
    (10.228, 0.542)
    """
    present = _present(values)
    if present.size < 2:
        mean = float(present[0]) if present.size else float("nan")
        return LocationScale(mean, float("nan"))
    mean, sd = median_and_mad(present)
    sd = sd or MAD_TO_SD * float(np.mean(np.abs(present - mean)))
    for _ in range(MAX_ROUNDS):
        reach = WINSORISING_POINT * sd
        pulled_in = np.clip(present, mean - reach, mean + reach)
        before = (mean, sd)
        mean = float(np.mean(pulled_in))
        sd = SPREAD_CORRECTION * float(np.std(pulled_in, ddof=1))
        if max(abs(mean - before[0]), abs(sd - before[1])) <= tolerance * before[1]:
            break
    return LocationScale(mean, sd)


def h_and_k(table: FloatArray) -> Consistency:
    """Mandel's h and k between and within laboratories, ISO 5725-2.

    Parameters
    ----------
    table : array (p, n)
        n replicates of each of p laboratories (or sections, or stations); NaN for
        a missing replicate.

    Returns
    -------
    Consistency
        h compares a laboratory's mean with the mean of the means, k its spread with
        the pooled spread; NaN where there is nothing to compare.

    Raises
    ------
    ValueError
        If the table does not have two axes.

    Examples
    --------
    >>> h_and_k(np.array([[1.0, 2.0], [2.0, 3.0], [3.0, 4.0]])).h.tolist()
    [-1.0, 0.0, 1.0]
    """
    values = np.asarray(table, dtype=np.float64)
    if values.ndim != 2:
        message = f"h_and_k needs a table with two axes, not {values.ndim}."
        raise ValueError(message)
    count = np.sum(~np.isnan(values), axis=1).astype(np.float64)
    with np.errstate(all="ignore"):
        mean = np.nansum(values, axis=1) / count
        squares = np.nansum((values - mean[:, None]) ** 2, axis=1)
        variance = np.where(count > 1, squares / (count - 1), np.nan)
        spread = np.sum(squares) / np.sum(np.maximum(count - 1, 0))
        known = _present(mean)
        deviation = mean - np.sum(known) / known.size
        between = np.nansum(deviation**2) / (known.size - 1)
        return Consistency(
            h=np.asarray(deviation / np.sqrt(between)),
            k=np.sqrt(variance / spread),
        )


def h_limit(laboratories: int, level: float = 0.01) -> float:
    """Return what |h| exceeds by chance in a share ``level`` of cases, ISO 5725-2.

    From Student's t on p - 2 degrees of freedom, as in annex C of the standard.

    Raises
    ------
    ValueError
        If there are fewer than three laboratories.

    Examples
    --------
    >>> round(h_limit(8, level=0.005), 2)
    2.15
    """
    p = laboratories
    if p < 3:
        message = "Mandel's h needs at least three laboratories."
        raise ValueError(message)
    t = float(stdtrit(p - 2, 1.0 - level / 2.0))
    return float((p - 1) * t / np.sqrt(p * (t**2 + p - 2)))


def k_limit(laboratories: int, replicates: int, level: float = 0.01) -> float:
    """Return what k exceeds by chance in a share ``level`` of cases, ISO 5725-2.

    Raises
    ------
    ValueError
        If there are fewer than two laboratories or replicates.

    Examples
    --------
    >>> round(k_limit(8, 3, level=0.005), 2)
    2.06
    """
    p, df = laboratories, replicates - 1
    if p < 2 or df < 1:
        message = "Mandel's k needs at least two laboratories and two replicates."
        raise ValueError(message)
    f = float(fdtri(df, (p - 1) * df, 1.0 - level))
    return float(np.sqrt(p / (1.0 + (p - 1) / f)))


def _present(values: FloatArray) -> FloatArray:
    flat = np.asarray(values, dtype=np.float64).ravel()
    return flat[~np.isnan(flat)]
