"""Records as they may have been meant: other scale, decimal point, black tubes.

Some slips put a value where no honest one lies, so far off that no shift about the
model describes it.  Such a record is looked at twice, as typed and as probably meant,
and the two are weighed against each other.
"""

from dataclasses import dataclass, replace

import numpy as np

from results.science.arrays import BoolArray, FloatArray, IntArray
from results.science.diagnosis.assumptions import (
    ABSORBANCE_STEP,
    MASS_DECADE,
    MASS_MARGIN,
    OFF_STEP,
)
from results.science.diagnosis.hypotheses import log_rate
from results.science.diagnosis.record import Record, blackest, steps
from results.science.dilution import Scheme

LOG_10 = float(np.log(10.0))


@dataclass(frozen=True, slots=True)
class Version:
    """Another reading of some groups' records.

    Attributes
    ----------
    origin : array of int (K,)
        The groups it is about.
    record : Record
        Of K groups.
    log_weight : array (K,)
        Log prior of this version against the record as typed, cells included.
    shape : str
        The slip that makes it; empty if it only looks at black tubes otherwise.
    tube : array of int (K,)
        The tube concerned; -1 for all.
    """

    origin: IntArray
    record: Record
    log_weight: FloatArray
    shape: str
    tube: IntArray

    def rows(self, chosen: IntArray) -> "Version":
        """Return the version of some of its groups."""
        return Version(
            self.origin[chosen],
            self.record.rows(chosen),
            self.log_weight[chosen],
            self.shape,
            self.tube[chosen],
        )


def versions(
    scheme: Scheme, record: Record, mixed: BoolArray, slipped: FloatArray
) -> list[Version]:
    """List the other versions of every record that has one.

    Parameters
    ----------
    scheme : Scheme
    record : Record
    mixed : array of bool (P, N)
        Tubes whose values look as if read on the other scale.
    slipped : array (N,)
        How likely a slip is before looking.
    """
    found = [
        *_by_a_slip(_other_scale(scheme, record, mixed), slipped),
        *_by_a_slip(_other_mass(scheme, record), slipped),
        _without_black(scheme, record),
    ]
    both = [one for one in found if one.shape and len(one.origin)]
    found += [version for one in both for version in _then_black(scheme, one)]
    return [one for one in found if len(one.origin)]


def _by_a_slip(listed: list[Version], slipped: FloatArray) -> list[Version]:
    return [
        replace(one, log_weight=one.log_weight + np.log(slipped[one.origin]))
        for one in listed
    ]


def _other_scale(scheme: Scheme, record: Record, mixed: BoolArray) -> list[Version]:
    count = (mixed & record.present).sum(axis=0)
    every = count == record.present.sum(axis=0)
    return [
        _rescaled(scheme, record, mixed, np.flatnonzero((count > 0) & every)),
        _rescaled(scheme, record, mixed, np.flatnonzero((count > 0) & ~every)),
    ]


def _rescaled(
    scheme: Scheme, record: Record, mixed: BoolArray, rows: IntArray
) -> Version:
    part, marked = record.rows(rows), mixed[:, rows]
    step = steps(scheme, part)
    on_absorbance = part.is_absorbance
    with np.errstate(all="ignore"):
        other = np.where(
            on_absorbance, 2.0 - np.log10(part.signal), 100.0 * 10.0**-part.signal
        )
        # Cell of the value as typed, over that of the value meant, in absorbance.
        typed_cell = np.where(on_absorbance, step, step / part.signal / LOG_10)
        meant_cell = np.where(on_absorbance, 0.5 / other / LOG_10, ABSORBANCE_STEP)
        gain = np.log(meant_cell / typed_cell)
        off = np.abs(part.signal / step - np.rint(part.signal / step)) > 1e-6
    gain = gain - np.where(off & ~on_absorbance, np.log(OFF_STEP), 0.0)
    gain = np.where(marked & np.isfinite(gain), gain, 0.0).sum(axis=(0, 1))
    whole = (marked & part.present).sum(axis=0) == part.present.sum(axis=0)
    shape = "scale_all" if len(rows) and whole.all() else "scale_one"
    tubes = max(len(marked), 1)
    rate = log_rate(shape) - (np.log(tubes) if shape == "scale_one" else 0.0)
    if shape == "scale_all":
        meant = part.with_signal(part.signal)
        other = np.where(marked, other, part.signal)
    meant = part.with_signal(np.where(marked, other, part.signal))
    one = marked.sum(axis=0) == 1
    tube = np.where(one, np.argmax(marked, axis=0), -1)
    return Version(rows, meant, rate + gain, shape, tube)


def _other_mass(scheme: Scheme, record: Record) -> list[Version]:
    salt_g = _meant_mass(record.standard_mass_g, scheme.standard_mass_g)
    powder_g = _meant_mass(record.unknown_mass_g, scheme.unknown_mass_g)
    salt = np.isfinite(salt_g)
    powder = np.isfinite(powder_g)
    found = []
    for shape, which in (
        ("salt_mass_decimal", salt & ~powder),
        ("unknown_mass_decimal", powder & ~salt),
        ("salt_mass_decimal", salt & powder),
    ):
        rows = np.flatnonzero(which)
        part = record.rows(rows)
        standard_g = np.where(salt[rows], salt_g[rows], part.standard_mass_g)
        unknown_g = np.where(powder[rows], powder_g[rows], part.unknown_mass_g)
        weight = np.full(len(rows), log_rate(shape) - np.log(MASS_DECADE))
        meant = part.with_masses(standard_g, unknown_g)
        found.append(Version(rows, meant, weight, shape, np.full(len(rows), -1)))
    return found


def _meant_mass(mass_g: FloatArray, plan_g: float) -> FloatArray:
    """Mass with the decimal point moved to where the plan has it, NaN if in place."""
    with np.errstate(all="ignore"):
        decades = np.rint(np.log10(mass_g / plan_g))
        meant = mass_g / 10.0**decades
    near = np.abs(meant / plan_g - 1.0) <= MASS_MARGIN
    return np.where((decades != 0.0) & near, meant, np.nan)


def _without_black(scheme: Scheme, record: Record) -> Version:
    black = _black(scheme, record)
    rows = np.flatnonzero(black.any(axis=0))
    return _leave_out(scheme, record.rows(rows), rows, black[:, rows])


def _then_black(scheme: Scheme, version: Version) -> list[Version]:
    black = _black(scheme, version.record)
    rows = np.flatnonzero(black.any(axis=0))
    if not len(rows):
        return []
    part = version.record.rows(rows)
    left = _leave_out(scheme, part, version.origin[rows], black[:, rows])
    weight = left.log_weight + version.log_weight[rows]
    return [
        Version(left.origin, left.record, weight, version.shape, version.tube[rows])
    ]


def _leave_out(
    scheme: Scheme, part: Record, origin: IntArray, black: BoolArray
) -> Version:
    """Say only that black tubes are black, whatever their absorbance.

    The record as typed has a density for them; one over the cell of a value at the
    end of the scale makes the two comparable.
    """
    end = blackest(scheme, part)
    cell = np.where(
        part.is_absorbance,
        0.3,
        steps(scheme, part) / (100.0 * 10.0**-end) / LOG_10,
    )
    weight = -np.log(cell) * black.sum(axis=0)
    return Version(origin, part.without(black), weight, "", np.full(len(origin), -1))


def _black(scheme: Scheme, record: Record) -> BoolArray:
    end = blackest(scheme, record) - 1e-9
    return record.present & (record.absorbance >= end)
