"""What is computed from many submissions, as arrays of one row each."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from results.science.arrays import BoolArray, FloatArray, IntArray
from results.science.budget import SOURCES


class Reason(StrEnum):
    """Why a row has no answer; the empty text where it has one."""

    COMPUTED = ""
    NO_MASS = "no_mass"
    TOO_FEW_STANDARDS = "too_few_standards"
    STANDARDS_ALL_ALIKE = "standards_all_alike"
    LINE_NOT_RISING = "line_not_rising"
    NO_FINITE_INTERVAL = "no_finite_interval"
    NO_UNKNOWN_READING = "no_unknown_reading"
    UNKNOWN_NOT_ABOVE_ZERO = "unknown_not_above_zero"


@dataclass(frozen=True, slots=True)
class Answers:
    """What is computed from N submissions.

    A row with an empty ``reason`` has a finite number in every field of shape
    (N,), except the two tests of the line (``mandel_*``, ``lack_of_fit_*``), which
    are NaN where the points cannot be tested.  A row with a reason has NaN from
    ``molar_absorptivity_se`` on; its line is kept if it could be fitted, because the
    group still wants to see it.

    Attributes
    ----------
    concentration_mg_L, standard_absorbance : array (N, n)
        The points of the line; NaN for a missing tube.
    unknown_absorbance : array (N, m)
    reason : array of str (N,)
        A member of `Reason`.
    n_standards, n_unknowns : array of int (N,)
        Tubes that could be used.
    uses_fieller : array of bool (N,)
        Whether the interval is Fieller's (E. C. Fieller, J. R. Stat. Soc. B 16,
        1954, 175), which it is where ``fieller_g`` exceeds 0.05.
    slope, slope_se : array (N,)
        Absorbance per mg/L.
    intercept, intercept_se : array (N,)
        In absorbance.
    residual_sd : array (N,)
        Root of the mean squared distance of the points from the line, on n - 2
        degrees of freedom, in absorbance and without weights.
    r_squared : array (N,)
    phi, df : array (N,)
        Weighted residual variance, one for a group that scatters as declared, and
        its own degrees of freedom.
    moderated_phi, moderated_df : array (N,)
        The same after the class scale was taken into account.
    fieller_g : array (N,)
        Square of Student's t times the slope's relative standard error.
    molar_absorptivity, molar_absorptivity_se : array (N,)
        L/(mol cm); the standard error holds the standards' masses, volumes and
        purity as well as the line.
    mandel_f, mandel_p : array (N,)
        J. Mandel's test of a curve against the line.
    lack_of_fit_f, lack_of_fit_p : array (N,)
        Scatter about the line against scatter of replicate readings.
    unknown_mg_L, unknown_mg_L_se : array (N,)
        Concentration of the mean unknown tube; the standard error is that of the
        calibration and the unknown tubes, without what all tubes share.
    iron_percent, standard_uncertainty, low, high : array (N,)
        Mass fraction of iron in the unknown, its standard uncertainty and its
        95 % interval, all in percent of mass.
    effective_df, coverage_factor : array (N,)
        By the Welch-Satterthwaite formula, and the t that belongs to it.
    u_calibration, u_reading, u_masses, u_flasks, u_pipettes, u_burette, u_purity
        Array (N,) each: relative standard uncertainty of the answer from one
        source, in percent of the answer.  Their squares add up to the whole.
        Flasks and deliveries of the standards are in ``u_calibration``, for they
        scatter the points about the line.
    detection_limit_mg_L, quantification_limit_mg_L : array (N,)
        Of the measured tube: see `results.science.detection`.
    detection_limit_percent, quantification_limit_percent : array (N,)
        The same in the weighed solid, percent of mass.
    """

    concentration_mg_L: FloatArray
    standard_absorbance: FloatArray
    unknown_absorbance: FloatArray
    reason: NDArray[np.str_]
    n_standards: IntArray
    n_unknowns: IntArray
    uses_fieller: BoolArray
    slope: FloatArray
    slope_se: FloatArray
    intercept: FloatArray
    intercept_se: FloatArray
    residual_sd: FloatArray
    r_squared: FloatArray
    phi: FloatArray
    df: FloatArray
    moderated_phi: FloatArray
    moderated_df: FloatArray
    fieller_g: FloatArray
    molar_absorptivity: FloatArray
    mandel_f: FloatArray
    mandel_p: FloatArray
    lack_of_fit_f: FloatArray
    lack_of_fit_p: FloatArray
    molar_absorptivity_se: FloatArray
    unknown_mg_L: FloatArray
    unknown_mg_L_se: FloatArray
    iron_percent: FloatArray
    standard_uncertainty: FloatArray
    low: FloatArray
    high: FloatArray
    effective_df: FloatArray
    coverage_factor: FloatArray
    u_calibration: FloatArray
    u_reading: FloatArray
    u_masses: FloatArray
    u_flasks: FloatArray
    u_pipettes: FloatArray
    u_burette: FloatArray
    u_purity: FloatArray
    detection_limit_mg_L: FloatArray
    quantification_limit_mg_L: FloatArray
    detection_limit_percent: FloatArray
    quantification_limit_percent: FloatArray

    @property
    def relative_uncertainties(self) -> Mapping[str, FloatArray]:
        """Each source's relative standard uncertainty, in percent of the answer."""
        return {source: getattr(self, f"u_{source}") for source in SOURCES}

    @property
    def interval_method(self) -> NDArray[np.str_]:
        """``"fieller"`` or ``"approximate"`` for each row; empty without an answer."""
        used = np.where(self.uses_fieller, "fieller", "approximate")
        return np.where(self.reason == Reason.COMPUTED, used, "")


#: Fields that belong to the line, kept even where there is no answer.
LINE_FIELDS = (
    "slope",
    "slope_se",
    "intercept",
    "intercept_se",
    "residual_sd",
    "r_squared",
    "phi",
    "df",
    "moderated_phi",
    "moderated_df",
    "fieller_g",
    "molar_absorptivity",
    "mandel_f",
    "mandel_p",
    "lack_of_fit_f",
    "lack_of_fit_p",
)
#: Fields that only an answer has.
ANSWER_FIELDS = (
    "molar_absorptivity_se",
    "unknown_mg_L",
    "unknown_mg_L_se",
    "iron_percent",
    "standard_uncertainty",
    "low",
    "high",
    "effective_df",
    "coverage_factor",
    *(f"u_{source}" for source in SOURCES),
    "detection_limit_mg_L",
    "quantification_limit_mg_L",
    "detection_limit_percent",
    "quantification_limit_percent",
)
