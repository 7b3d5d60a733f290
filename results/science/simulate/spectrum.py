"""Relative absorptivity of the iron(II) phenanthroline colour."""

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.interpolate import PchipInterpolator

# The values are from memory of published ferroin spectra, good to about ±0.05
# between 480 and 525 nm and ±0.10 elsewhere; an invented class needs no better.
_TABLE = {
    400: 0.30, 420: 0.48, 440: 0.63, 460: 0.74, 470: 0.80, 480: 0.87, 490: 0.91,
    500: 0.96, 505: 0.99, 510: 1.00, 515: 0.99, 520: 0.95, 525: 0.86, 530: 0.76,
    540: 0.50, 550: 0.29, 560: 0.16, 580: 0.05, 600: 0.02,
}  # fmt: skip
# Monotone between the table's points, so no maximum appears that it does not have.
_CURVE = PchipInterpolator(
    np.array(list(_TABLE), dtype=float), np.array(list(_TABLE.values()))
)

#: Molar absorptivity at the peak, L/mol/cm (Fortune & Mellon 1938, from memory).
MOLAR_ABSORPTIVITY = 11_100.0
#: Molar mass of iron, g/mol (CIAAW 2021, abridged).
IRON_MOLAR_MASS = 55.845
#: Absorptivity at the peak, L/mg/cm.
PEAK_ABSORPTIVITY = MOLAR_ABSORPTIVITY / (IRON_MOLAR_MASS * 1000)


def relative_absorptivity(wavelength_nm: ArrayLike) -> NDArray[np.float64]:
    """Absorptivity at a wavelength as a share of that at 510 nm.

    Parameters
    ----------
    wavelength_nm : array_like
        Wavelengths in nm; beyond 400 to 600 nm the nearest end of the table holds.

    Returns
    -------
    ndarray
        Same shape, between 0.02 and 1.

    Examples
    --------
    >>> float(relative_absorptivity(530).round(2))
    0.76
    """
    inside = np.clip(np.asarray(wavelength_nm, dtype=float), 400.0, 600.0)
    return np.asarray(_CURVE(inside), dtype=float)


def band_offsets(
    bandpass_nm: ArrayLike,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Split a triangular band into narrow slices.

    Parameters
    ----------
    bandpass_nm : array_like of shape (N,)
        Full widths at half height, nm.

    Returns
    -------
    offset_nm : ndarray of shape (N, 21)
        Distance of each slice from the band's middle.
    share : ndarray of shape (21,)
        Share of the light in each slice; sums to 1.
    """
    relative = np.linspace(-1.0, 1.0, 23)[1:-1]
    share = 1 - np.abs(relative)
    width = np.asarray(bandpass_nm, dtype=float)[..., np.newaxis]
    return width * relative, share / share.sum()
