"""Instrument stations, and what their meters show for a tube."""

from dataclasses import dataclass

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from results.science.simulate.spectrum import (
    PEAK_ABSORPTIVITY,
    band_offsets,
    relative_absorptivity,
)

Array = NDArray[np.float64]

# The spreads below are from memory of ordinary teaching meters, not measured.
_DIGITAL_SHARE = 0.35
_COARSE_SHARE = 0.20
_NARROW_BAND_SHARE = 0.40
_CELL_SD = 0.002
_NEEDLE_SD_PERCENT_T, _DIGITAL_SD_PERCENT_T = 0.35, 0.25
_STICKY_CHANCE = 0.10
_SCALE_ENDS_PERCENT_T = (0.1, 105.0)
_ABSORBANCE_STEP = 0.001


@dataclass(frozen=True, slots=True)
class Stations:
    """The meters of S stations; every array has shape (S,).

    ``step`` is the smallest step read, in units of the station's own scale: half a
    division of a needle scale, or the last digit of a display.
    """

    wavelength_offset_nm: Array
    bandpass_nm: Array
    stray_light: Array
    gain: Array
    zero_percent_T: Array
    drift_percent_T: Array
    step: Array
    is_digital: NDArray[np.bool_]
    reads_absorbance: NDArray[np.bool_]
    is_sticky: NDArray[np.bool_]
    faults: tuple[str, ...]

    def __len__(self) -> int:
        return len(self.faults)


def invent_stations(
    rng: Generator, count: int, *, faulty: int = 0, absorbance_share: float = 0.0
) -> Stations:
    """Invent meters.

    Parameters
    ----------
    rng : Generator
    count : int
        Number of stations.
    faulty : int
        How many have a fault; in turn a wavelength dial, a drifting lamp, stray
        light and a sticky needle.
    absorbance_share : float
        Share of the digital meters that are read in absorbance.
    """
    is_digital = rng.random(count) < _DIGITAL_SHARE
    coarse = rng.random(count) < _COARSE_SHARE / (1 - _DIGITAL_SHARE)
    reads_absorbance = is_digital & (rng.random(count) < absorbance_share)
    step = np.where(is_digital, 0.1, np.where(coarse, 1.0, 0.5))
    stray = np.exp(np.log(0.004) + 0.6 * rng.standard_normal(count))
    narrow = rng.random(count) < _NARROW_BAND_SHARE
    arrays = {
        "wavelength_offset_nm": 1.5 * rng.standard_normal(count),
        "bandpass_nm": np.where(narrow, 8.0, 20.0),
        "stray_light": np.minimum(stray, 0.03),
        "gain": np.exp(0.015 * rng.standard_normal(count)),
        "zero_percent_T": 0.25 * rng.standard_normal(count),
        "drift_percent_T": 0.25 * rng.standard_normal(count),
    }
    is_sticky = np.zeros(count, dtype=bool)
    faults = [""] * count
    chosen = rng.permutation(count)[: min(faulty, count)]
    for turn, station in enumerate(chosen):
        faults[station] = _spoil(rng, arrays, is_sticky, (turn % 4, int(station)))
    return Stations(
        step=np.where(reads_absorbance, _ABSORBANCE_STEP, step),
        is_digital=is_digital,
        reads_absorbance=reads_absorbance,
        is_sticky=is_sticky,
        faults=tuple(faults),
        **arrays,
    )


def _spoil(
    rng: Generator,
    arrays: dict[str, Array],
    is_sticky: NDArray[np.bool_],
    kind_and_station: tuple[int, int],
) -> str:
    kind, station = kind_and_station
    if kind == 0:
        offset_nm = float(rng.choice([14.0, 20.0, -18.0]))
        arrays["wavelength_offset_nm"][station] = offset_nm
        return f"wavelength dial {offset_nm:+.0f} nm"
    if kind == 1:
        drift = float(rng.choice([-1.0, 1.0]) * rng.uniform(1.5, 3.0))
        arrays["drift_percent_T"][station] = drift
        return f"lamp drifts {drift:+.1f} %T in a session"
    if kind == 2:
        stray = float(rng.uniform(0.03, 0.06))
        arrays["stray_light"][station] = stray
        return f"stray light {100 * stray:.1f} %"
    is_sticky[station] = True
    return "needle sticks"


