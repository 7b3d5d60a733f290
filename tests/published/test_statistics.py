"""Robust statistics and effects against published values."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
import scipy.stats
import statsmodels.formula.api as smf
from numpy.testing import assert_allclose

from results.science.effects import (
    benjamini_hochberg,
    one_way,
    variance_components,
)
from results.science.robust import algorithm_a, h_and_k

# Analytical Methods Committee, Analyst 114 (1989) 1693: copper in wholemeal flour,
# mg/kg; the same values are the data set "chem" of the R package MASS.
COPPER = np.array(
    [2.9, 3.1, 3.4, 3.4, 3.7, 3.7, 2.8, 2.5, 2.4, 2.4, 2.7, 2.2, 5.28, 3.37, 3.03,
     3.03, 28.95, 3.77, 3.4, 2.2, 3.5, 3.6, 3.7, 3.7]
)  # fmt: skip

# Y. Benjamini and Y. Hochberg, J. R. Stat. Soc. B 57 (1995) 289, section 3.2; the
# p values are quoted from memory.
BENJAMINI_HOCHBERG = np.array(
    [0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.324,
     0.4262, 0.5719, 0.6528, 0.759, 1.0]
)  # fmt: skip


def read_nist_anova(name):
    """Read a data file of NIST's reference datasets, which ships with scipy."""
    file = Path(scipy.stats.__file__).parent / f"tests/data/nist_anova/{name}.dat"
    labels, values = np.loadtxt(file, skiprows=60, unpack=True)
    certified = next(
        line for line in file.read_text().splitlines() if line.startswith("Between")
    )
    return values, labels, float(certified.split()[-1])


@pytest.mark.parametrize(
    ("name", "rtol"),
    [("SmLs01", 1e-12), ("SmLs02", 1e-12), ("SmLs03", 1e-12), ("AtmWtAg", 1e-9)],
)
def test_one_way_gives_the_certified_f_ratio(name, rtol):
    values, labels, certified = read_nist_anova(name)

    result = one_way(values, labels)

    assert_allclose(result.f_ratio, certified, rtol=rtol)


def test_one_way_agrees_with_scipy():
    groups = [[6.1, 5.9, 6.4], [7.0, 6.6], [5.1, 5.8, 5.5, 5.9]]
    labels = np.repeat(["a", "b", "c"], [3, 2, 4])
    oracle = scipy.stats.f_oneway(*groups)

    result = one_way(np.concatenate(groups), labels)

    assert_allclose((result.f_ratio, result.p_value), oracle, rtol=1e-12)


def test_algorithm_a_gives_the_robust_mean_and_sd_of_the_copper_results():
    mean, sd = algorithm_a(COPPER)

    assert mean == pytest.approx(3.2056, abs=5e-5)
    assert sd == pytest.approx(0.6742, abs=5e-5)


def test_step_up_procedure_rejects_what_its_authors_rejected():
    rejected = benjamini_hochberg(BENJAMINI_HOCHBERG, q=0.05)

    assert rejected.tolist() == [True] * 4 + [False] * 11


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_step_up_procedure_agrees_with_scipy(seed):
    p = np.random.default_rng(seed).random(40) ** 3

    rejected = benjamini_hochberg(p, q=0.1)

    adjusted = scipy.stats.false_discovery_control(p)
    assert rejected.tolist() == (adjusted <= 0.1).tolist()


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_variance_components_agree_with_a_mixed_model(seed):
    rng = np.random.default_rng(seed)
    labels = np.repeat(np.arange(12), rng.integers(2, 9, 12))
    values = 12 + rng.normal(0, 1.5, 12)[labels] + rng.normal(0, 1, labels.size)
    frame = pd.DataFrame({"y": values, "level": labels})
    oracle = smf.mixedlm("y ~ 1", frame, groups="level").fit(reml=True)

    parts = variance_components(values, labels)

    assert_allclose(parts.between_sd**2, oracle.cov_re.iloc[0, 0], rtol=1e-3)
    assert_allclose(parts.within_sd**2, oracle.scale, rtol=1e-4)
    assert_allclose(parts.mean, oracle.fe_params.iloc[0], rtol=1e-5)


def test_h_and_k_follow_their_defining_formulas():
    # ISO 5725-2 defines both; a table small enough to work by hand.
    table = np.array([[10.0, 12.0], [11.0, 11.0], [15.0, 13.0]])

    h, k = h_and_k(table)

    assert_allclose(h, np.array([-1.0, -1.0, 2.0]) / np.sqrt(3.0))
    assert_allclose(k, np.sqrt([1.5, 0.0, 1.5]))
