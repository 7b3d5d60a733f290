"""Smallest contents that can be detected, and that can be measured."""

import numpy as np

from results.science.arrays import FloatArray
from results.science.line import Line

#: Standard deviations at zero that make a content measurable (D. Harvey, Analytical
#: Chemistry 2.1, section 4.7, after the usage of IUPAC).
QUANTIFICATION_FACTOR = 10.0


def limits_mg_L(
    line: Line, blank_variance: FloatArray, phi: FloatArray, t: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Limits of detection and of quantification, from the line.

    Parameters
    ----------
    line : Line
        Weighted.
    blank_variance : array (...)
        Declared variance of the mean signal of a blank, in terms of the weights:
        one over the weight it would have.
    phi, t : array (...)
        Residual variance, and the one-sided 95 % quantile of Student's t for its
        degrees of freedom.

    Returns
    -------
    detection, quantification : array (...)
        In the unit of x.

    Notes
    -----
    With s0 = sqrt(phi (blank_variance + 1/W + mean_x² / S_xx)) / slope, the
    standard deviation of a content read off where there is none, the limit of
    detection is 2 t s0: both kinds of error are 5 %, as in the minimum detectable
    value of ISO 11843-2 (whose factor from the non-central t distribution is close
    to 2 t; quoted from memory).  The limit of quantification is 10 s0.
    """
    at_zero = line.mean_x * line.mean_x / line.sum_squares_x
    s0 = np.sqrt(phi * (blank_variance + 1.0 / line.sum_weights + at_zero)) / line.slope
    return 2.0 * t * s0, QUANTIFICATION_FACTOR * s0
