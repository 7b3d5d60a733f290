"""How far each tube lies from where it should, in units of its declared scatter."""

from dataclasses import dataclass
from itertools import combinations

import numpy as np
from scipy.stats import chi2

from results.science.answer import Answers, Readings
from results.science.arrays import FloatArray, IntArray, mean_present
from results.science.dilution import Scheme
from results.science.line import fit_line
from results.science.noise import delivery_relative_variance, reading_variance

#: Weight of the declared scatter against a group's own, in degrees of freedom.  Pairs
#: differ in care, so a careless pair's tubes are judged by its other tubes too.
DECLARED_DF = 4.0
#: Leverage above which a point draws the line through itself and cannot be judged.
HIGHEST_LEVERAGE = 0.995


@dataclass(frozen=True, slots=True)
class StandardResiduals:
    """The standards of N submissions against their weighted lines, shape (N, n).

    ``deviation`` is the distance, in absorbance, from the line through the other
    standards (deletion residual), ``z`` the same over its standard deviation,
    ``precision`` one over that variance.  ``sum_squares`` (N,) is the weighted sum of
    squared residuals, chi-squared on ``df`` = n - 2 degrees of freedom for a group
    that scatters as declared.
    """

    deviation: FloatArray
    z: FloatArray
    precision: FloatArray
    variance: FloatArray
    sum_squares: FloatArray
    df: FloatArray


@dataclass(frozen=True, slots=True)
class TubeScores:
    """Each tube's deviation over a scale that its own deviation does not enter.

    ``standards`` has shape (N, n), ``unknowns`` (N, m); NaN where there is nothing to
    compare with.
    """

    standards: FloatArray
    unknowns: FloatArray


@dataclass(frozen=True, slots=True)
class Swap:
    """For each submission, the exchange of two standards that mends it best."""

    first: IntArray
    second: IntArray
    sum_squares: FloatArray


def standard_residuals(
    scheme: Scheme, readings: Readings, answers: Answers
) -> StandardResiduals:
    """Judge each standard by the line through the others and the declared scatter."""
    x, y = answers.concentration_mg_L, answers.standard_absorbance
    variance = standard_variance(scheme, readings, answers)
    return _residuals(x, y, variance)


def standard_variance(
    scheme: Scheme, readings: Readings, answers: Answers
) -> FloatArray:
    """Variance of each standard's mean absorbance, shape (N, n); NaN if missing."""
    above_zero = answers.slope[:, None] * answers.concentration_mg_L
    fitted = above_zero + answers.intercept[:, None]
    replicates = np.sum(~np.isnan(readings.standard_signal), axis=-1)
    with np.errstate(all="ignore"):
        from_reading = reading_variance(scheme.reading, fitted) / replicates
        from_delivery = delivery_relative_variance(scheme.standards) * above_zero**2
        return np.asarray(from_reading + from_delivery)


def unknown_z(scheme: Scheme, readings: Readings, answers: Answers) -> FloatArray:
    """Deviation of each unknown tube from the others, over its standard deviation.

    Returns
    -------
    array (N, m)
        NaN where a submission has fewer than two unknown tubes.
    """
    with np.errstate(all="ignore"):
        factor = readings.unknown_taken_mL / scheme.unknown_make_up_mL
        above_zero = answers.unknown_absorbance - answers.intercept[:, None]
        alike = above_zero / factor * mean_present(factor)[:, None]
        centre = mean_present(alike)[:, None]
        replicates = np.sum(~np.isnan(readings.unknown_signal), axis=-1)
        fitted = centre + answers.intercept[:, None]
        variance = reading_variance(scheme.reading, fitted) / replicates
        variance = variance + delivery_relative_variance(scheme.unknowns) * centre**2
        count = answers.n_unknowns[:, None]
        spread = np.where(count > 1, variance * (1.0 - 1.0 / count), np.nan)
        return np.asarray((alike - centre) / np.sqrt(spread))


