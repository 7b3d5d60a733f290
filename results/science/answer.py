"""One protocol's answers: readings in, iron content and its interval out."""

from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from results.science.arrays import BoolArray, FloatArray, IntArray, mean_present
from results.science.dilution import Scheme, concentrations, iron_percent
from results.science.inverse import Estimate, read_off
from results.science.line import Line, fit_line
from results.science.photometry import usable_absorbance

FEWEST_STANDARDS = 3
#: Spread of the standards, relative to their mean, below which they are alike.
ALIKE = 1e-9


class Reason(StrEnum):
    """Why a row has no answer; the empty text where it has one."""

    COMPUTED = ""
    NO_MASS = "no_mass"
    TOO_FEW_STANDARDS = "too_few_standards"
    STANDARDS_ALL_ALIKE = "standards_all_alike"
    LINE_NOT_RISING = "line_not_rising"
    NO_FINITE_INTERVAL = "no_finite_interval"
    NO_UNKNOWN_READING = "no_unknown_reading"


@dataclass(frozen=True, slots=True)
class Readings:
    """The readings of N submissions under one scheme.

    NaN stands for a replicate, a tube or a mass that is missing.  n standards, m
    unknown tubes, at most R replicate readings of each.

    Attributes
    ----------
    standard_mass_g, unknown_mass_g : array (N,)
    standard_taken_mL : array (N, n)
        Volume taken for each standard, in the order of the scheme.
    unknown_taken_mL : array (N, m)
    standard_signal : array (N, n, R)
        Percent transmittance, or absorbance where ``is_absorbance``.
    unknown_signal : array (N, m, R)
    is_absorbance : array of bool (N,)
    """

    standard_mass_g: FloatArray
    unknown_mass_g: FloatArray
    standard_taken_mL: FloatArray
    unknown_taken_mL: FloatArray
    standard_signal: FloatArray
    unknown_signal: FloatArray
    is_absorbance: BoolArray


@dataclass(frozen=True, slots=True)
class Answers:
    """What is computed from N submissions.

    A row with an empty ``reason`` has a finite number in every field of shape
    (N,).  A row with a reason has NaN from ``unknown_mg_L`` to ``high``; its line
    is kept if it could be fitted, because the group still wants to see it.

    Attributes
    ----------
    concentration_mg_L, standard_absorbance : array (N, n)
        The points of the line; NaN for a missing tube.
    unknown_absorbance : array (N, m)
    slope, slope_se : array (N,)
        Absorbance per mg/L.
    intercept, intercept_se, residual_sd : array (N,)
        In absorbance.
    r_squared : array (N,)
    n_standards, n_unknowns : array of int (N,)
        Tubes that could be used.
    unknown_mg_L, unknown_mg_L_se : array (N,)
        Concentration of the mean unknown tube.
    iron_percent, standard_uncertainty, low, high : array (N,)
        Mass fraction of iron in the unknown, its standard uncertainty and its
        95 % interval, all in percent of mass.
    reason : array of str (N,)
        A member of `Reason`.
    """

    concentration_mg_L: FloatArray
    standard_absorbance: FloatArray
    unknown_absorbance: FloatArray
    slope: FloatArray
    slope_se: FloatArray
    intercept: FloatArray
    intercept_se: FloatArray
    residual_sd: FloatArray
    r_squared: FloatArray
    n_standards: IntArray
    n_unknowns: IntArray
    unknown_mg_L: FloatArray
    unknown_mg_L_se: FloatArray
    iron_percent: FloatArray
    standard_uncertainty: FloatArray
    low: FloatArray
    high: FloatArray
    reason: NDArray[np.str_]


@dataclass(frozen=True, slots=True)
class _UnknownTubes:
    """The unknown side: what was read, and what a mg/L in the tube stands for."""

    absorbance: FloatArray
    mean_absorbance: FloatArray
    count: IntArray
    percent_per_mg_L: FloatArray


def compute_answers(scheme: Scheme, readings: Readings) -> Answers:
    """Compute every submission's answer at once.

    Each replicate is converted to absorbance, then averaged; the standards' line is
    fitted by ordinary least squares; the mean unknown absorbance is read off it with
    the textbook interval, Student's t on n - 2 degrees of freedom.  Where the
    unknown tubes hold different volumes, the mean absorbance belongs to the mean
    dilution, which is what the answer is computed with.

    Parameters
    ----------
    scheme : Scheme
        How every one of the submissions was made.
    readings : Readings
        Of N submissions; N may be zero.

    Returns
    -------
    Answers
        A row depends on its own readings only, to the last bit.
    """
    with np.errstate(all="ignore"):
        return _compute(scheme, readings)


