"""A class drawn from an experiment whose every variance is known, with its oracle.

The experiment is a plain one: standards from a burette into 50 mL flasks, three
unknown tubes, needle meters.  Draws use the uncertainties that the scheme states, so
that what is left to judge is the computation.
"""

from dataclasses import dataclass

import numpy as np

from results.science.answer import Readings
from results.science.dilution import parse_scheme

LOTS = np.array([8.0, 9.6, 11.2, 12.8, 14.4, 16.0])
ABSORPTIVITY = 11_100 / 55_845
STATED_U_ML = {
    ("flask", 250): 0.12,
    ("flask", 100): 0.08,
    ("flask", 50): 0.05,
    ("pipette", 10): 0.03,
}
BURETTE_SD_ML = 0.02
ZERO_SD = 0.001


def reference_document(n=5, m=3, step=0.5, sd=0.2, *, use_blank=False):
    """Describe the experiment; n standards spread evenly from 1 to 5 mL."""
    takes = np.linspace(1.0, 5.0, n)
    stated = [
        {"device": device, "volume_mL": volume, "u_mL": u}
        for (device, volume), u in STATED_U_ML.items()
    ] + [
        {"device": "burette", "volume_mL": float(v), "u_mL": BURETTE_SD_ML}
        for v in takes
    ]
    two_steps = [{"make_up_mL": 100}, {"take_mL": 10}, {"make_up_mL": 100}]
    return {
        "analyte": "Fe",
        "wavelength_nm": 510,
        "standard": {
            "formula": "Fe(NH4)2(SO4)2(H2O)6",
            "purity": 0.99,
            "purity_u": 0.003,
            "mass_g": 0.28,
            "steps": two_steps,
        },
        "standards": [
            {"tube": str(i), "take_mL": float(v), "with": "burette", "make_up_mL": 50}
            for i, v in enumerate(takes)
        ],
        "unknown": {
            "mass_g": 0.2,
            "steps": [{"make_up_mL": 250}, {"take_mL": 10}, {"make_up_mL": 100}],
            "tubes": [
                {"tube": f"U{j}", "take_mL": 10, "make_up_mL": 50} for j in range(m)
            ],
        },
        "reading": {
            "scale": "percent_T", "step": step, "sd": sd, "sd_relative": 0.003,
        },
        "tolerances": {"balance_u_g": 0.0002, "items": stated},
        "use_blank": use_blank,
    }  # fmt: skip


@dataclass(frozen=True)
class ReferenceClass:
    """Readings of N clean groups, the truth, and the oracle's estimates."""

    scheme: object
    readings: Readings
    lot: np.ndarray
    truth: np.ndarray
    oracle: np.ndarray


def draw_class(groups, seed, n=5, m=3, step=0.5, sd=0.2, document=None):
    """Draw a clean class; see `ReferenceClass`."""
    rng = np.random.default_rng(seed)
    scheme = parse_scheme(document or reference_document(n, m, step, sd))
    lot = rng.integers(0, len(LOTS), groups)

    def off(u, volume, *shape):
        return 1 + u / volume * rng.standard_normal((groups, *shape))

    def chain(volumes):
        ratio = np.ones(groups)
        for volume, u, power in volumes:
            ratio = ratio * off(u, volume) ** power
        return ratio

    masses = 0.28 + 0.01 * rng.standard_normal(groups)
    unknown_g = 0.2 + 0.01 * rng.standard_normal(groups)
    purity = 0.99 + 0.003 * rng.standard_normal(groups)
    true_standard_g = masses + 0.0002 * rng.standard_normal(groups)
    true_unknown_g = unknown_g + 0.0002 * rng.standard_normal(groups)
    working = true_standard_g * 1e3 * scheme.analyte_fraction * purity * 10 / 100 / 0.1
    working = working * chain([(100, 0.08, -1), (10, 0.03, 1), (100, 0.08, -1)])
    takes = np.broadcast_to(scheme.standard_take_mL, (groups, n))
    delivered = takes + BURETTE_SD_ML * rng.standard_normal((groups, n))
    x = working[:, None] * delivered / 50 / off(0.05, 50, n)
    solution = true_unknown_g * 1e3 * LOTS[lot] / 100 / 0.25 * 10 / 100
    solution = solution * chain([(250, 0.12, -1), (10, 0.03, 1), (100, 0.08, -1)])
    u = solution[:, None] * 10 / 50 * off(0.03, 10, m) / off(0.05, 50, m)
    zero = ZERO_SD * rng.standard_normal(groups)[:, None]

    def show(mg_L):
        light = 100 * 10 ** -(zero + ABSORPTIVITY * mg_L)
        scatter = np.hypot(sd, 0.003 * light) * rng.standard_normal(light.shape)
        return np.round((light + scatter) / step) * step

    readings = Readings(
        standard_mass_g=masses,
        unknown_mass_g=unknown_g,
        standard_taken_mL=np.array(takes),
        unknown_taken_mL=np.full((groups, m), 10.0),
        standard_signal=show(x)[:, :, None],
        unknown_signal=show(u)[:, :, None],
        is_absorbance=np.zeros(groups, dtype=bool),
    )
    oracle = _best_linear(readings, scheme, LOTS[lot], step, sd)
    return ReferenceClass(scheme, readings, lot, LOTS[lot], oracle)


def _best_linear(readings, scheme, truth, step, sd):
    """Read the unknown off the line that is weighted by the true variances."""
    nominal = readings.standard_mass_g * 1e3 * scheme.analyte_fraction * scheme.purity
    x = nominal[:, None] * readings.standard_taken_mL / 50
    true_x = readings.unknown_mass_g * 1e3 * truth / 100 / 0.25 * 10 / 100 * 10 / 50

    def variance(mg_L, delivery):
        light = 100 * 10 ** -(ABSORPTIVITY * mg_L)
        reading = (sd**2 + (0.003 * light) ** 2 + step**2 / 12) / light**2
        filled = (ABSORPTIVITY * mg_L) ** 2 * (delivery**2 + (0.05 / 50) ** 2)
        return reading / np.log(10) ** 2 + filled

    w = 1 / variance(x, BURETTE_SD_ML / readings.standard_taken_mL)
    y = 2 - np.log10(readings.standard_signal[:, :, 0])
    y_u = np.mean(2 - np.log10(readings.unknown_signal[:, :, 0]), axis=1)
    total = w.sum(axis=1)
    mean_x, mean_y = (w * x).sum(axis=1) / total, (w * y).sum(axis=1) / total
    dx = x - mean_x[:, None]
    slope = (w * dx * y).sum(axis=1) / (w * dx * dx).sum(axis=1)
    found = mean_x + (y_u - mean_y) / slope
    return found * truth / true_x