def tube_scores(residuals: StandardResiduals, unknown: FloatArray) -> TubeScores:
    """Weigh every tube's z against the declared scatter and the other tubes'.

    The variance is moderated as by G. K. Smyth (Stat. Appl. Genet. Mol. Biol. 3,
    2004, 3): the declared scatter counts as `DECLARED_DF` degrees of freedom.

    Parameters
    ----------
    residuals : StandardResiduals
    unknown : array (N, m)
        From `unknown_z`.
    """
    m = np.sum(~np.isnan(unknown), axis=1)[:, None]
    with np.errstate(all="ignore"):
        between = np.where(m > 1, np.nansum(unknown**2, axis=1)[:, None], 0.0)
        between = between * (m - 1) / np.maximum(m, 1)
        own = np.nan_to_num(residuals.sum_squares)[:, None]
        df = np.maximum(residuals.df, 0.0)[:, None] + np.maximum(m - 1, 0)
        total = DECLARED_DF + own + between
        left_df = DECLARED_DF + df - 1.0
        return TubeScores(
            standards=_score(residuals.z, total, left_df),
            unknowns=_score(unknown, total, left_df),
        )


def best_swap(x: FloatArray, y: FloatArray, variance: FloatArray) -> Swap:
    """Try every exchange of two standards' readings and keep the best.

    Parameters
    ----------
    x, y, variance : array (N, n)
    """
    pairs = list(combinations(range(x.shape[1]), 2))
    tried = np.stack([_swapped_sum_squares(x, y, variance, pair) for pair in pairs])
    best = np.argmin(np.where(np.isnan(tried), np.inf, tried), axis=0)
    chosen = np.array(pairs, dtype=np.int64)[best]
    least = np.take_along_axis(tried, best[None], axis=0)[0]
    return Swap(first=chosen[:, 0], second=chosen[:, 1], sum_squares=least)


def clean_level(df: FloatArray, probability: float) -> FloatArray:
    """Sum of squares that a clean group stays below with the given probability."""
    distinct, place = np.unique(df, return_inverse=True)
    levels = np.asarray(chi2.ppf(probability, distinct), dtype=np.float64)
    return levels[place].reshape(np.shape(df))


def _score(z: FloatArray, total: FloatArray, left_df: FloatArray) -> FloatArray:
    # A deletion residual squared never exceeds the sum of squares but by rounding.
    others = np.maximum(total - z**2, DECLARED_DF)
    return np.asarray(z / np.sqrt(others / left_df))


def _residuals(x: FloatArray, y: FloatArray, variance: FloatArray) -> StandardResiduals:
    with np.errstate(all="ignore"):
        line = fit_line(x, y, 1.0 / variance)
        dx = x - line.mean_x[:, None]
        residual = y - line.mean_y[:, None] - line.slope[:, None] * dx
        position = dx**2 / line.sum_squares_x[:, None]
        leverage = (1.0 / line.sum_weights[:, None] + position) / variance
        left = np.where(leverage < HIGHEST_LEVERAGE, 1.0 - leverage, np.nan)
        return StandardResiduals(
            deviation=residual / left,
            z=residual / np.sqrt(variance * left),
            precision=left / variance,
            variance=variance,
            sum_squares=np.asarray(line.residual_sd**2 * line.df),
            df=line.df,
        )


def _swapped_sum_squares(
    x: FloatArray, y: FloatArray, variance: FloatArray, pair: tuple[int, int]
) -> FloatArray:
    order = np.arange(x.shape[1])
    order[list(pair)] = pair[::-1]
    with np.errstate(all="ignore"):
        # The provisional line, and with it the variances, was bent by the swap:
        # a second look with the variances exchanged too is good enough here.
        line = fit_line(x, y[:, order], 1.0 / variance)
        sum_squares = np.asarray(line.residual_sd**2 * line.df)
    return np.where(line.slope > 0.0, sum_squares, np.nan)