@dataclass(slots=True)
class Sitting:
    """How N groups used their meters; slips change these arrays in place.

    ``order`` runs from 0 to 1 through a sitting and sets how far the drift has come
    at each tube; ``blank_absorbance`` is colour in the standards and unknowns that
    the blank lacks.
    """

    station: NDArray[np.intp]
    wavelength_nm: Array
    order: Array
    drift_factor: Array
    blank_absorbance: Array
    reagent_factor: Array


def true_absorbances(
    stations: Stations, sitting: Sitting, coloured_mg_L: Array, path_cm: float
) -> Array:
    """Absorbance of each tube in the station's own band of light.

    The band averages the transmitted light, not the absorbance:
    ``T = Σ_j S_j 10^(−k(λ_j) b c)``.

    Parameters
    ----------
    stations : Stations
    sitting : Sitting
    coloured_mg_L : ndarray of shape (N, p)
        Iron that shows its colour, mg/L.
    path_cm : float
        Path length, cm.

    Returns
    -------
    ndarray of shape (N, p)
        Decadic absorbance.
    """
    here = sitting.station
    offset_nm, share = band_offsets(stations.bandpass_nm[here])
    middle_nm = sitting.wavelength_nm + stations.wavelength_offset_nm[here]
    relative = relative_absorptivity(middle_nm[:, np.newaxis] + offset_nm)
    scale = PEAK_ABSORPTIVITY * path_cm * stations.gain[here] * sitting.reagent_factor
    per_mg_L = scale[:, np.newaxis] * relative
    exponent = coloured_mg_L[:, :, np.newaxis] * per_mg_L[:, np.newaxis, :]
    transmitted = np.power(10.0, -exponent) @ share
    return np.asarray(sitting.blank_absorbance[:, np.newaxis] - np.log10(transmitted))


def show(
    rng: Generator,
    stations: Stations,
    sitting: Sitting,
    absorbance: Array,
    skill: Array,
) -> Array:
    """Read the meters.

    Returns
    -------
    ndarray of shape (N, p)
        The values written down: percent transmittance, or absorbance at the stations
        that are read in absorbance.
    """
    here = sitting.station
    stray = stations.stray_light[here, np.newaxis]
    seen = (np.power(10.0, -absorbance) + stray) / (1 + stray)
    zero = stations.zero_percent_T[here, np.newaxis]
    drift = stations.drift_percent_T[here] * sitting.drift_factor
    full = 100 + drift[:, np.newaxis] * sitting.order
    skill_column = skill[:, np.newaxis]
    cell = np.power(
        10.0, -_CELL_SD * skill_column * rng.standard_normal(absorbance.shape)
    )
    sd = np.where(
        stations.is_digital[here], _DIGITAL_SD_PERCENT_T, _NEEDLE_SD_PERCENT_T
    )
    noise = sd[:, np.newaxis] * skill_column * rng.standard_normal(absorbance.shape)
    percent_T = np.clip(
        (zero + (full - zero) * seen) * cell + noise, *_SCALE_ENDS_PERCENT_T
    )
    in_absorbance = stations.reads_absorbance[here, np.newaxis]
    shown = np.where(in_absorbance, 2 - np.log10(percent_T), percent_T)
    per_unit = np.rint(1 / stations.step[here, np.newaxis])
    # Rounding must not take a dark tube to 0 %T, which has no absorbance.
    lowest = np.where(in_absorbance, -np.inf, 1.0)
    written = np.maximum(np.rint(shown * per_unit), lowest) / per_unit
    return _stick(rng, written, stations.is_sticky[here])


def _stick(rng: Generator, written: Array, is_sticky: NDArray[np.bool_]) -> Array:
    sticks = rng.random(written.shape) < _STICKY_CHANCE * is_sticky[:, np.newaxis]
    for tube in range(1, written.shape[1]):
        before = written[:, tube - 1]
        written[:, tube] = np.where(sticks[:, tube], before, written[:, tube])
    return written
