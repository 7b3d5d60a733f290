"""What a group's absorbances should be if nothing went wrong, and how they scatter.

A = a + E c, with Gaussian priors on the zero a, on the absorptivity E (station), on
the standards' chain and on the unknown's chain, all integrated out: the covariance of
the absorbances is a diagonal (reading, delivery) and a part of rank three, which is
inverted by Woodbury's identity.  See C. E. Rasmussen and C. K. I. Williams, Gaussian
Processes for Machine Learning (2006), appendix A, for the identities.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from results.science.arrays import FloatArray, IntArray
from results.science.diagnosis.assumptions import (
    BALANCE_SD_G,
    LITERATURE_SD,
    NO_REFERENCE_SD,
    UNEXPLAINED_CHAIN_SD,
    VIAL_SD,
    CareLevel,
)
from results.science.diagnosis.context import Context
from results.science.diagnosis.record import Record, blackest, steps
from results.science.diagnosis.symmetric import inverse, quadratic, times
from results.science.dilution import Scheme
from results.science.photometry import ABSORBANCE_PER_RELATIVE_T, slope_per_mg_L
from results.science.scheme import Step, Tube

#: Molar absorptivity of the iron(II) phenanthroline colour at 508 to 510 nm, L/(mol
#: cm): W. B. Fortune and M. G. Mellon (1938), from memory.
LITERATURE_ABSORPTIVITY = 11_100.0
IRON_MOLAR_MASS_G = 55.845
_NEAR_THE_PEAK_NM = (503.0, 517.0)


@dataclass(frozen=True, slots=True)
class Expected:
    """Absorbances (P, N) of groups without a slip, and relative sds (N,) of scale."""

    mean: FloatArray
    absorptivity_sd: FloatArray
    iron_sd: FloatArray

    def rows(self, chosen: IntArray) -> "Expected":
        """Return some of the groups."""
        return Expected(
            self.mean[:, chosen], self.absorptivity_sd[chosen], self.iron_sd[chosen]
        )


@dataclass(frozen=True, slots=True)
class Solved:
    """One level of care, ready for evidence: precision times residual, and parts.

    ``weight`` (P, N) is one over the diagonal variance; ``spread`` holds the six
    entries of the symmetric 3 x 3 matrix of Woodbury's identity, ``log_density``
    (N,) the log of the Gaussian density of the absorbances without a slip, and
    ``misfit`` (N,) its quadratic form.  ``sides`` holds v'Pr and v'Pv, as `along`
    gives them, of what all standards and of what all unknown tubes hold.
    """

    expected: Expected
    n: int
    weight: FloatArray
    precise_residual: FloatArray
    diagonal: FloatArray
    spread: tuple[FloatArray, ...]
    log_density: FloatArray
    misfit: FloatArray
    sides: tuple[tuple[FloatArray, FloatArray], tuple[FloatArray, FloatArray]]


def expect(scheme: Scheme, record: Record, context: Context) -> Expected:
    """Work out what each tube should read, from references or else from itself."""
    n = record.n
    y = np.where(record.present, record.absorbance, np.nan)
    literature = _literature(scheme)
    e, e_sd = context.log_absorptivity, context.log_absorptivity_sd
    with np.errstate(all="ignore"):
        own = np.log(
            _median(
                y[:n] / np.where(record.content[:n] > 0.0, record.content[:n], np.nan)
            )
        )
        e_sd = np.where(
            np.isfinite(e), e_sd, LITERATURE_SD if literature else NO_REFERENCE_SD
        )
        e = np.where(np.isfinite(e), e, np.log(literature) if literature else own)
        slope = np.exp(e)
        known = np.isfinite(context.log_iron)
        iron = np.where(
            known,
            np.exp(context.log_iron),
            _median(y[n:] / record.content[n:]) / slope,
        )
    iron_sd = np.where(known, context.log_iron_sd, NO_REFERENCE_SD)
    mean = slope * record.content
    mean[n:] = mean[n:] * iron
    return Expected(np.where(np.isfinite(mean), mean, 0.0), e_sd, iron_sd)


def _literature(scheme: Scheme) -> float:
    low, high = _NEAR_THE_PEAK_NM
    if scheme.analyte != "Fe" or not low <= scheme.wavelength_nm <= high:
        return 0.0
    return slope_per_mg_L(LITERATURE_ABSORPTIVITY, IRON_MOLAR_MASS_G, scheme.path_cm)


def _median(values: FloatArray) -> FloatArray:
    """Median over the first axis of what is not NaN."""
    ordered = np.sort(values, axis=0)
    count = np.sum(~np.isnan(values), axis=0)
    last = max(len(values) - 1, 0)
    low = np.minimum(np.maximum(count - 1, 0) // 2, last)
    high = np.minimum(count // 2, last)
    pick = np.take_along_axis
    return np.asarray(
        0.5 * (pick(ordered, low[None], 0)[0] + pick(ordered, high[None], 0)[0])
    )


def reading_variance(
    scheme: Scheme, record: Record, absorbance: FloatArray, level: CareLevel
) -> FloatArray:
    """Variance of one reading in absorbance at the given absorbances (P, N)."""
    reading, step = scheme.reading, steps(scheme, record)
    relative = getattr(reading, "sd_relative", 0.0)
    rounding = step**2 / 12.0
    if reading.scale == "absorbance":
        declared = (reading.sd * level.reading) ** 2
        of_light = np.zeros(())
    else:
        declared = (ABSORBANCE_PER_RELATIVE_T * relative * level.reading) ** 2
        of_light = np.asarray((reading.sd * level.reading) ** 2)
    on_light = ~record.is_absorbance
    of_light = of_light + np.where(on_light, rounding, 0.0)
    constant = declared + np.where(on_light, 0.0, rounding) + level.cell_sd**2
    per_percent = np.exp(np.clip(absorbance, -0.5, 3.0) / ABSORBANCE_PER_RELATIVE_T)
    per_percent *= ABSORBANCE_PER_RELATIVE_T / 100.0
    return np.asarray(constant + of_light * per_percent**2)


def tube_relative_variance(tubes: Sequence[Tube], level: CareLevel) -> FloatArray:
    """Relative variance of each tube from taking and making up, shape (P, 1)."""
    flask = level.flask**2
    return np.array([[_taking(t.take_mL, t.delivery, level) + flask] for t in tubes])


def chain_variance(chain: Sequence[Step], mass_g: float, level: CareLevel) -> float:
    """Relative variance of the last flask of a chain of dilutions."""
    total = (BALANCE_SD_G / mass_g) ** 2
    for step in chain:
        total += (
            _taking(step.take_mL, step.delivery, level)
            if step.is_take
            else level.flask**2
        )
    return total


def _taking(take_mL: float, delivery: str, level: CareLevel) -> float:
    absolute, relative = level.delivery.get(delivery, level.delivery["pipette"])
    return (absolute / take_mL) ** 2 + relative**2 if take_mL > 0.0 else 0.0


def solve(
    scheme: Scheme,
    record: Record,
    expected: Expected,
    level: CareLevel,
    scale: float = 1.0,
) -> Solved:
    """Invert the covariance of one level of care.

    ``scale`` multiplies every tube's standard deviation; above one, the chains are
    loose too: the level of what nothing explains.
    """
    n = record.n
    y, mean = record.absorbance, expected.mean
    variance = _tube_variance(scheme, record, mean, level) * scale**2
    weight = np.where(record.present, 1.0 / variance, 0.0)
    prior = _prior(scheme, expected, level, scale)
    standard, unknown = mean[:n], mean[n:]
    ws, wu = weight[:n], weight[n:]
    s1, u1 = (ws * standard).sum(0), (wu * unknown).sum(0)
    s2, u2 = (ws * standard**2).sum(0), (wu * unknown**2).sum(0)
    precision, log_prior = inverse(prior)
    inner = (
        precision[0] + weight.sum(0),
        precision[1] + s1,
        precision[2] + u1,
        precision[3] + s2,
        precision[4],
        precision[5] + u2,
    )
    spread, log_det = inverse(inner)
    residual = np.where(record.present, y - mean, 0.0)
    wr = weight * residual
    rho = (wr.sum(0), (wr[:n] * standard).sum(0), (wr[n:] * unknown).sum(0))
    turned = times(spread, rho)
    precise = wr.copy()
    precise[:n] -= ws * (turned[0] + standard * turned[1])
    precise[n:] -= wu * (turned[0] + unknown * turned[2])
    diagonal = weight.copy()
    diagonal[:n] -= ws**2 * (
        spread[0] + standard * (2 * spread[1] + standard * spread[3])
    )
    diagonal[n:] -= wu**2 * (
        spread[0] + unknown * (2 * spread[2] + unknown * spread[5])
    )
    count = record.present.sum(0)
    misfit = (residual * precise).sum(0)
    log_density = -0.5 * (
        misfit
        - np.log(np.where(record.present, weight, 1.0)).sum(0)
        + log_prior
        + log_det
        + count * np.log(2 * np.pi)
    )
    nothing = np.zeros_like(s1)
    on_standards = quadratic(spread, (s1, s2, nothing))
    on_unknown = quadratic(spread, (u1, nothing, u2))
    sides = (
        ((standard * precise[:n]).sum(0), np.maximum(s2 - on_standards, 0.0)),
        ((unknown * precise[n:]).sum(0), np.maximum(u2 - on_unknown, 0.0)),
    )
    return Solved(
        expected, n, weight, precise, diagonal, spread, log_density, misfit, sides
    )


def _tube_variance(
    scheme: Scheme, record: Record, mean: FloatArray, level: CareLevel
) -> FloatArray:
    """Variance of each tube's mean absorbance by itself, shape (P, N)."""
    y = record.absorbance
    tubes = (*scheme.standards, *scheme.unknowns)
    # At the end of the scale a reading says little of its own scatter.
    dark = y >= blackest(scheme, record) - 1e-9
    seen = np.where(dark, np.minimum(y, mean + 0.3), y)
    variance = reading_variance(scheme, record, seen, level) / np.maximum(
        record.replicates, 1.0
    )
    nearest = np.minimum(np.abs(y), np.abs(mean) * 1.5 + 0.05)
    variance += tube_relative_variance(tubes, level) * nearest**2
    return np.asarray(variance)


