"""Puts one known slip of the catalogue into finished readings.

Every deed that the diagnosis knows can be done here, by the shape it has in the
readings, in a size that is easy to see: for tests and for training.
"""

from dataclasses import replace

import numpy as np
from numpy.random import Generator

from results.science.answer import Readings
from results.science.arrays import FloatArray
from results.science.diagnosis import CODES, deed
from results.science.dilution import Scheme
from results.science.simulate.records import Slip
from results.science.simulate.spoil_effects import AT_THE_BENCH, AT_THE_KEYS, Sheet


def spoil_readings(
    rng: Generator, scheme: Scheme, readings: Readings, name: str
) -> tuple[Readings, tuple[Slip, ...]]:
    """Let every group make the same slip, each in its own way.

    Parameters
    ----------
    rng : Generator
    scheme : Scheme
    readings : Readings
        Of N groups, left as they are.
    name : str
        Name of a deed of the catalogue.

    Returns
    -------
    Readings, tuple of N Slip
        The slip's code is the one a diagnosis should find.

    Raises
    ------
    KeyError
        If the catalogue has no such deed.
    """
    shape = deed(name).shape
    signals = np.concatenate([readings.standard_signal, readings.unknown_signal], 1)
    taken = np.concatenate([readings.standard_taken_mL, readings.unknown_taken_mL], 1)
    masses = np.stack([readings.standard_mass_g, readings.unknown_mass_g], 1)
    labels = scheme.standard_labels + scheme.unknown_labels
    slips = []
    for row in range(len(signals)):
        sheet = _sheet(rng, scheme, readings, row)
        tubes: tuple[int, ...] = ()
        if shape in AT_THE_BENCH:
            tubes = AT_THE_BENCH[shape](sheet)
            sheet.values = _shown(sheet)
        else:
            tubes = AT_THE_KEYS[shape](sheet)
        signals[row], taken[row] = sheet.values, sheet.taken_mL
        masses[row] = sheet.masses_g["standard"], sheet.masses_g["unknown"]
        slips.append(Slip(CODES[shape], name, ",".join(labels[t] for t in tubes)))
    n = readings.standard_signal.shape[1]
    spoilt = replace(
        readings,
        standard_mass_g=masses[:, 0],
        unknown_mass_g=masses[:, 1],
        standard_taken_mL=taken[:, :n],
        unknown_taken_mL=taken[:, n:],
        standard_signal=signals[:, :n],
        unknown_signal=signals[:, n:],
    )
    return spoilt, tuple(slips)


def _sheet(rng: Generator, scheme: Scheme, readings: Readings, row: int) -> Sheet:
    values = np.concatenate(
        [readings.standard_signal[row], readings.unknown_signal[row]]
    )
    in_absorbance = bool(readings.is_absorbance[row])
    step = scheme.reading.step if scheme.reading.scale == "percent_T" else 0.1
    return Sheet(
        scheme=scheme,
        rng=rng,
        n=readings.standard_signal.shape[1],
        absorbance=values.copy() if in_absorbance else 2.0 - np.log10(values),
        values=values.copy(),
        taken_mL=np.concatenate(
            [readings.standard_taken_mL[row], readings.unknown_taken_mL[row]]
        ),
        masses_g={
            "standard": float(readings.standard_mass_g[row]),
            "unknown": float(readings.unknown_mass_g[row]),
        },
        reads_absorbance=in_absorbance,
        step=0.001 if in_absorbance else step,
    )


def _shown(sheet: Sheet) -> FloatArray:
    exact = (
        sheet.absorbance if sheet.reads_absorbance else 100.0 * 10.0**-sheet.absorbance
    )
    shown = np.round(np.rint(exact / sheet.step) * sheet.step, 6)
    return shown if sheet.reads_absorbance else np.maximum(shown, sheet.step)
