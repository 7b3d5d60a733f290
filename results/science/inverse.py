"""Reads an unknown off a fitted line, with its interval."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.stats import t as student_t

from results.science.arrays import FloatArray
from results.science.line import Line

Method = Literal["approximate", "fieller"]


@dataclass(frozen=True, slots=True)
class Estimate:
    """An unknown's value on the x axis, its standard error and its limits.

    ``g`` is (t times the slope's relative standard error) squared, Fieller's g:
    below about 0.05 both methods agree, from 1 on the slope cannot be told from
    zero and no finite interval exists.
    """

    value: FloatArray
    se: FloatArray
    low: FloatArray
    high: FloatArray
    g: FloatArray


@dataclass(frozen=True, slots=True)
class _Position:
    """Where a signal lies on its line."""

    offset: FloatArray
    variance_factor: FloatArray
    leverage: FloatArray


def read_off(
    line: Line,
    signal: FloatArray,
    replicates: FloatArray | int = 1,
    weight: FloatArray | float | None = None,
    confidence: float = 0.95,
    method: Method = "approximate",
) -> Estimate:
    """Estimate x from a signal y, by a fitted line.

    Parameters
    ----------
    line : Line
        Fields of shape (...).
    signal : array, broadcast against the line
        Mean signal of the replicates.
    replicates : int or array
        How many readings the signal is the mean of.
    weight : float or array, optional
        Weight of one such reading in the terms of the fit; one if not given.
    confidence : float
        Of the interval, between 0 and 1.
    method : {"approximate", "fieller"}
        "approximate" is the textbook formula, symmetric about the value (J. N.
        Miller and J. C. Miller, Statistics and Chemometrics for Analytical
        Chemistry, chapter 5); "fieller" solves for the limits exactly (E. C.
        Fieller, J. R. Stat. Soc. B 16, 1954, 175) and gives -inf and +inf
        where g >= 1.

    Raises
    ------
    ValueError
        For an unknown method or a confidence outside (0, 1).

    Examples
    --------
    >>> from results.science.line import fit_line
    >>> line = fit_line(np.array([0.0, 1.0, 2.0, 3.0]), np.array([0.1, 0.9, 2.1, 2.9]))
    >>> estimate = read_off(line, np.array(1.5), replicates=3)
    >>> round(float(estimate.value), 3), round(float(estimate.se), 3)
    (1.5, 0.101)
    """
    if method not in {"approximate", "fieller"}:
        message = f"The method must be approximate or fieller, not {method!r}."
        raise ValueError(message)
    if not 0.0 < confidence < 1.0:
        message = f"The confidence must lie between 0 and 1, not {confidence!r}."
        raise ValueError(message)
    with np.errstate(all="ignore"):
        position = _locate(line, signal, replicates, 1.0 if weight is None else weight)
        value = line.mean_x + position.offset
        unit_se = line.residual_sd / np.abs(line.slope)
        se = unit_se * np.sqrt(position.variance_factor + position.leverage)
        t = student_quantile(confidence, line.df)
        g = np.asarray((t * line.slope_se / line.slope) ** 2)
        if method == "approximate":
            low, high = value - t * se, value + t * se
        else:
            low, high = _fieller_limits(line, position, t * unit_se, g)
        return Estimate(value=value, se=se, low=low, high=high, g=g)


def student_quantile(confidence: float, df: FloatArray) -> FloatArray:
    """Two-sided quantile of Student's t, looked up once for each distinct df.

    Examples
    --------
    >>> student_quantile(0.95, np.array([3.0, 3.0, np.inf])).round(3).tolist()
    [3.182, 3.182, 1.96]
    """
    distinct, place = np.unique(df, return_inverse=True)
    quantiles = np.asarray(student_t.ppf(0.5 + confidence / 2.0, distinct))
    return np.asarray(quantiles[place], dtype=np.float64).reshape(np.shape(df))


def _locate(
    line: Line,
    signal: FloatArray,
    replicates: FloatArray | int,
    weight: FloatArray | float,
) -> _Position:
    offset = np.asarray((signal - line.mean_y) / line.slope)
    own = 1.0 / (np.asarray(replicates, dtype=np.float64) * weight)
    return _Position(
        offset=offset,
        variance_factor=np.asarray(own + 1.0 / line.sum_weights),
        leverage=np.asarray(offset * offset / line.sum_squares_x),
    )


def _fieller_limits(
    line: Line, position: _Position, t_unit_se: FloatArray, g: FloatArray
) -> tuple[FloatArray, FloatArray]:
    finite = g < 1.0
    shrink = np.where(finite, 1.0 - g, np.nan)
    centre = line.mean_x + position.offset / shrink
    half = (
        t_unit_se
        / shrink
        * np.sqrt(shrink * position.variance_factor + position.leverage)
    )
    # NaN in g (no line at all) must stay NaN and not become an infinite interval.
    endless = g >= 1.0
    low = np.where(endless, -np.inf, centre - half)
    high = np.where(endless, np.inf, centre + half)
    return low, high