def _prior(
    scheme: Scheme, expected: Expected, level: CareLevel, scale: float
) -> tuple[FloatArray, ...]:
    """Covariance of zero, standards' scale and unknown's scale: six entries."""
    loose = UNEXPLAINED_CHAIN_SD**2 if scale > 1.0 else 0.0
    e = expected.absorptivity_sd**2
    kappa = chain_variance(scheme.standard_steps, scheme.standard_mass_g, level)
    kappa += scheme.purity_u**2 + loose
    unknown = chain_variance(scheme.unknown_steps, scheme.unknown_mass_g, level)
    eta = unknown + VIAL_SD**2 + expected.iron_sd**2 + loose
    nothing = np.zeros_like(e)
    zero = nothing + (scale * level.zero_sd) ** 2
    return (zero, nothing, nothing, e + kappa, e, e + eta)


def along(solved: Solved, direction: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return v'Pr and v'Pv of one direction v (P, N), P the precision matrix."""
    n, mean = solved.n, solved.expected.mean
    wv = solved.weight * direction
    part = (wv.sum(0), (wv[:n] * mean[:n]).sum(0), (wv[n:] * mean[n:]).sum(0))
    s = (direction * solved.precise_residual).sum(0)
    q = (direction * wv).sum(0) - quadratic(solved.spread, part)
    return s, np.maximum(q, 0.0)


def between(solved: Solved, i: int, j: int) -> FloatArray:
    """Entry (i, j) of the precision matrix, i and j being different tubes."""
    n, mean, g = solved.n, solved.expected.mean, solved.spread
    left, right = mean[i], mean[j]
    row, column = (1 if i < n else 2), (1 if j < n else 2)
    corner = {(1, 1): 3, (1, 2): 4, (2, 1): 4, (2, 2): 5}[row, column]
    inner = g[0] + left * g[row] + right * g[column] + left * right * g[corner]
    return np.asarray(-solved.weight[i] * solved.weight[j] * inner)