def _compute(scheme: Scheme, readings: Readings) -> Answers:
    concentration_mg_L = concentrations(
        scheme,
        _usable(readings.standard_mass_g, readings.standard_mass_g > 0.0),
        _usable(readings.standard_taken_mL, readings.standard_taken_mL >= 0.0),
    )
    absorbance = tube_absorbance(readings.standard_signal, readings.is_absorbance)
    line = _without_alike(fit_line(concentration_mg_L, absorbance))
    unknown = _unknown_tubes(scheme, readings)
    estimate = read_off(line, unknown.mean_absorbance, np.maximum(unknown.count, 1))
    reason = _reasons(readings, line, unknown, estimate)
    answered = np.where(reason == Reason.COMPUTED, 1.0, np.nan)
    factor = unknown.percent_per_mg_L * answered
    return Answers(
        concentration_mg_L=concentration_mg_L,
        standard_absorbance=absorbance,
        unknown_absorbance=unknown.absorbance,
        slope=line.slope,
        slope_se=line.slope_se,
        intercept=line.intercept,
        intercept_se=line.intercept_se,
        residual_sd=line.residual_sd,
        r_squared=line.r_squared,
        n_standards=line.n.astype(np.int64),
        n_unknowns=unknown.count,
        unknown_mg_L=estimate.value * answered,
        unknown_mg_L_se=estimate.se * answered,
        iron_percent=estimate.value * factor,
        standard_uncertainty=estimate.se * factor,
        low=estimate.low * factor,
        high=estimate.high * factor,
        reason=reason,
    )


def tube_absorbance(signal: FloatArray, is_absorbance: BoolArray) -> FloatArray:
    """Mean absorbance of each tube's replicates, from either scale.

    Parameters
    ----------
    signal : array (N, k, R)
    is_absorbance : array of bool (N,)

    Returns
    -------
    array (N, k)
        NaN for a tube without a usable reading; a replicate at or below 0 %T is
        not usable.

    Examples
    --------
    >>> tube_absorbance(np.array([[[10.0, np.nan]]]), np.array([False])).tolist()
    [[1.0]]
    """
    return mean_present(usable_absorbance(signal, is_absorbance[:, None, None]))


def _usable(values: FloatArray, sensible: BoolArray) -> FloatArray:
    """Take a mass or volume that cannot be as missing."""
    return np.where(sensible & np.isfinite(values), values, np.nan)


def _without_alike(line: Line) -> Line:
    """Leave no slope where the standards differ by rounding only."""
    limit = line.n * (ALIKE * line.mean_x) ** 2
    known = np.where(line.sum_squares_x > limit, 1.0, np.nan)
    return replace(
        line,
        slope=line.slope * known,
        slope_se=line.slope_se * known,
        intercept=line.intercept * known,
        intercept_se=line.intercept_se * known,
        residual_sd=line.residual_sd * known,
        r_squared=line.r_squared * known,
    )


def _unknown_tubes(scheme: Scheme, readings: Readings) -> _UnknownTubes:
    absorbance = tube_absorbance(readings.unknown_signal, readings.is_absorbance)
    taken_mL = _usable(readings.unknown_taken_mL, readings.unknown_taken_mL > 0.0)
    usable = np.isfinite(absorbance) & np.isfinite(taken_mL)
    percent_of_one_mg_L = iron_percent(
        scheme,
        np.ones_like(absorbance),
        _usable(readings.unknown_mass_g, readings.unknown_mass_g > 0.0),
        np.where(usable, taken_mL, np.nan),
    )
    return _UnknownTubes(
        absorbance=absorbance,
        mean_absorbance=mean_present(np.where(usable, absorbance, np.nan)),
        count=np.asarray(np.sum(usable, axis=-1), dtype=np.int64),
        percent_per_mg_L=1.0 / mean_present(1.0 / percent_of_one_mg_L),
    )


def _reasons(
    readings: Readings, line: Line, unknown: _UnknownTubes, estimate: Estimate
) -> NDArray[np.str_]:
    """Name the first thing that stands in the way of each answer."""
    masses_g = np.stack([readings.standard_mass_g, readings.unknown_mass_g])
    weighed = np.all((masses_g > 0.0) & np.isfinite(masses_g), axis=0)
    # Only absurd readings get here: numbers that overflow on the way.
    finite = np.isfinite(estimate.low * estimate.high * unknown.percent_per_mg_L)
    finite &= np.isfinite(line.r_squared) & np.isfinite(line.intercept_se)
    obstacles = (
        (~weighed, Reason.NO_MASS),
        (line.n < FEWEST_STANDARDS, Reason.TOO_FEW_STANDARDS),
        (np.isnan(line.slope), Reason.STANDARDS_ALL_ALIKE),
        (~(line.slope > 0.0), Reason.LINE_NOT_RISING),
        (unknown.count == 0, Reason.NO_UNKNOWN_READING),
        (~finite | ~(estimate.g < 1.0), Reason.NO_FINITE_INTERVAL),
    )
    return np.select(
        [condition for condition, _ in obstacles],
        [np.array(reason.value) for _, reason in obstacles],
        default=np.array(Reason.COMPUTED.value),
    )
