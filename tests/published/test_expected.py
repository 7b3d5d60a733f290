"""What a scheme promises, against worked examples and the literature."""

import numpy as np
import pytest

from results.policy.protocol import read_protocol
from results.science.expected import (
    expected_slope,
    expected_standards,
    expected_unknowns,
    relative_reading_sd,
    unknown_step_mg_L,
)
from results.science.photometry import relative_concentration_sd
from results.science.scheme import Reading
from tests.factories import protocol_document


def scheme(**changes):
    document = protocol_document(**changes)
    document["standard"] = {**document["standard"], "purity": 1.0}
    return read_protocol(document).scheme


def test_a_handouts_chain_gives_the_concentrations_worked_out_by_hand():
    # 0.2100 g x 0.14242 (IUPAC 2021) in 500 mL is 59.81 mg/L; 25 to 250 mL, then 5,
    # 10, 20, 30 and 50 to 100 mL.
    expected = expected_standards(scheme())

    assert expected.mg_L == pytest.approx([0.299, 0.598, 1.196, 1.794, 2.991], abs=1e-3)


def test_its_absorbances_follow_from_the_molar_absorptivity_of_ferroin():
    # 11 100 L/(mol cm), Fortune and Mellon 1938 (from memory), over 55 845 mg/mol:
    # 0.1988 L/mg; A 0.059 to 0.595 is 87 to 25 %T.
    expected = expected_standards(scheme())

    assert expected_slope(scheme()) == pytest.approx(0.1988, abs=1e-4)
    assert expected.absorbance[[0, -1]] == pytest.approx([0.059, 0.595], abs=1e-3)
    assert expected.percent_T[[0, -1]] == pytest.approx([87.2, 25.4], abs=0.1)


def test_an_unknown_of_12_percent_lands_where_the_arithmetic_says():
    # 0.2500 g x 0.12 in 250 mL is 120 mg/L; 10 to 250: 4.8; 25 to 100: 1.200.
    assert unknown_step_mg_L(scheme(), np.array([12.0])) == pytest.approx(
        np.array([[120.0, 4.8]])
    )
    found = expected_unknowns(scheme(), np.array([12.0]))
    assert found.mg_L == pytest.approx(np.full((1, 2), 1.2))
    assert found.absorbance == pytest.approx(np.full((1, 2), 0.2385), abs=1e-4)


def test_a_reading_of_constant_scatter_tells_most_at_36_8_percent():
    # Twyman and Lothian (1933): T = 1/e; the error there is e times that of T.
    reading = Reading("percent_T", step=0.0, sd=0.5)
    absorbance = np.linspace(0.05, 1.5, 2901)

    errors = relative_reading_sd(reading, absorbance)

    assert 100 * 10 ** -absorbance[errors.argmin()] == pytest.approx(36.8, abs=0.05)
    assert errors.min() == pytest.approx(np.e * 0.005, rel=1e-6)
    assert errors == pytest.approx(
        relative_concentration_sd(100 * 10**-absorbance, np.array(0.5))
    )


def test_a_wavelength_beside_the_peak_promises_less():
    assert expected_slope(scheme(wavelength_nm=530)) < 0.8 * expected_slope(scheme())


def test_nothing_in_a_tube_tells_no_concentration():
    reading = Reading("percent_T", step=0.5, sd=0.3)

    assert relative_reading_sd(reading, np.array(0.0)) == np.inf
