"""Reads unknowns off their calibrations, with budget and interval, many at once."""

from dataclasses import dataclass

import numpy as np

from results.science.arrays import FloatArray, running_sum
from results.science.budget import SharedVariance
from results.science.calibration import Calibration, Setting, Tubes
from results.science.detection import limits_mg_L
from results.science.student import two_sided_95

#: Fieller's g from which on his interval is given.
FIELLER_FROM = 0.05
#: Degrees of freedom that count as any number.
MOST_DF = 1e6

Fields = dict[str, FloatArray]


@dataclass(frozen=True, slots=True)
class Solid:
    """The weighed solids of C groups.

    ``percent_per_mg_L`` (C,) is what one mg/L in the mean unknown tube stands for;
    ``masses`` holds the relative variances of both weighings, ``standard_mass`` that
    of the standard's alone; ``molar`` is L/(mol cm) for a slope of one per mg/L.
    """

    percent_per_mg_L: FloatArray
    masses: FloatArray
    standard_mass: FloatArray
    shared: SharedVariance
    molar: float


@dataclass(frozen=True, slots=True)
class _Position:
    """Where the mean unknown lies, with squared uncertainties in (mg/L)²."""

    x: FloatArray
    offset: FloatArray
    unit: FloatArray
    line: FloatArray
    reading: FloatArray
    flasks: FloatArray
    pipettes: FloatArray
    burette: FloatArray

    @property
    def own(self) -> FloatArray:
        """Calibration and unknown tubes together: what phi is the scale of."""
        tubes = self.reading + self.flasks + self.pipettes + self.burette
        return np.asarray(self.line + tubes)


def line_fields(calibration: Calibration, molar: float) -> Fields:
    """Name what belongs to the line; standard errors by the moderated variance."""
    line = calibration.line
    slope_se = np.sqrt(calibration.moderated_phi / line.sum_squares_x)
    mean_term = 1.0 / line.sum_weights + line.mean_x * line.mean_x / line.sum_squares_x
    t = calibration.two_sided_95
    return {
        "slope": line.slope,
        "slope_se": slope_se,
        "intercept": line.intercept,
        "intercept_se": np.sqrt(calibration.moderated_phi * mean_term),
        "residual_sd": calibration.residual_sd,
        "r_squared": line.r_squared,
        "phi": calibration.phi,
        "df": line.df,
        "moderated_phi": calibration.moderated_phi,
        "moderated_df": calibration.moderated_df,
        "fieller_g": np.asarray((t * slope_se / line.slope) ** 2),
        "molar_absorptivity": np.asarray(line.slope * molar),
        "mandel_f": calibration.mandel[0],
        "mandel_p": calibration.mandel[1],
        "lack_of_fit_f": calibration.lack_of_fit[0],
        "lack_of_fit_p": calibration.lack_of_fit[1],
    }


def answer_fields(
    calibration: Calibration, unknowns: Tubes, solid: Solid, setting: Setting
) -> Fields:
    """Read the mean unknown off its line and put its uncertainty together.

    Notes
    -----
    First-order propagation (JCGM 100:2008, 5.1), Welch-Satterthwaite degrees of
    freedom (G.4.1).  The part that the residual variance is the scale of has the
    moderated degrees of freedom, the type B part none that matter.  The textbook's
    symmetric interval is given unless Fieller's g exceeds 0.05: then each side is
    Fieller's half width and Student's t times the type B part, in quadrature.
    """
    position = _locate(calibration, unknowns, setting)
    shared = _shared_variances(solid, setting)
    type_b = position.x**2 * sum(shared.values())
    variance = position.own + type_b
    share = np.where(variance > 0.0, position.own / variance, 1.0)
    # Never more than one, but for rounding.
    inverse_df = np.minimum(share * share / calibration.moderated_df, 1.0)
    k = two_sided_95(inverse_df)
    u = np.sqrt(variance)
    below, above = _half_widths(calibration, position, type_b, k)
    to_percent = solid.percent_per_mg_L
    blank = setting.reading_variance(calibration.line.intercept)
    count = len(unknowns.content)
    readings = 1.0 if setting.method == "plain" else unknowns.replicates
    single = running_sum(np.ones_like(unknowns.content) / readings) / count**2
    detection, quantification = limits_mg_L(
        calibration.line,
        blank * single,
        calibration.moderated_phi,
        calibration.one_sided_95,
    )
    return {
        "molar_absorptivity_se": _absorptivity_se(calibration, solid, setting),
        "unknown_mg_L": position.x,
        "unknown_mg_L_se": np.sqrt(position.own),
        "iron_percent": np.asarray(position.x * to_percent),
        "standard_uncertainty": np.asarray(u * to_percent),
        "low": np.asarray((position.x - below) * to_percent),
        "high": np.asarray((position.x + above) * to_percent),
        "effective_df": np.minimum(1.0 / inverse_df, MOST_DF),
        "coverage_factor": k,
        **_sources(position, shared),
        "detection_limit_mg_L": detection,
        "quantification_limit_mg_L": quantification,
        "detection_limit_percent": np.asarray(detection * to_percent),
        "quantification_limit_percent": np.asarray(quantification * to_percent),
    }


