"""Robust statistics and effects against published values."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
import scipy.stats
import statsmodels.formula.api as smf
from numpy.testing import assert_allclose

from results.science.control_chart import ewma
from results.science.effects import (
    benjamini_hochberg,
    crossed_effects,
    one_way,
    variance_components,
)
from results.science.effects.design import factors_of
from results.science.effects.equations import Equations
from results.science.robust import algorithm_a, h_and_k, h_limit, k_limit

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


@pytest.mark.parametrize(
    ("laboratories", "h"), [(3, 1.15), (6, 1.92), (8, 2.15), (10, 2.29)]
)
def test_h_limit_gives_the_tabulated_critical_values(laboratories, h):
    # ASTM E691, table of critical values at the 0.5 % level, from memory.
    assert h_limit(laboratories, level=0.005) == pytest.approx(h, abs=0.006)


def test_k_limit_gives_the_tabulated_critical_value():
    # ASTM E691, glucose example: eight laboratories, three replicates, 0.5 % level,
    # from memory.
    assert k_limit(8, 3, level=0.005) == pytest.approx(2.06, abs=0.005)


# NIST/SEMATECH e-Handbook of Statistical Methods, section 6.3.2.4, worked example:
# target 50, s 2.0539, lambda 0.3; quoted from memory and recomputed.
EWMA_DATA = np.array(
    [52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5, 49.6, 47.6, 49.9,
     51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]
)  # fmt: skip
EWMA_SMOOTHED = np.array(
    [50.60, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33, 50.11,
     49.36, 49.52, 50.05, 49.38, 49.92, 50.73, 51.23, 51.94, 51.99]
)  # fmt: skip


def test_moving_average_is_that_of_the_handbook():
    followed = ewma(EWMA_DATA, target=50.0, sd=2.0539, newest=0.3, settled=True)

    assert_allclose(followed.smoothed, EWMA_SMOOTHED, atol=0.0051)
    assert followed.high[0] == pytest.approx(52.5884, abs=2e-4)
    assert followed.low[0] == pytest.approx(47.4115, abs=2e-4)
    assert not followed.beyond.any()


def crossed_class(seed):
    """Eight sections of twelve groups at ten stations, in percent; no blunder."""
    rng = np.random.default_rng(seed)
    section = np.repeat(np.arange(8), 12)
    station = np.concatenate([rng.permutation(12) % 10 for _ in range(8)])
    effects = rng.normal(0, 2, 8)[section] + rng.normal(0, 3, 10)[station]
    y = 1.0 + effects + rng.normal(0, 1, 96)
    return y, {"section": section, "station": station}


def restricted_likelihood(y, labels):
    """The crossed model by statsmodels: sd of sections, stations, residual; BLUPs."""
    frame = pd.DataFrame({"y": y, "one": 1, **labels})
    parts = {name: f"0 + C({name})" for name in labels}
    fit = smf.mixedlm("y ~ 1", frame, groups="one", vc_formula=parts).fit(reml=True)
    names = fit.model.exog_vc.names
    sd = dict(zip(names, np.sqrt(fit.vcomp), strict=True))
    blup = fit.random_effects[1]
    effects = {
        name: np.array([blup[f"{name}[C({name})[{k}]]"] for k in np.unique(column)])
        for name, column in labels.items()
    }
    return sd, float(np.sqrt(fit.scale)), effects


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_crossed_effects_on_clean_data_agree_with_restricted_likelihood(seed):
    y, labels = crossed_class(seed)
    sd, residual_sd, blups = restricted_likelihood(y, labels)

    effects = crossed_effects(y, labels)

    # Weights and winsorising cost a little even where nothing is wrong.
    assert effects.sigma == pytest.approx(residual_sd, rel=0.15)
    for name, blup in blups.items():
        among = effects.factors[name]
        ours = np.array([one.effect for one in among.levels])
        assert among.spread == pytest.approx(sd[name], rel=0.35)
        assert_allclose(ours - ours.mean(), blup - blup.mean(), atol=0.4)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_mixed_model_equations_give_the_predictions_of_restricted_likelihood(seed):
    y, labels = crossed_class(seed)
    sd, residual_sd, blups = restricted_likelihood(y, labels)
    factors = factors_of(labels, np.ones(y.size, dtype=bool), {})
    precision = [np.full(len(one), sd[one.name] ** -2.0) for one in factors]

    solved = Equations(factors).solve(
        np.full(y.size, residual_sd**-2.0), y, np.concatenate([*precision, [0.0]])
    )

    ours = np.split(solved.effect[:-1], [len(factors[0])])
    for one, effect in zip(factors, ours, strict=True):
        assert_allclose(effect, blups[one.name], atol=1e-6)
