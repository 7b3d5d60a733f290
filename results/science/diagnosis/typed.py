"""What may have been meant by a value that was typed."""

from dataclasses import dataclass

import numpy as np

from results.science.arrays import BoolArray, FloatArray, IntArray
from results.science.diagnosis.assumptions import OFF_STEP
from results.science.diagnosis.record import Record, steps
from results.science.dilution import Scheme

_HIGHEST_PERCENT_T, _HIGHEST_ABSORBANCE = 105.0, 3.0
_LARGEST_CANDIDATE = {"digits_swapped": 2, "tens_misread": 2, "decimal_shifted": 1}


@dataclass(frozen=True, slots=True)
class Meant:
    """One way of reading every value otherwise: arrays (R, P, N).

    ``shift`` is how much more absorbance was typed than meant, ``meant`` the
    absorbance meant, ``log_cell`` the log of the ratio of the typed and the meant
    value's cells in absorbance and of how well either sits on the scale's steps;
    ``possible`` says where this way of typing exists.
    """

    shape: str
    shift: FloatArray
    meant: FloatArray
    log_cell: FloatArray
    possible: BoolArray

    def rows(self, chosen: IntArray) -> "Meant":
        """Return some of the groups."""
        return Meant(
            self.shape,
            self.shift[..., chosen],
            self.meant[..., chosen],
            self.log_cell[..., chosen],
            self.possible[..., chosen],
        )


def lone_values(scheme: Scheme, record: Record) -> BoolArray:
    """Mark the groups (N,) with just one value off the steps of their scale."""
    off = _off_step(record.signal, steps(scheme, record))
    return np.asarray(off.sum(axis=(0, 1)) == 1)


def meanings(scheme: Scheme, record: Record) -> list[Meant]:
    """List the ways a typed value may stand for another.

    Two neighbouring digits exchanged, a ten read wrongly off the scale, and a
    decimal point moved.
    """
    step = steps(scheme, record)
    decimals = np.where(record.is_absorbance, 3, np.where(step >= 1.0, 0, 1))
    units = np.rint(record.signal * 10.0**decimals)
    whole = np.abs(record.signal * 10.0**decimals - units) < 1e-6
    ten = np.where(record.is_absorbance, 0.1, 10.0)
    ways: list[tuple[str, FloatArray, BoolArray]] = []
    for place in (0, 1):
        swapped, possible = _swap_digits(units, place)
        ways.append(("digits_swapped", swapped / 10.0**decimals, possible & whole))
    everywhere = np.isfinite(record.signal)
    ways.append(("tens_misread", record.signal + ten, everywhere))
    ways.append(("tens_misread", record.signal - ten, everywhere))
    ways.append(("decimal_shifted", record.signal * 10.0, everywhere))
    off = _off_step(record.signal, step)
    lone = off & (off.sum(axis=(0, 1)) == 1)
    return [_meant(record, step, way, lone) for way in ways]


def share_of_ways(shape: str) -> float:
    """Chance of one of the ways to commit a slip of typing."""
    return 1.0 / _LARGEST_CANDIDATE[shape]


def _meant(
    record: Record,
    step: FloatArray,
    way: tuple[str, FloatArray, BoolArray],
    lone: BoolArray,
) -> Meant:
    shape, value, possible = way
    highest = np.where(record.is_absorbance, _HIGHEST_ABSORBANCE, _HIGHEST_PERCENT_T)
    on_absorbance = record.is_absorbance
    with np.errstate(all="ignore"):
        possible = possible & (value > 0.0) & (value <= highest)
        meant = np.where(on_absorbance, value, 2.0 - np.log10(value))
        typed = np.where(on_absorbance, record.signal, 2.0 - np.log10(record.signal))
        cell = np.where(on_absorbance, 0.0, np.log(record.signal / value))
    # Digits swapped explain why a lone value misses the steps of its scale.
    fits = ~_off_step(value, step)
    cell = cell + np.where(lone & fits, -np.log(OFF_STEP), 0.0)
    typed_fits = ~_off_step(record.signal, step)
    cell = cell + np.where(typed_fits & ~fits, np.log(OFF_STEP), 0.0)
    possible = possible & np.isfinite(typed) & np.isfinite(meant)
    return Meant(
        shape,
        np.where(possible, typed - meant, 0.0),
        np.where(possible, meant, 0.0),
        np.where(possible, cell, 0.0),
        possible,
    )


def _off_step(values: FloatArray, step: FloatArray) -> BoolArray:
    with np.errstate(invalid="ignore"):
        return np.abs(values / step - np.rint(values / step)) > 1e-6


def _swap_digits(units: FloatArray, place: int) -> tuple[FloatArray, BoolArray]:
    """Exchange the digits at a place and the next higher one."""
    low = np.floor(units / 10.0**place) % 10
    high = np.floor(units / 10.0 ** (place + 1)) % 10
    swapped = units + (low - high) * 9.0 * 10.0**place
    with np.errstate(invalid="ignore"):
        leading = units < 10.0 ** (place + 2)
        # A leading zero stays where it is, and so does an empty place.
        possible = (low != high) & (units >= 10.0 ** (place + 1))
        possible &= ~(leading & (low == 0))
    return swapped, possible
