"""Exam of bending lines: stray light at one of forty stations."""

import numpy as np

from results.science.curvature import curvature_z
from results.science.effects import Verdict, crossed_effects
from tests.exam.crossed import Layout, place

MG_L = np.array([0.8, 1.6, 2.4, 3.2, 4.0])
SLOPE, DELIVERY = 0.2, 0.02 / np.arange(1, 6)
#: Of one reading in percent transmittance: constant, proportional, and the step.
READ, SHARE, STEP = 0.2, 0.003, 0.5
BLUNDER = 0.1


def draw(rng, stray, blunders):
    """Curvatures of a class with stray light at one station, labels and station."""
    labels = place(rng, Layout())
    n = labels["station"].size
    faulty = int(rng.integers(40))
    share = np.where(labels["station"] == faulty, stray, 0.0)[:, None]
    absorbance = SLOPE * MG_L * (1 + DELIVERY * rng.normal(0, 1, (n, 5)))
    slipped = (rng.random(n) < blunders)[:, None] & (
        np.arange(5) == rng.integers(5, size=n)[:, None]
    )
    absorbance = absorbance * np.where(slipped, 1 + rng.uniform(-0.3, 0.3, (n, 1)), 1)
    through = 100 * (10**-absorbance + share) / (1 + share)
    noise = np.hypot(READ, SHARE * through) * rng.normal(0, 1, (n, 5))
    read = STEP * np.round((through + noise) / STEP)
    z = curvature_z(np.tile(MG_L, (n, 1)), -np.log10(read / 100))
    return z, {name: labels[name] for name in ("station", "section")}, faulty


def examine(stray, classes, *, blunders=0.0, first_seed=0):
    """Return the share of faulty stations found, and the false discovery rate."""
    found, false = [], []
    for seed in range(first_seed, first_seed + classes):
        rng = np.random.default_rng(seed)
        z, labels, faulty = draw(rng, stray, blunders)
        claimed = {
            one.level
            for one in crossed_effects(z, labels).factors["station"].levels
            if one.verdict is Verdict.DIFFERS
        }
        found.append(faulty in claimed)
        false.append(len(claimed - {faulty}) / max(len(claimed), 1))
    return float(np.mean(found)), float(np.mean(false))


def report(classes=200):
    """Yield the lines of the exam."""
    yield "Stray light at one station of nine groups, by the bend of its lines."
    for blunders in (0.0, BLUNDER):
        for stray in (0.015, 0.02, 0.03):
            found, false = examine(stray, classes, blunders=blunders)
            yield (
                f"  {100 * stray:.1f} %, tube blunders in {100 * blunders:.0f} % of "
                f"groups: found {100 * found:.1f} %, false {100 * false:.1f} %"
            )
