"""One protocol's answers: readings in, iron content and its interval out."""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from results.science.arrays import BoolArray, FloatArray
from results.science.dilution import Scheme


class Reason(StrEnum):
    """Why a row has no answer; the empty text where it has one."""

    COMPUTED = ""
    NO_MASS = "no_mass"
    TOO_FEW_STANDARDS = "too_few_standards"
    STANDARDS_ALL_ALIKE = "standards_all_alike"
    LINE_NOT_RISING = "line_not_rising"
    NO_UNKNOWN_READING = "no_unknown_reading"
    NO_FINITE_INTERVAL = "no_finite_interval"


@dataclass(frozen=True, slots=True)
class Readings:
    """The readings of N submissions under one scheme.

    NaN stands for a replicate, a tube or a mass that is missing.
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
    """What is computed from N submissions; NaN in rows that have a reason."""

    concentration_mg_L: FloatArray
    standard_absorbance: FloatArray
    unknown_absorbance: FloatArray
    slope: FloatArray
    slope_se: FloatArray
    intercept: FloatArray
    intercept_se: FloatArray
    residual_sd: FloatArray
    r_squared: FloatArray
    n_standards: NDArray[np.int64]
    n_unknowns: NDArray[np.int64]
    unknown_mg_L: FloatArray
    unknown_mg_L_se: FloatArray
    iron_percent: FloatArray
    standard_uncertainty: FloatArray
    low: FloatArray
    high: FloatArray
    reason: NDArray[np.str_]


def compute_answers(scheme: Scheme, readings: Readings) -> Answers:
    """Compute every submission's answer at once."""
    raise NotImplementedError