def _locate(calibration: Calibration, unknowns: Tubes, setting: Setting) -> _Position:
    line, tubes = calibration.line, len(unknowns.content)
    mean = running_sum(unknowns.absorbance) / tubes
    offset = (mean - line.mean_y) / line.slope
    x = line.mean_x + offset
    unit = calibration.moderated_phi / (line.slope * line.slope)
    per_tube = unit / tubes**2
    content = unknowns.content
    if np.all(content == content[0]):
        # Equal tubes: what is the same for all is worked out once.
        content = content[:1]
    signal = line.slope * x * content
    reading = setting.reading_variance(line.intercept + signal)
    if setting.method != "plain":
        reading = reading / unknowns.replicates
    filled = setting.method == "effective"
    squares = signal * signal if filled else np.zeros_like(signal)
    fill = unknowns.fill

    def over_tubes(variances: FloatArray) -> FloatArray:
        return per_tube * running_sum(
            np.broadcast_to(variances, unknowns.content.shape)
        )

    return _Position(
        x=np.asarray(x),
        offset=np.asarray(offset),
        unit=unit,
        line=unit * (1.0 / line.sum_weights + offset * offset / line.sum_squares_x),
        reading=over_tubes(reading),
        flasks=over_tubes(squares * fill.flasks),
        pipettes=over_tubes(squares * fill.pipettes),
        burette=over_tubes(squares * fill.burette),
    )


def _shared_variances(solid: Solid, setting: Setting) -> Fields:
    """Relative variances of what all tubes share, by source."""
    used = 0.0 if setting.method == "plain" else 1.0
    one, other = solid.shared.standard_side, solid.shared.unknown_side
    return {
        "masses": used * solid.masses,
        "flasks": used * (one.flasks + other.flasks),
        "pipettes": used * (one.pipettes + other.pipettes),
        "burette": used * (one.burette + other.burette),
        "purity": np.asarray(used * solid.shared.purity),
    }


def _sources(position: _Position, shared: Fields) -> Fields:
    """Relative standard uncertainty from each source, in percent."""
    scale = 1.0 / (position.x * position.x)
    relative = {
        "calibration": position.line * scale,
        "reading": position.reading * scale,
        "masses": shared["masses"],
        "flasks": position.flasks * scale + shared["flasks"],
        "pipettes": position.pipettes * scale + shared["pipettes"],
        "burette": position.burette * scale + shared["burette"],
        "purity": shared["purity"] + np.zeros_like(scale),
    }
    return {
        f"u_{source}": 100.0 * np.sqrt(variance)
        for source, variance in relative.items()
    }


def _half_widths(
    calibration: Calibration, position: _Position, type_b: FloatArray, k: FloatArray
) -> tuple[FloatArray, FloatArray]:
    below = k * np.sqrt(position.own + type_b)
    above = below.copy()
    line = calibration.line
    t = calibration.two_sided_95
    g = t * t * position.unit / line.sum_squares_x
    rows = np.flatnonzero(g > FIELLER_FROM)
    if rows.size:
        g, t, unit = g[rows], t[rows], position.unit[rows]
        offset, kept = position.offset[rows], np.where(g < 1.0, 1.0 - g, np.nan)
        leverage = unit * offset * offset / line.sum_squares_x[rows]
        # Without the leverage: what does not depend on where the unknown lies.
        constant = position.own[rows] - leverage
        half = t / kept * np.sqrt(kept * constant + leverage)
        shift = offset * g / kept
        shared = k[rows] ** 2 * type_b[rows]
        below[rows] = np.sqrt((half - shift) ** 2 + shared)
        above[rows] = np.sqrt((half + shift) ** 2 + shared)
    return below, above


def _absorptivity_se(
    calibration: Calibration, solid: Solid, setting: Setting
) -> FloatArray:
    line = calibration.line
    relative = calibration.moderated_phi / line.sum_squares_x / line.slope**2
    if setting.method != "plain":
        side = solid.shared.standard_side.total
        relative = relative + side + solid.shared.purity + solid.standard_mass
    return np.asarray(np.abs(line.slope) * solid.molar * np.sqrt(relative))
