"""Dilution chains: from a weighed solid to the tubes that are measured, and back."""

import numpy as np

from results.science.arrays import FloatArray
from results.science.document import Problem, SchemeError
from results.science.scheme import (
    Reading,
    Scheme,
    Step,
    Tube,
)
from results.science.scheme_document import parse_scheme

__all__ = [
    "Problem",
    "Reading",
    "Scheme",
    "SchemeError",
    "Step",
    "Tube",
    "concentrations",
    "iron_percent",
    "parse_scheme",
    "step_concentrations",
    "working_mg_L",
]

MILLIGRAMS_PER_GRAM = 1000.0


def concentrations(
    scheme: Scheme, standard_mass_g: FloatArray, taken_mL: FloatArray
) -> FloatArray:
    """Concentration of each standard, mg/L.

    Parameters
    ----------
    scheme : Scheme
    standard_mass_g : array (N,)
        Mass of the standard salt each group weighed.
    taken_mL : array (N, n)
        Volume each group took for each standard.

    Returns
    -------
    array (N, n)
        NaN where the mass or the volume is.
    """
    working = working_mg_L(scheme, standard_mass_g)
    return working[..., None] * taken_mL / scheme.standard_make_up_mL


def working_mg_L(scheme: Scheme, standard_mass_g: FloatArray) -> FloatArray:
    """Concentration of the solution the standards are made from, mg/L.

    Parameters
    ----------
    scheme : Scheme
    standard_mass_g : array (N,)
    """
    chain_per_litre = scheme.standard_chain_per_litre[-1]
    return _analyte_mg(scheme, standard_mass_g) * chain_per_litre


def iron_percent(
    scheme: Scheme,
    unknown_mg_L: FloatArray,
    unknown_mass_g: FloatArray,
    taken_mL: FloatArray,
) -> FloatArray:
    """Mass fraction of the analyte in the weighed unknown, in percent.

    Parameters
    ----------
    scheme : Scheme
    unknown_mg_L : array (N, m)
        Concentration of each unknown tube.
    unknown_mass_g : array (N,)
        Mass of the unknown each group weighed.
    taken_mL : array (N, m)
        Volume each group took for each unknown tube.

    Returns
    -------
    array (N, m)
    """
    solid_mg = MILLIGRAMS_PER_GRAM * np.asarray(unknown_mass_g)[..., None]
    solid_mg_L = (
        solid_mg
        * scheme.unknown_chain_per_litre[-1]
        * taken_mL
        / scheme.unknown_make_up_mL
    )
    return np.asarray(100.0 * unknown_mg_L / solid_mg_L, dtype=np.float64)


def step_concentrations(scheme: Scheme, standard_mass_g: float) -> tuple[float, ...]:
    """Concentration in each flask of the standards' chain, mg/L, in order.

    For showing the chain: the stock, then every solution made from it.
    """
    analyte_mg = float(_analyte_mg(scheme, np.asarray(standard_mass_g)))
    return tuple(analyte_mg * share for share in scheme.standard_chain_per_litre)


def _analyte_mg(scheme: Scheme, standard_mass_g: FloatArray) -> FloatArray:
    salt_mg = MILLIGRAMS_PER_GRAM * standard_mass_g
    return np.asarray(salt_mg * scheme.analyte_fraction * scheme.purity)
