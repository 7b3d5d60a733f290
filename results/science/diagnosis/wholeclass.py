"""Slips that only show against other groups; for staff alone."""

from collections import defaultdict

import numpy as np

from results.science.arrays import FloatArray, IntArray
from results.science.diagnosis.finding import Finding

#: Assumed shares of groups whose readings were copied, or whose vial was another's.
COPIED, OTHER_LOT = 0.005, 0.008
#: Two careful groups agree by chance at least this often; their tubes are not
#: independent, so that the product of the tubes' chances is too small.
RAREST = 1e-6
#: Readings that fewer tubes share prove nothing.
FEWEST_TUBES = 4
#: Decimals of a reading that was typed; further ones are a computer's.
_PLACES = 6
#: How sure one group's iron content is, relative sd, unless it is given.
IRON_SD = 0.015
#: An iron content this many sds off its own lot is not that lot's.
FAR = 4.0


def same_readings(percent_T: FloatArray, groups: IntArray) -> list[Finding]:
    """Find groups whose readings are the same value for value.

    Parameters
    ----------
    percent_T : array (N, P)
        Readings as typed, tube by tube; NaN where missing.
    groups : array of int (N,)
        Which group each row is of; two rows of one group are no finding.

    Returns
    -------
    list of Finding
        One for each row concerned; ``groups`` in its numbers counts those that share
        the readings.  Shared instruments and stocks are often allowed: it is a
        reason to talk, no proof of anything.
    """
    readings = np.asarray(percent_T, dtype=np.float64).round(_PLACES)
    enough = np.isfinite(readings).sum(axis=1) >= FEWEST_TUBES
    alike: dict[bytes, list[int]] = defaultdict(list)
    for row in np.flatnonzero(enough).tolist():
        alike[readings[row].tobytes()].append(row)
    several = [rows for rows in alike.values() if len(rows) > 1]
    chances = _chances_of_equality(readings, [rows[0] for rows in several])
    found = []
    for rows, chance in zip(several, chances, strict=True):
        distinct = np.unique(np.asarray(groups)[rows]).size
        if distinct < 2:
            continue
        honest = max(chance, RAREST) * len(readings)
        probability = COPIED / (COPIED + honest)
        numbers = {
            "groups": float(distinct),
            "tubes": float(np.isfinite(readings[rows[0]]).sum()),
        }
        found += [
            Finding(row, "same_readings", "", float(probability), numbers)
            for row in rows
        ]
    return sorted(found, key=lambda finding: finding.row)


def other_lot(
    log_iron: FloatArray,
    lots: IntArray,
    assigned_log_iron: FloatArray,
    sd: FloatArray | float = IRON_SD,
) -> list[Finding]:
    """Find groups whose iron content is another issued lot's, not their own.

    Parameters
    ----------
    log_iron : array (N,)
        Log of each group's own iron content.
    lots : array of int (N,)
        Place of each group's lot in ``assigned_log_iron``.
    assigned_log_iron : array (L,)
        Log of the lots' assigned values.
    sd : array (N,) or float
        Relative standard uncertainty of each group's iron content.

    Returns
    -------
    list of Finding
        Staff only: it compares with assigned values.  ``lot`` in its numbers is the
        place of the other lot.
    """
    spread = np.broadcast_to(np.asarray(sd, dtype=np.float64), np.shape(log_iron))
    away = np.asarray(log_iron)[:, None] - np.asarray(assigned_log_iron)[None, :]
    z = away / spread[:, None]
    own = np.take_along_axis(z, np.asarray(lots)[:, None], axis=1)[:, 0]
    own_lot = np.arange(z.shape[1])[None, :] == np.asarray(lots)[:, None]
    others = np.where(own_lot | ~np.isfinite(z), np.inf, np.abs(z))
    found = []
    for row in np.flatnonzero(np.abs(own) > FAR).tolist():
        best = int(np.argmin(others[row]))
        if others[row, best] > 3.0:
            continue
        # Anywhere within a factor of two, had it nothing to do with a lot.
        elsewhere = spread[row] * np.sqrt(2.0 * np.pi) / (2.0 * np.log(2.0))
        fit = np.exp(-0.5 * others[row] ** 2)
        fit = float(fit.sum() / max(z.shape[1] - 1, 1))
        odds = OTHER_LOT * fit / (10.0 * OTHER_LOT * elsewhere)
        numbers = {
            "lot": float(best),
            "iron_percent": float(np.exp(log_iron[row])),
            "other_iron_percent": float(np.exp(assigned_log_iron[best])),
        }
        found.append(Finding(row, "other_lot", "", float(odds / (1.0 + odds)), numbers))
    return found


def _chances_of_equality(readings: FloatArray, rows: list[int]) -> list[float]:
    """By chosen row, the chance that an unrelated group types the very same values."""
    log_chance = np.zeros(len(rows))
    for column in readings.T if rows else ():
        values, counts = np.unique(column[np.isfinite(column)], return_counts=True)
        own = column[rows]
        read = np.isfinite(own)
        equal = counts[np.searchsorted(values, own[read])]
        # The two that are alike themselves say nothing about the others.
        others, others_equal = max(counts.sum() - 2, 0), np.maximum(equal - 2, 0)
        log_chance[read] += np.log((others_equal + 0.5) / (others + 1))
    chances: list[float] = np.exp(log_chance).tolist()
    return chances
