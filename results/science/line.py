"""Least-squares straight lines, many at a time."""

from dataclasses import dataclass

import numpy as np

from results.science.arrays import FloatArray, running_sum

#: Rise along a line, relative to its mean signal, that is nothing but rounding.
NO_RISE = 1e-15


@dataclass(frozen=True, slots=True)
class Line:
    """A fitted line y = intercept + slope x, or a batch of them.

    Every field has the shape of the batch, (...): a single fit gives
    zero-dimensional arrays.  ``mean_x``, ``mean_y`` and ``sum_squares_x`` are
    weighted like the fit; ``residual_sd`` is the standard deviation of an
    observation of weight one, on ``df`` degrees of freedom.  What the data cannot
    give is NaN: the slope if all x are alike, the standard errors if df < 1.
    """

    slope: FloatArray
    intercept: FloatArray
    slope_se: FloatArray
    intercept_se: FloatArray
    residual_sd: FloatArray
    r_squared: FloatArray
    n: FloatArray
    df: FloatArray
    sum_weights: FloatArray
    mean_x: FloatArray
    mean_y: FloatArray
    sum_squares_x: FloatArray
    covariance: FloatArray


@dataclass(frozen=True, slots=True)
class Deviations:
    """Points about their line: from the mean x, from the line, and their weights.

    Every field has shape (n, ...), points first.
    """

    dx: FloatArray
    residual: FloatArray
    w: FloatArray


def fit_line(x: FloatArray, y: FloatArray, weights: FloatArray | None = None) -> Line:
    """Fit y = intercept + slope x by (weighted) least squares.

    Parameters
    ----------
    x, y : array (..., n)
        A point with NaN in x, y or its weight is missing and is left out.
    weights : array (..., n), optional
        Proportional to 1 / variance of y; all one if not given.

    Returns
    -------
    Line
        Fields of shape (...).

    Notes
    -----
    Sums of deviations from the (weighted) mean, not of powers of x; see
    N. R. Draper and H. Smith, Applied Regression Analysis, chapter 1.  A line's
    result does not depend on which other lines are fitted with it.

    Examples
    --------
    >>> line = fit_line(np.array([0.0, 1.0, 2.0]), np.array([1.0, 3.0, 5.0]))
    >>> float(line.slope), float(line.intercept)
    (2.0, 1.0)
    """
    columns_x, columns_y, w = _points_first(x, y, weights)
    n = running_sum((w > 0.0).astype(np.float64))
    with np.errstate(all="ignore"):
        line, _ = fit_columns(columns_x, columns_y, w, n)
    return line


def fit_columns(
    x: FloatArray, y: FloatArray, w: FloatArray, n: FloatArray
) -> tuple[Line, Deviations]:
    """Fit lines to points that lie on the first axis; see `fit_line`.

    Parameters
    ----------
    x, y, w : array (n, ...)
        Without NaN; a point of no weight is left out.
    n : array (...)
        How many points have a weight.
    """
    sum_weights = running_sum(w)
    mean_x = np.asarray(running_sum(w * x) / sum_weights)
    mean_y = np.asarray(running_sum(w * y) / sum_weights)
    dx, dy = x - mean_x, y - mean_y
    weighted_dx = w * dx
    sum_squares_x = running_sum(weighted_dx * dx)
    products = running_sum(weighted_dx * dy)
    slope = np.where(sum_squares_x > 0.0, products / sum_squares_x, np.nan)
    explained = np.asarray(slope * products)
    # Signals that are all alike but for rounding must give no slope at all.
    flat = explained <= sum_weights * (NO_RISE * mean_y) ** 2
    slope = np.where(flat, 0.0, slope)
    residual = dy - slope * dx
    sum_squares = running_sum(w * residual * residual)
    df = np.asarray(n - 2.0)
    variance = np.where(df > 0.0, sum_squares / df, np.nan)
    slope_variance = variance / sum_squares_x
    mean_term = 1.0 / sum_weights + mean_x * mean_x / sum_squares_x
    line = Line(
        slope=slope,
        intercept=np.asarray(mean_y - slope * mean_x),
        slope_se=np.sqrt(slope_variance),
        intercept_se=np.sqrt(variance * mean_term),
        residual_sd=np.sqrt(variance),
        r_squared=np.asarray(1.0 - sum_squares / (explained + sum_squares)),
        n=n,
        df=df,
        sum_weights=sum_weights,
        mean_x=mean_x,
        mean_y=mean_y,
        sum_squares_x=sum_squares_x,
        covariance=np.asarray(-mean_x * slope_variance),
    )
    return line, Deviations(dx, residual, w)


def _points_first(
    x: FloatArray, y: FloatArray, weights: FloatArray | None
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Put the points on the first axis and give missing points no weight."""
    given = np.asarray(1.0) if weights is None else np.asarray(weights)
    columns_x, columns_y, w = (
        np.moveaxis(array, -1, 0)
        for array in np.broadcast_arrays(
            np.asarray(x, dtype=np.float64), np.asarray(y, dtype=np.float64), given
        )
    )
    missing = np.isnan(columns_x) | np.isnan(columns_y) | np.isnan(w)
    return (
        np.where(missing, 0.0, columns_x),
        np.where(missing, 0.0, columns_y),
        np.where(missing, 0.0, w),
    )
