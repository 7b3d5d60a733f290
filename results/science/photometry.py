"""Transmittance, absorbance and what a reading error does to a concentration."""

import numpy as np

from results.science.arrays import BoolArray, FloatArray

#: Absorbance change per relative change of transmittance, 1 / ln 10.
ABSORBANCE_PER_RELATIVE_T = 1.0 / np.log(10.0)


class TransmittanceError(ValueError):
    """A percent transmittance of which no absorbance can be taken."""


def absorbance_from_percent_T(percent_T: FloatArray) -> FloatArray:
    """Absorbance of each reading: A = 2 - log10(%T).

    Parameters
    ----------
    percent_T : array
        NaN (a missing reading) gives NaN.

    Raises
    ------
    TransmittanceError
        If a reading is zero or negative; the message names the reading.

    Examples
    --------
    >>> absorbance_from_percent_T(np.array([100.0, 10.0])).tolist()
    [0.0, 1.0]
    """
    values = np.asarray(percent_T, dtype=np.float64)
    unreadable = values[values <= 0.0]
    if unreadable.size:
        message = (
            f"{unreadable[0]:g} %T has no absorbance: a reading must be above 0 %T."
        )
        raise TransmittanceError(message)
    return usable_absorbance(values, np.zeros((), dtype=np.bool_))


def usable_absorbance(signal: FloatArray, is_absorbance: BoolArray) -> FloatArray:
    """Absorbance of each signal, NaN where the signal cannot have one.

    For batches, where one unreadable value must not stop the others.

    Parameters
    ----------
    signal : array
    is_absorbance : array of bool
        Broadcast against ``signal``; where true the signal is returned as it is.

    Examples
    --------
    >>> usable_absorbance(np.array([10.0, 0.0]), np.array([False])).tolist()
    [1.0, nan]
    """
    with np.errstate(all="ignore"):
        chosen = 2.0 - np.log10(signal)
        if np.any(is_absorbance):
            chosen = np.where(is_absorbance, signal, chosen)
    readable = np.isfinite(chosen)
    return chosen if readable.all() else np.where(readable, chosen, np.nan)


def absorbance_sd(percent_T: FloatArray, sd_percent_T: FloatArray) -> FloatArray:
    """Carry a standard deviation from percent transmittance to absorbance.

    First-order propagation: sd(A) = 0.4343 sd(T) / T.

    Examples
    --------
    >>> float(absorbance_sd(np.array(43.43), np.array(0.5)).round(4))
    0.005
    """
    return np.asarray(ABSORBANCE_PER_RELATIVE_T * sd_percent_T / percent_T)


def relative_concentration_sd(
    percent_T: FloatArray, sd_percent_T: FloatArray
) -> FloatArray:
    """Relative standard deviation of a concentration read at a transmittance.

    sd(c)/c = sd(T) / (T |ln T|), T as a fraction: the result of Twyman and
    Lothian (1933), least at 36.8 %T.

    Examples
    --------
    >>> float(relative_concentration_sd(np.array(50.0), np.array(0.5)).round(4))
    0.0144
    """
    fraction = np.asarray(percent_T) / 100.0
    return np.asarray(sd_percent_T / 100.0 / (fraction * np.abs(np.log(fraction))))


def slope_per_mg_L(
    molar_absorptivity: float, molar_mass_g: float, path_cm: float = 1.0
) -> float:
    """Slope of absorbance against mg/L that a molar absorptivity implies.

    Parameters
    ----------
    molar_absorptivity : float
        In L/(mol cm).
    molar_mass_g : float
        Of the analyte, g/mol.
    path_cm : float

    Examples
    --------
    >>> round(slope_per_mg_L(11_100, 55.845), 4)
    0.1988
    """
    return molar_absorptivity * path_cm / (1000.0 * molar_mass_g)
