"""Schemes and readings the tests of the calculations share."""

import numpy as np

from results.science.answer import Readings
from results.science.dilution import concentrations, parse_scheme

TAKES_ML = (5, 10, 20, 30, 50)


def scheme_document(unknown_tubes=3, purity=1.0):
    """Describe a chain: 0.21 g to 500 mL, 25 to 250, takes to 100 mL."""
    steps = [{"make_up_mL": 500}, {"take_mL": 25}, {"make_up_mL": 250}]
    unknown_steps = [{"make_up_mL": 250}, {"take_mL": 10}, {"make_up_mL": 250}]
    return {
        "analyte": "Fe",
        "wavelength_nm": 510,
        "path_cm": 1.0,
        "standard": {
            "formula": "Fe(NH4)2(SO4)2(H2O)6",
            "purity": purity,
            "purity_u": 0.002,
            "mass_g": 0.21,
            "steps": steps,
        },
        "standards": [
            {"tube": str(i), "take_mL": v, "with": "burette", "make_up_mL": 100}
            for i, v in enumerate(TAKES_ML, start=1)
        ],
        "unknown": {
            "mass_g": 0.25,
            "steps": unknown_steps,
            "tubes": [
                {"tube": f"U{i}", "take_mL": 25, "make_up_mL": 100}
                for i in range(1, unknown_tubes + 1)
            ],
        },
        "reading": {"scale": "percent_T", "step": 0.5, "sd": 0.3},
    }


SCHEME = parse_scheme(scheme_document())


def perfect_readings(groups=1, iron=12.0, slope=0.2, intercept=0.005, replicates=2):
    """Readings in absorbance without any error, of groups that are all alike."""
    mass_g = np.full(groups, 0.21)
    standard_mL = np.tile(SCHEME.standard_take_mL, (groups, 1))
    unknown_mL = np.tile(SCHEME.unknown_take_mL, (groups, 1))
    standard_A = intercept + slope * concentrations(SCHEME, mass_g, standard_mL)
    unknown_mg_L = iron / 100 * 0.25e3 / 0.25 * (10 / 250) * unknown_mL / 100
    unknown_A = intercept + slope * unknown_mg_L
    return Readings(
        standard_mass_g=mass_g,
        unknown_mass_g=np.full(groups, 0.25),
        standard_taken_mL=standard_mL,
        unknown_taken_mL=unknown_mL,
        standard_signal=np.repeat(standard_A[:, :, None], replicates, axis=2),
        unknown_signal=np.repeat(unknown_A[:, :, None], replicates, axis=2),
        is_absorbance=np.ones(groups, dtype=bool),
    )


def noisy_readings(groups, seed, sd_percent_T=0.3, step=0.5):
    """Readings in percent transmittance with the meter's noise and rounding."""
    rng = np.random.default_rng(seed)
    exact = perfect_readings(groups)

    def measured(absorbance):
        percent_T = 100 * 10**-absorbance
        percent_T = percent_T + rng.normal(0, sd_percent_T, percent_T.shape)
        return np.round(percent_T / step) * step

    return Readings(
        standard_mass_g=exact.standard_mass_g,
        unknown_mass_g=exact.unknown_mass_g,
        standard_taken_mL=exact.standard_taken_mL,
        unknown_taken_mL=exact.unknown_taken_mL,
        standard_signal=measured(exact.standard_signal),
        unknown_signal=measured(exact.unknown_signal),
        is_absorbance=np.zeros(groups, dtype=bool),
    )
