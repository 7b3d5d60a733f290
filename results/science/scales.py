"""Recognises absorbances typed as percent transmittance, and the reverse."""

import numpy as np

from results.science.answer import Readings
from results.science.arrays import BoolArray, FloatArray

#: Below this many %T a reading looks like an absorbance; above it, as an absorbance,
#: like a percent transmittance.  A teaching meter can show neither usefully.
LARGEST_ABSORBANCE = 2.6


def other_scale(readings: Readings) -> BoolArray:
    """Mark the tubes whose values look as if read on the other scale.

    A single tube is marked only if the rest of the group's readings are ordinary,
    all tubes only if the standards run the other way, as they do on that scale.

    Returns
    -------
    array of bool (N, n + m)
        Standards, then unknowns.
    """
    values = tube_values(readings)
    n = readings.standard_signal.shape[1]
    on_absorbance = readings.is_absorbance[:, None]
    with np.errstate(invalid="ignore"):
        looks_other = np.where(
            on_absorbance, values > LARGEST_ABSORBANCE, values < LARGEST_ABSORBANCE
        ) & (values > 0.0)
    typed = ~np.isnan(values)
    share = looks_other.sum(axis=1) / np.maximum(typed.sum(axis=1), 1)
    rising = _trend(readings.standard_taken_mL, values[:, :n])
    # Absorbance rises with the volume taken, transmittance falls.
    whole = (share > 0.5) & np.where(readings.is_absorbance, rising < 0.0, rising > 0.0)
    single = (share > 0.0) & (share <= 0.34) & _ordinary_without(values, looks_other)
    return np.asarray(looks_other & (whole | single)[:, None])


def unreadable(readings: Readings) -> BoolArray:
    """Mark the tubes with a reading at or below zero percent transmittance.

    Returns
    -------
    array of bool (N, n + m)
    """
    signals = np.concatenate([readings.standard_signal, readings.unknown_signal], 1)
    bad = np.any(signals <= 0.0, axis=-1)
    return np.asarray(bad & ~readings.is_absorbance[:, None])


def tube_values(readings: Readings) -> FloatArray:
    """Median of each tube's replicates as typed, shape (N, n + m)."""
    signals = np.concatenate([readings.standard_signal, readings.unknown_signal], 1)
    present = np.sum(~np.isnan(signals), axis=-1)
    ordered = np.sort(signals, axis=-1)
    middle = np.maximum(present - 1, 0) // 2
    values = np.take_along_axis(ordered, middle[..., None], axis=-1)[..., 0]
    return np.asarray(values, dtype=np.float64)


def _trend(taken_mL: FloatArray, values: FloatArray) -> FloatArray:
    """Sign of the covariance of the values with the volumes taken."""
    both = np.isfinite(taken_mL) & np.isfinite(values)
    count = np.maximum(both.sum(axis=1), 1)[:, None]
    x, y = np.where(both, taken_mL, 0.0), np.where(both, values, 0.0)
    dx = np.where(both, x - x.sum(axis=1)[:, None] / count, 0.0)
    return np.asarray(np.sign(np.sum(dx * y, axis=1)))


def _ordinary_without(values: FloatArray, looks_other: BoolArray) -> BoolArray:
    """Whether the other tubes are far from the marked ones, as ordinary ones are."""
    with np.errstate(invalid="ignore"):
        rest = np.where(looks_other | np.isnan(values), np.nan, values)
        marked = np.where(looks_other, values, np.nan)
        rest_low = np.min(np.where(np.isnan(rest), np.inf, rest), axis=1)
        rest_high = np.max(np.where(np.isnan(rest), -np.inf, rest), axis=1)
        low = np.min(np.where(np.isnan(marked), np.inf, marked), axis=1)
        high = np.max(np.where(np.isnan(marked), -np.inf, marked), axis=1)
        # Three times apart: a real tube at 2 %T stands next to one at 5 %T.
        return np.asarray((rest_low > 3.0 * high) | (low > 3.0 * rest_high))
