"""What a scheme promises before anybody has weighed anything.

Concentrations and absorbances at nominal masses and volumes, with the ferroin
absorptivity of the literature; a real meter differs by some percent, so these are
for planning, never for an answer.
"""

from dataclasses import dataclass

import numpy as np

from results.science.arrays import FloatArray
from results.science.dilution import MILLIGRAMS_PER_GRAM, Scheme, concentrations
from results.science.noise import METER_RANGE, reading_variance
from results.science.photometry import slope_per_mg_L
from results.science.scheme import Reading
from results.science.simulate.spectrum import (
    IRON_MOLAR_MASS,
    MOLAR_ABSORPTIVITY,
    relative_absorptivity,
)

#: Where the table of the colour's relative absorptivity ends, nm.
KNOWN_WAVELENGTHS_NM = (400.0, 600.0)


@dataclass(frozen=True, slots=True)
class Expected:
    """Solutions as they should read.

    Attributes
    ----------
    mg_L, absorbance, percent_T : array
        Of one shape.
    relative_sd : array
        Standard deviation of the concentration that one reading gives, relative to
        it, from the scatter and the rounding of the reading alone; infinite at
        no analyte.
    """

    mg_L: FloatArray
    absorbance: FloatArray
    percent_T: FloatArray
    relative_sd: FloatArray


def expected_slope(scheme: Scheme) -> float:
    """Slope of absorbance against mg/L of iron at the scheme's wavelength and path.

    11 100 L/(mol cm) at the peak (Fortune & Mellon 1938, from memory), less beside
    it by the relative absorptivity.
    """
    share = float(relative_absorptivity(scheme.wavelength_nm))
    return share * slope_per_mg_L(MOLAR_ABSORPTIVITY, IRON_MOLAR_MASS, scheme.path_cm)


def expected_standards(scheme: Scheme) -> Expected:
    """Give the standards at the nominal mass and volumes, shape (n,)."""
    mass_g = np.array([scheme.standard_mass_g])
    mg_L = concentrations(scheme, mass_g, scheme.standard_take_mL[None, :])
    return expected_at(scheme, mg_L[0])


def expected_unknowns(scheme: Scheme, iron_percent: FloatArray) -> Expected:
    """Give the unknown tubes for iron contents.

    Parameters
    ----------
    scheme : Scheme
    iron_percent : array (L,)
        Mass fractions, percent.

    Returns
    -------
    Expected
        Of arrays (L, m).
    """
    last_mg_L = unknown_step_mg_L(scheme, iron_percent)[:, -1]
    shares = scheme.unknown_take_mL / scheme.unknown_make_up_mL
    return expected_at(scheme, last_mg_L[:, None] * shares)


def unknown_step_mg_L(scheme: Scheme, iron_percent: FloatArray) -> FloatArray:
    """Concentration in each flask of the unknown's chain, mg/L, shape (L, flasks)."""
    solid_mg = MILLIGRAMS_PER_GRAM * scheme.unknown_mass_g
    iron_mg = solid_mg * np.asarray(iron_percent, dtype=np.float64) / 100.0
    return np.asarray(iron_mg[:, None] * np.array(scheme.unknown_chain_per_litre))


def expected_at(scheme: Scheme, mg_L: FloatArray) -> Expected:
    """Give what solutions of some concentrations should read, of any shape."""
    absorbance = expected_slope(scheme) * np.asarray(mg_L, dtype=np.float64)
    return Expected(
        mg_L=np.asarray(mg_L, dtype=np.float64),
        absorbance=absorbance,
        percent_T=np.asarray(100.0 * 10.0**-absorbance),
        relative_sd=relative_reading_sd(scheme.reading, absorbance),
    )


def relative_reading_sd(reading: Reading, absorbance: FloatArray) -> FloatArray:
    """Relative standard deviation of a concentration, from its reading alone.

    sd(A)/A; for a meter whose scatter is constant in transmittance this is the
    curve of Twyman and Lothian (1933), least at A = 0.434.

    Examples
    --------
    >>> reading = Reading("percent_T", step=0.0, sd=0.5)
    >>> float(relative_reading_sd(reading, np.array(0.30103)).round(4))
    0.0144
    """
    within = np.clip(absorbance, *METER_RANGE)
    sd = np.sqrt(reading_variance(reading, within))
    with np.errstate(divide="ignore"):
        return np.asarray(np.where(within > 0, sd / np.abs(within), np.inf))
