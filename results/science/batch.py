"""Submissions laid out for the calibration: sorted by what is missing of them."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from results.science.arrays import BoolArray, FloatArray, IntArray, running_sum
from results.science.budget import (
    SharedVariance,
    TubeFill,
    shared_variance,
    tube_fill,
)
from results.science.calibration import Method, Setting, Tubes, calibrate
from results.science.class_scale import ClassScale
from results.science.dilution import MILLIGRAMS_PER_GRAM, Scheme, working_mg_L
from results.science.estimate import (
    Solid,
    answer_fields,
    line_fields,
)
from results.science.formula import molar_mass
from results.science.outcome import LINE_FIELDS, Reason
from results.science.photometry import slope_per_mg_L
from results.science.readings import Readings, TubeReadings, meter_of, read_tubes
from results.science.result import CODE, NUMBERS, TELLING, Result

FEWEST_STANDARDS = 3


@dataclass(frozen=True, slots=True)
class Terms:
    """What all submissions of one computation share."""

    scheme: Scheme
    method: Method
    scale: ClassScale
    shared: SharedVariance
    standard_fill: TubeFill
    unknown_fill: TubeFill
    molar: float

    @classmethod
    def of(cls, scheme: Scheme, method: Method, scale: ClassScale) -> "Terms":
        """Work out what depends on the scheme alone."""
        slope_of_one = slope_per_mg_L(1.0, molar_mass(scheme.analyte), scheme.path_cm)
        return cls(
            scheme=scheme,
            method=method,
            scale=scale,
            shared=shared_variance(scheme),
            standard_fill=tube_fill(scheme, scheme.standards),
            unknown_fill=tube_fill(scheme, scheme.unknowns),
            molar=1.0 / slope_of_one,
        )


@dataclass(frozen=True, slots=True)
class _Side:
    """All tubes of one side of C submissions, usable or not; fields (k, C)."""

    content: FloatArray
    taken_mL: FloatArray
    readings: TubeReadings
    fill: TubeFill
    usable: BoolArray
    count: IntArray

    def tubes(self, place: IntArray | slice, count: int) -> Tubes:
        """Bring the usable tubes of submissions that have so many to the front."""
        read = self.readings
        arrays = (self.content, read.absorbance, read.replicates, read.within)
        if isinstance(place, slice):
            return Tubes(*arrays, self.fill.variance(self.taken_mL, None))
        order = np.argsort(~self.usable[:, place], axis=0, kind="stable")[:count]
        fill = self.fill.variance(self.taken_mL[order, place], order)
        content, absorbance, replicates, within = (a[order, place] for a in arrays)
        return Tubes(content, absorbance, replicates, within, fill)


def compute_rows(
    terms: Terms, readings: Readings, flagged: BoolArray, result: Result
) -> None:
    """Compute one chunk of submissions and write it into the result."""
    chunk = _Chunk(terms, readings, flagged)
    result.concentration_mg_L[:] = chunk.standards.content[chunk.first :].T
    result.standard_absorbance[:] = chunk.standards.readings.absorbance[chunk.first :].T
    result.unknown_absorbance[:] = chunk.unknowns.readings.absorbance.T
    result.n_standards[:] = chunk.n_standards
    result.n_unknowns[:] = chunk.unknowns.count
    for place, n, m in chunk.alike():
        if n < FEWEST_STANDARDS:
            result.numbers[:, place] = np.nan
        else:
            _compute_alike(chunk, place, (n + chunk.first, m), result)
    _give_reasons(chunk, result)


class _Chunk:
    """Some submissions laid out tubes first; ``first`` standards are blanks."""

    def __init__(self, terms: Terms, readings: Readings, flagged: BoolArray) -> None:
        scheme = terms.scheme
        self.terms = terms
        self.flagged = flagged
        self.meter = meter_of(scheme.reading, readings)
        self.standard_mass_g = _positive(readings.standard_mass_g)
        self.unknown_mass_g = _positive(readings.unknown_mass_g)
        self.standards = self._standards(readings)
        self.unknowns = self._unknowns(readings)
        self.first = int(scheme.use_blank)
        self.n_standards = self.standards.count - self.first

    def alike(self) -> Iterator[tuple[IntArray | slice, int, int]]:
        """Sort the submissions by how many tubes they have of either side."""
        every = (len(self.standards.usable) - self.first, len(self.unknowns.usable))
        if self.standards.usable.all() and self.unknowns.usable.all():
            yield slice(None), *every
            return
        key = self.n_standards * (every[1] + 1) + self.unknowns.count
        for one in np.unique(key).tolist():
            yield np.flatnonzero(key == one), *divmod(one, every[1] + 1)

    def setting(self, place: IntArray | slice) -> Setting:
        """How some of the submissions are computed."""
        terms = self.terms
        meter = self.meter.rows(place)
        return Setting(terms.method, meter, terms.scale, self.flagged[place])

    def solid(self, place: IntArray | slice, mean_share: FloatArray) -> Solid:
        """Describe the solids weighed; ``mean_share`` is taken ÷ made up."""
        u_g = self.terms.shared.balance_u_g
        unknown_g = self.unknown_mass_g[place]
        standard = (u_g / self.standard_mass_g[place]) ** 2
        chain = MILLIGRAMS_PER_GRAM * self.terms.scheme.unknown_chain_per_litre[-1]
        return Solid(
            percent_per_mg_L=100.0 / (unknown_g * chain * mean_share),
            masses=standard + (u_g / unknown_g) ** 2,
            standard_mass=standard,
            shared=self.terms.shared,
            molar=self.terms.molar,
        )

    def _standards(self, readings: Readings) -> _Side:
        taken_mL = readings.standard_taken_mL
        possible = np.isfinite(taken_mL) & (taken_mL >= 0.0)
        taken_mL = np.where(possible, taken_mL, np.nan)
        columns_mL = np.ascontiguousarray(taken_mL.T)
        working = working_mg_L(self.terms.scheme, self.standard_mass_g)
        content = working * columns_mL / self.terms.scheme.standard_make_up_mL[:, None]
        tubes = read_tubes(readings.standard_signal, readings.is_absorbance)
        side = _side(content, columns_mL, tubes, self.terms.standard_fill)
        return _with_blank(side, readings) if self.terms.scheme.use_blank else side

    def _unknowns(self, readings: Readings) -> _Side:
        taken_mL = np.ascontiguousarray(_positive(readings.unknown_taken_mL).T)
        share = taken_mL / self.terms.scheme.unknown_make_up_mL[:, None]
        tubes = read_tubes(readings.unknown_signal, readings.is_absorbance)
        return _side(share, taken_mL, tubes, self.terms.unknown_fill)


def _side(
    content: FloatArray, taken_mL: FloatArray, tubes: TubeReadings, fill: TubeFill
) -> _Side:
    usable = np.isfinite(content) & np.isfinite(tubes.absorbance)
    return _Side(content, taken_mL, tubes, fill, usable, _count(usable))


def _count(usable: BoolArray) -> IntArray:
    """Count the usable tubes of each submission."""
    tubes, submissions = usable.shape
    if usable.all():
        return np.full(submissions, tubes, dtype=np.int64)
    return np.asarray(np.sum(usable, axis=0), dtype=np.int64)


def _positive(values: FloatArray) -> FloatArray:
    """Take a mass or volume that cannot be as missing."""
    return np.where((values > 0.0) & np.isfinite(values), values, np.nan)


def _with_blank(side: _Side, readings: Readings) -> _Side:
    """Put the reagent blank before the standards, as a point without analyte."""
    blank = read_tubes(readings.blank_signal[:, None, :], readings.is_absorbance)
    read, fill, given = side.readings, side.fill, np.isfinite(blank.absorbance)
    nothing = np.zeros_like(blank.absorbance)
    usable = np.vstack([np.ones_like(given), side.usable])
    return _Side(
        content=np.vstack([nothing, side.content]),
        taken_mL=np.vstack([nothing, side.taken_mL]),
        readings=TubeReadings(
            np.vstack([np.where(given, blank.absorbance, 0.0), read.absorbance]),
            np.vstack([np.where(given, blank.replicates, 1.0), read.replicates]),
            np.vstack([np.where(given, blank.within, 0.0), read.within]),
        ),
        fill=TubeFill(
            np.insert(fill.flasks, 0, 0.0),
            np.insert(fill.fixed, 0, 0.0),
            np.insert(fill.proportional, 0, 0.0),
            np.insert(fill.by_burette, 0, fill.by_burette[0]),
        ),
        usable=usable,
        count=_count(usable),
    )


def _compute_alike(
    chunk: _Chunk, place: IntArray | slice, counts: tuple[int, int], result: Result
) -> None:
    """Compute submissions that have as many usable tubes as one another."""
    setting = chunk.setting(place)
    calibration = calibrate(chunk.standards.tubes(place, counts[0]), setting)
    found = line_fields(calibration, chunk.terms.molar)
    if counts[1]:
        unknowns = chunk.unknowns.tubes(place, counts[1])
        mean_share = running_sum(unknowns.content) / counts[1]
        unknowns = unknowns.with_content(unknowns.content / mean_share)
        solid = chunk.solid(place, mean_share)
        found |= answer_fields(calibration, unknowns, solid, setting)
    result.put(place, found)


def _give_reasons(chunk: _Chunk, result: Result) -> None:
    """Name the first thing that stands in the way of each answer."""
    value = dict(zip(NUMBERS, result.numbers, strict=True))
    weighed = np.isfinite(chunk.standard_mass_g * chunk.unknown_mass_g)
    # Only absurd readings get here: numbers that overflow on the way.
    finite = np.isfinite(running_sum(result.numbers[place] for place in TELLING))
    obstacles = (
        (~weighed, Reason.NO_MASS),
        (result.n_standards < FEWEST_STANDARDS, Reason.TOO_FEW_STANDARDS),
        (np.isnan(value["slope"]), Reason.STANDARDS_ALL_ALIKE),
        (~(value["slope"] > 0.0), Reason.LINE_NOT_RISING),
        (result.n_unknowns == 0, Reason.NO_UNKNOWN_READING),
        (~(value["fieller_g"] < 1.0), Reason.NO_FINITE_INTERVAL),
        (~(value["unknown_mg_L"] > 0.0), Reason.UNKNOWN_NOT_ABOVE_ZERO),
        (~finite, Reason.NO_FINITE_INTERVAL),
    )
    for condition, reason in reversed(obstacles):
        result.reason[condition] = CODE[reason]
    failed = np.flatnonzero(result.reason)
    result.numbers[len(LINE_FIELDS) :, failed] = np.nan
