"""Readings as the diagnosis takes them: tubes on the first axis, groups on the last."""

from dataclasses import dataclass, fields, replace

import numpy as np

from results.science.answer import Readings
from results.science.arrays import BoolArray, FloatArray, IntArray
from results.science.diagnosis.assumptions import ABSORBANCE_STEP, FLOOR_STEPS
from results.science.dilution import Scheme, concentrations, iron_percent


@dataclass(frozen=True, slots=True)
class Record:
    """N groups' tubes, P = n standards and then m unknown tubes.

    Attributes
    ----------
    n : int
        Number of standards.
    signal : array (R, P, N)
        As typed, on each group's scale; NaN if missing.
    absorbance : array (P, N)
        Mean of the replicates; zero where missing.
    replicates : array (P, N)
        How many there are; zero where missing.
    content : array (P, N)
        mg/L in a standard; in an unknown tube, mg/L for each percent of iron.
    taken_mL : array (P, N)
    standard_mass_g, unknown_mass_g : array (N,)
    is_absorbance : array of bool (N,)
    """

    n: int
    signal: FloatArray
    absorbance: FloatArray
    replicates: FloatArray
    content: FloatArray
    taken_mL: FloatArray
    standard_mass_g: FloatArray
    unknown_mass_g: FloatArray
    is_absorbance: BoolArray

    def __len__(self) -> int:
        return int(self.absorbance.shape[1])

    @property
    def present(self) -> BoolArray:
        """Tubes that can be looked at, shape (P, N)."""
        return self.replicates > 0.0

    def rows(self, chosen: IntArray | slice | BoolArray) -> "Record":
        """Return some of the groups."""
        return Record(
            self.n,
            self.signal[..., chosen],
            self.absorbance[:, chosen],
            self.replicates[:, chosen],
            self.content[:, chosen],
            self.taken_mL[:, chosen],
            self.standard_mass_g[chosen],
            self.unknown_mass_g[chosen],
            self.is_absorbance[chosen],
        )

    def without(self, missing: BoolArray) -> "Record":
        """Return the record with some tubes (P, N) left out."""
        return replace(
            self,
            absorbance=np.where(missing, 0.0, self.absorbance),
            replicates=np.where(missing, 0.0, self.replicates),
        )

    def with_masses(self, standard_g: FloatArray, unknown_g: FloatArray) -> "Record":
        """Return the record as it would be with other masses."""
        content = self.content.copy()
        content[: self.n] *= standard_g / self.standard_mass_g
        content[self.n :] *= unknown_g / self.unknown_mass_g
        return replace(
            self,
            content=content,
            standard_mass_g=standard_g,
            unknown_mass_g=unknown_g,
        )

    def with_signal(self, signal: FloatArray) -> "Record":
        """Return the record as it would be with other values typed."""
        absorbance, replicates = _mean_absorbance(signal, self.is_absorbance)
        usable = np.isfinite(self.content)
        return replace(
            self,
            signal=signal,
            absorbance=np.where(usable, absorbance, 0.0),
            replicates=np.where(usable, replicates, 0.0),
        )


def lay_out(scheme: Scheme, readings: Readings) -> Record:
    """Turn readings into a record; what cannot be used is missing."""
    signal = np.concatenate([readings.standard_signal, readings.unknown_signal], 1)
    taken = np.concatenate([readings.standard_taken_mL, readings.unknown_taken_mL], 1)
    salt_g = _positive(readings.standard_mass_g)
    powder_g = _positive(readings.unknown_mass_g)
    with np.errstate(all="ignore"):
        standards = concentrations(scheme, salt_g, readings.standard_taken_mL)
        one = np.ones_like(readings.unknown_taken_mL)
        percent = iron_percent(scheme, one, powder_g, readings.unknown_taken_mL)
        content = np.concatenate([standards, 1.0 / percent], axis=1).T
    content = np.where(np.isfinite(content) & (content >= 0.0), content, np.nan)
    empty = np.zeros(content.shape)
    record = Record(
        n=readings.standard_signal.shape[1],
        signal=np.ascontiguousarray(np.moveaxis(signal, 0, -1).swapaxes(0, 1)),
        absorbance=empty,
        replicates=empty,
        content=np.ascontiguousarray(content),
        taken_mL=np.ascontiguousarray(taken.T),
        standard_mass_g=salt_g,
        unknown_mass_g=powder_g,
        is_absorbance=readings.is_absorbance,
    )
    return record.with_signal(record.signal)


def join(records: list[Record]) -> Record:
    """Put records of one scheme side by side."""
    arrays = [
        np.concatenate([getattr(one, f.name) for one in records], axis=-1)
        for f in fields(Record)
        if f.name != "n"
    ]
    return Record(records[0].n, *arrays)


def steps(scheme: Scheme, record: Record) -> FloatArray:
    """Smallest step of each group's scale, shape (N,)."""
    declared = scheme.reading.step
    on_light = scheme.reading.scale == "percent_T"
    light = declared if on_light else 0.1
    absorbance = ABSORBANCE_STEP if on_light else declared
    return np.where(record.is_absorbance, absorbance, light)


def blackest(scheme: Scheme, record: Record) -> FloatArray:
    """Absorbance at which each group's meter has reached its end, shape (N,)."""
    floor = np.maximum(FLOOR_STEPS * steps(scheme, record), 0.5)
    with np.errstate(all="ignore"):
        light = 2.0 - np.log10(floor)
    return np.where(record.is_absorbance, 2.0, light)


def _positive(values: FloatArray) -> FloatArray:
    with np.errstate(invalid="ignore"):
        return np.where(np.isfinite(values) & (values > 0.0), values, np.nan)


def _mean_absorbance(
    signal: FloatArray, is_absorbance: BoolArray
) -> tuple[FloatArray, FloatArray]:
    """Mean absorbance (0 if missing) and number of replicates, shape (P, N)."""
    with np.errstate(all="ignore"):
        absorbance = np.where(is_absorbance, signal, 2.0 - np.log10(signal))
    usable = np.isfinite(absorbance) & (np.abs(absorbance) < 1e3)
    count = np.zeros(signal.shape[1:])
    total = np.zeros(signal.shape[1:])
    for one, ok in zip(absorbance, usable, strict=True):
        total += np.where(ok, one, 0.0)
        count += ok
    return total / np.maximum(count, 1.0), count
