"""The readings of many submissions, and the tubes they were taken of."""

from dataclasses import dataclass, field, fields

import numpy as np

from results.science.arrays import BoolArray, FloatArray, IntArray, running_sum
from results.science.noise import Meter
from results.science.photometry import usable_absorbance
from results.science.scheme import Reading


def _not_given() -> FloatArray:
    return np.empty(0)


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
    step, sd : array (N,), optional
        Smallest step and standard deviation of the group's own meter, in units of
        its own scale; NaN, or nothing given, for what the scheme says.
    blank_signal : array (N, B), optional
        Readings of the reagent blank against the solvent.
    """

    standard_mass_g: FloatArray
    unknown_mass_g: FloatArray
    standard_taken_mL: FloatArray
    unknown_taken_mL: FloatArray
    standard_signal: FloatArray
    unknown_signal: FloatArray
    is_absorbance: BoolArray
    step: FloatArray = field(default_factory=_not_given)
    sd: FloatArray = field(default_factory=_not_given)
    blank_signal: FloatArray = field(default_factory=_not_given)

    def __post_init__(self) -> None:
        groups = len(self.standard_mass_g)
        for name in ("step", "sd"):
            if not getattr(self, name).size:
                object.__setattr__(self, name, np.full(groups, np.nan))
        if not self.blank_signal.size:
            object.__setattr__(self, "blank_signal", np.full((groups, 1), np.nan))

    def __len__(self) -> int:
        return len(self.standard_mass_g)

    def rows(self, chosen: slice | IntArray) -> "Readings":
        """Keep some of the submissions, in the order given."""
        return Readings(
            **{item.name: getattr(self, item.name)[chosen] for item in fields(self)}
        )


@dataclass(frozen=True, slots=True)
class TubeReadings:
    """Tubes of many groups, tubes first: every field has shape (k, N).

    ``absorbance`` is the mean of ``replicates`` readings, NaN where there is none;
    ``within`` the sum of their squared deviations from it.
    """

    absorbance: FloatArray
    replicates: FloatArray
    within: FloatArray


def read_tubes(signal: FloatArray, is_absorbance: BoolArray) -> TubeReadings:
    """Convert every replicate to absorbance, then average each tube's.

    Parameters
    ----------
    signal : array (N, k, R)
    is_absorbance : array of bool (N,)
    """
    columns = np.ascontiguousarray(np.moveaxis(signal, 0, -1).swapaxes(0, 1))
    values = usable_absorbance(columns, is_absorbance)
    if len(values) == 1:
        count = np.where(np.isnan(values[0]), 0.0, 1.0)
        return TubeReadings(values[0], count, np.zeros_like(count))
    present = ~np.isnan(values)
    count = running_sum(present.astype(np.float64)) + np.zeros(values.shape[1:])
    mean = running_sum(np.where(present, values, 0.0)) / count
    deviation = np.where(present, values - mean, 0.0)
    return TubeReadings(mean, count, running_sum(deviation * deviation))


def meter_of(reading: Reading, readings: Readings) -> Meter:
    """Scatter of each group's meter: its own figures, or else the scheme's.

    What a group states is in units of its own scale, what the scheme states in
    units of the scheme's, whichever scale the group reads.
    """
    scheme_in_A = np.full(len(readings), reading.scale == "absorbance")
    light, absorbance = np.zeros(len(readings)), np.zeros(len(readings))
    parts = (
        (readings.sd, reading.sd, 1.0),
        (readings.step, reading.step, 1.0 / 12.0),
    )
    for own, declared, factor in parts:
        given = np.isfinite(own) & (own >= 0.0)
        if not given.any():
            everywhere = light if reading.scale == "percent_T" else absorbance
            everywhere += factor * declared**2
            continue
        variance = factor * np.where(given, own, declared) ** 2
        in_A = np.where(given, readings.is_absorbance, scheme_in_A)
        light += np.where(in_A, 0.0, variance)
        absorbance += np.where(in_A, variance, 0.0)
    return Meter(
        light_variance=light,
        absorbance_variance=absorbance,
        light_relative=0.0 if scheme_in_A.any() else reading.sd_relative,
        absorbance_relative=reading.sd_relative if scheme_in_A.any() else 0.0,
    )
