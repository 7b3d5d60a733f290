"""Photometry, formulas and dilutions against published or plain arithmetic."""

import numpy as np
import pytest
from scipy.optimize import minimize_scalar

from results.science.dilution import (
    concentrations,
    parse_scheme,
    step_concentrations,
)
from results.science.formula import mass_fraction, molar_mass
from results.science.photometry import relative_concentration_sd, slope_per_mg_L
from tests.science.schemes import scheme_document

# CIAAW, standard atomic weights 2021, abridged.
HEXAHYDRATE = "Fe(NH4)2(SO4)2(H2O)6"


def test_molar_mass_of_the_hexahydrate_follows_from_the_atomic_weights():
    assert molar_mass(HEXAHYDRATE) == pytest.approx(392.13, abs=0.0051)


def test_molar_mass_of_the_anhydrous_salt_follows_from_the_atomic_weights():
    assert molar_mass("Fe(NH4)2(SO4)2") == pytest.approx(284.04, abs=0.0051)


def test_iron_fraction_of_the_hexahydrate_follows_from_the_atomic_weights():
    assert mass_fraction(HEXAHYDRATE) == pytest.approx(0.14242, abs=5e-6)


@pytest.mark.parametrize(
    ("percent_T", "relative_percent"),
    {10: 2.2, 20: 1.6, 37: 1.4, 50: 1.4, 60: 1.6, 70: 2.0, 80: 2.8, 90: 5.3}.items(),
)
def test_concentration_error_follows_twyman_and_lothian(percent_T, relative_percent):
    # F. Twyman and G. F. Lothian, Proc. Phys. Soc. 45 (1933) 643: a general result.
    sd = relative_concentration_sd(np.array(float(percent_T)), np.array(0.5))

    assert 100 * float(sd) == pytest.approx(relative_percent, abs=0.06)


def test_concentration_error_is_least_where_twyman_and_lothian_found_it():
    least = minimize_scalar(
        lambda t: float(relative_concentration_sd(np.array(t), np.array(0.5))),
        bounds=(5.0, 95.0),
    )

    assert least.x == pytest.approx(36.8, abs=0.05)
    assert 2 - np.log10(least.x) == pytest.approx(0.434, abs=5e-4)


def test_slope_of_the_iron_complex_follows_from_its_absorptivity():
    # W. B. Fortune and M. G. Mellon, Ind. Eng. Chem. Anal. Ed. 10 (1938) 60, quoted
    # from memory: 11 100 L/(mol cm) at 508 nm.
    assert slope_per_mg_L(11_100, 55.845) == pytest.approx(0.1988, abs=5e-5)


def test_concentrations_follow_the_dilution_chain():
    # Common practice: plain arithmetic from the abridged atomic weights.
    scheme = parse_scheme(scheme_document())

    tubes = concentrations(scheme, np.array([0.21]), scheme.standard_take_mL[None])

    stock, working = step_concentrations(scheme, 0.21)
    assert stock == pytest.approx(59.815, abs=5e-4)
    assert working == pytest.approx(5.9815, abs=5e-5)
    assert tubes[0] == pytest.approx([0.2991, 0.5981, 1.1963, 1.7944, 2.9907], abs=6e-5)
