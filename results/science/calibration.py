"""The calibration of many groups at once: points first, no point missing."""

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from results.science.arrays import BoolArray, FloatArray, running_sum
from results.science.budget import FillVariance
from results.science.class_scale import ClassScale
from results.science.line import Line, fit_columns
from results.science.linearity import lack_of_fit, mandel
from results.science.noise import Meter
from results.science.student import one_sided_95, two_sided_95

#: How the points are weighted: by all that scatters them, by the reading alone, or
#: not at all (the textbook's ordinary least squares, without type B uncertainties).
Method = Literal["effective", "weighted", "plain"]
#: Spread of the standards, relative to their mean, below which they are alike.
ALIKE = 1e-9


@dataclass(frozen=True, slots=True)
class Tubes:
    """Tubes of one side of C groups, tubes first: every field has shape (k, C).

    ``content`` is mg/L for standards, and for unknown tubes the share of the unknown
    relative to the mean tube; ``fill`` the relative variances of filling each tube.
    """

    content: FloatArray
    absorbance: FloatArray
    replicates: FloatArray
    within: FloatArray
    fill: FillVariance

    def with_content(self, content: FloatArray) -> "Tubes":
        """Return the same tubes with other contents."""
        return replace(self, content=content)


@dataclass(frozen=True, slots=True)
class Setting:
    """How C groups are computed.

    ``flagged`` (C,) marks the groups that the class scale is not applied to.
    """

    method: Method
    meter: Meter
    scale: ClassScale
    flagged: BoolArray

    def reading_variance(self, absorbance: FloatArray) -> FloatArray:
        """Variance of one reading, or one where readings are taken as all alike."""
        if self.method == "plain":
            return np.ones_like(absorbance)
        return self.meter.variance(absorbance)

    def quantiles(self, own_df: float) -> tuple[FloatArray, FloatArray]:
        """Student's t for moderated degrees of freedom: two-sided and one-sided.

        They are worked out once for all that share their class's scale and once for
        those that keep their own.
        """
        inverse_df = 1.0 / np.array([self.scale.d0 + own_df, own_df])
        own = self.flagged.astype(np.intp)
        return two_sided_95(inverse_df)[own], one_sided_95(inverse_df)[own]


@dataclass(frozen=True, slots=True)
class _Provisional:
    """An unweighted line, fields of shape (C,)."""

    slope: FloatArray
    intercept: FloatArray
    mean_x: FloatArray
    sum_squares_x: FloatArray


@dataclass(frozen=True, slots=True)
class Calibration:
    """Weighted lines with their residual variances; see `Answers` for the names."""

    line: Line
    residual_sd: FloatArray
    phi: FloatArray
    moderated_phi: FloatArray
    moderated_df: FloatArray
    two_sided_95: FloatArray
    one_sided_95: FloatArray
    mandel: tuple[FloatArray, FloatArray]
    lack_of_fit: tuple[FloatArray, FloatArray]


def calibrate(standards: Tubes, setting: Setting) -> Calibration:
    """Fit each group's line by weights from what is declared.

    A first fit without weights gives the absorbances that the weights are worked
    out at: weights from the readings themselves would follow their errors.  One
    pass is enough.  Each point's variance is that of its reading plus that of its
    filling, carried over by the slope ("effective variance", J. Orear, Am. J. Phys.
    50, 1982, 912; quoted from memory).

    Parameters
    ----------
    standards : Tubes
        At least three.
    setting : Setting
    """
    x, y = standards.content, standards.absorbance
    first = _provisional(x, y)
    alike = first.sum_squares_x <= len(x) * (ALIKE * first.mean_x) ** 2
    above_zero = first.slope * x
    reading = setting.reading_variance(first.intercept + above_zero)
    variance = reading
    if setting.method != "plain":
        variance = reading / standards.replicates
    if setting.method == "effective":
        variance = variance + above_zero * above_zero * standards.fill.total
    w = np.where(alike, np.nan, 1.0 / variance)
    line, points = fit_columns(x, y, w, np.full(x.shape[1], float(len(x))))
    two_sided, one_sided = setting.quantiles(len(x) - 2.0)
    squares = points.residual * points.residual
    phi = line.residual_sd**2
    moderated_phi, moderated_df = setting.scale.moderate(phi, line.df, setting.flagged)
    return Calibration(
        line=line,
        residual_sd=np.sqrt(running_sum(squares) / line.df),
        phi=phi,
        moderated_phi=moderated_phi,
        moderated_df=moderated_df,
        two_sided_95=two_sided,
        one_sided_95=one_sided,
        mandel=mandel(points, line),
        lack_of_fit=_lack_of_fit(standards, squares, reading),
    )


def _lack_of_fit(
    standards: Tubes, squares: FloatArray, reading: FloatArray
) -> tuple[FloatArray, FloatArray]:
    if np.max(standards.replicates, initial=1.0) == 1.0:
        untested = np.full(squares.shape[1], np.nan)
        return untested, untested
    df = np.full(squares.shape[1], len(squares) - 2.0)
    within = standards.within / reading
    return lack_of_fit(squares / reading, within, standards.replicates, df)


def _provisional(x: FloatArray, y: FloatArray) -> _Provisional:
    mean_x, mean_y = running_sum(x) / len(x), running_sum(y) / len(y)
    dx = x - mean_x
    sum_squares_x = running_sum(dx * dx)
    slope = running_sum(dx * y) / sum_squares_x
    return _Provisional(
        slope=np.asarray(slope),
        intercept=np.asarray(mean_y - slope * mean_x),
        mean_x=np.asarray(mean_x),
        sum_squares_x=sum_squares_x,
    )
