"""Values of lots and the sameness of vials, against published numbers and libraries."""

import math

import GTC
import numpy as np
import pandas as pd
import pytest
import scipy.stats
import statsmodels.formula.api as smf
from numpy.testing import assert_allclose

from results.science.assay import Experience, MakeUp, Scatter, made_up, mean_of
from results.science.estimates import combined
from results.science.homogeneity import expansion_factors, homogeneity
from results.science.outlying import grubbs_limit
from results.science.titration import (
    Titrant,
    Titrations,
    iron_percent,
    shared_components,
)

# JCGM 100:2008, H.5, table H.9: a voltage standard on ten days, five observations
# each; means above 10 V and standard deviations in µV. Quoted from memory, and
# consistent with the results that the guide gives.
DAY_MEAN_uV = (172, 116, 13, 144, 106, 31, 60, 125, 163, 41)
DAY_SD_uV = (60, 77, 111, 101, 67, 93, 80, 73, 88, 86)


def voltage_standard():
    """Five observations a day with just that mean and standard deviation."""
    pattern = np.array([-1.0, -1.0, 0.0, 1.0, 1.0])
    values = np.add.outer(DAY_MEAN_uV, np.zeros(5)) + np.outer(DAY_SD_uV, pattern)
    return values.ravel(), np.repeat(np.arange(10), 5).astype(str)


def test_scatter_between_days_is_that_of_the_guide():
    found = homogeneity(*voltage_standard(), sigma_pt=1000.0)

    # H.5.2.4 and H.5.2.6: s_b 85 µV, s_a 128 µV, F 2.25, between days 43 µV.
    assert found.s_within == pytest.approx(85, abs=0.5)
    assert math.sqrt(found.ms_between) == pytest.approx(128, abs=0.5)
    assert found.f_ratio == pytest.approx(2.25, abs=0.03)
    assert found.s_between == pytest.approx(43, abs=0.5)


def test_a_mean_over_days_that_differ_is_that_of_the_guide():
    found = mean_of(*voltage_standard())

    # H.5.2.5: the days' means are the sample, 18 µV on nine degrees of freedom.
    assert found.scatter is Scatter.VIALS
    assert found.value == pytest.approx(97.1)
    assert found.u == pytest.approx(18, abs=0.5)
    assert found.df == 9


# ISO 5725-2:1994, table 5, one largest or one smallest value, upper 5 % and 1 %;
# from memory.
@pytest.mark.parametrize(
    ("n", "straggler", "outlier"),
    [(3, 1.155, 1.155), (4, 1.481, 1.496), (5, 1.715, 1.764), (6, 1.887, 1.973),
     (7, 2.020, 2.139), (8, 2.126, 2.274), (9, 2.215, 2.387), (10, 2.290, 2.482)],
)  # fmt: skip
def test_limits_of_the_furthest_replicate_are_those_of_the_standard(
    n, straggler, outlier
):
    assert grubbs_limit(n, 0.05) == pytest.approx(straggler, abs=1.1e-3)
    assert grubbs_limit(n, 0.01) == pytest.approx(outlier, abs=1.1e-3)


# ISO 13528:2015, table B.1, which is that of T. Fearn and M. Thompson, Analyst 126
# (2001) 1414, for vials in duplicate.
@pytest.mark.parametrize(
    ("vials", "first", "second"),
    [(7, 2.10, 1.43), (8, 2.01, 1.25), (9, 1.94, 1.11), (10, 1.88, 1.01),
     (11, 1.83, 0.93), (12, 1.79, 0.86), (14, 1.72, 0.75), (16, 1.67, 0.68),
     (18, 1.62, 0.62), (20, 1.59, 0.57)],
)  # fmt: skip
def test_factors_of_the_expanded_criterion_are_those_of_the_standard(
    vials, first, second
):
    found = expansion_factors(vials - 1, vials, 2)

    assert_allclose(found, (first, second), atol=0.0051)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_scatter_of_unequal_vials_agrees_with_the_method_of_moments(seed):
    rng = np.random.default_rng(seed)
    vials = np.repeat(np.arange(11), rng.integers(2, 5, 11)).astype(str)
    values = 12 + rng.normal(0, 0.2, 11)[vials.astype(int)]
    values += rng.normal(0, 0.05, vials.size)
    fit = smf.ols("y ~ C(vial)", pd.DataFrame({"y": values, "vial": vials})).fit()

    found = homogeneity(values, vials, sigma_pt=0.3)

    # E(MS_between) = sigma_w² + n0 sigma_b², with n0 from the design matrix.
    dummies = pd.get_dummies(vials).to_numpy(dtype=float)
    centred = np.eye(vials.size) - 1 / vials.size
    n0 = np.trace(dummies.T @ centred @ dummies) / fit.df_model
    between = fit.ess / fit.df_model
    assert_allclose(found.n_per_vial, n0)
    assert_allclose(found.s_between**2, (between - fit.mse_resid) / n0)
    assert_allclose((found.f_ratio, found.p_value), (fit.fvalue, fit.f_pvalue))


def test_the_power_of_a_check_is_that_of_drawn_lots():
    rng = np.random.default_rng(510)
    vials = np.repeat(np.arange(6), 2).astype(str)
    lots = rng.normal(0, 0.09, (4000, 6)).repeat(2, axis=1)
    lots += rng.normal(0, 0.08, (4000, 12))
    p = scipy.stats.f_oneway(*np.split(lots, 6, axis=1), axis=1).pvalue
    scatter = np.tile([0.08 / math.sqrt(2), -0.08 / math.sqrt(2)], 6)

    found = homogeneity(scatter, vials, sigma_pt=0.3)

    assert found.s_within == pytest.approx(0.08)
    assert found.power == pytest.approx(np.mean(p < 0.05), abs=0.025)


def test_a_make_up_agrees_with_propagation_by_a_library():
    record = MakeUp(398.6, 101.2, 0.142416, 0.997, 0.0025, 0.8, 0.3, balance_u_g=0.02)
    salt, diluent = GTC.ureal(398.6, 0.02), GTC.ureal(101.2, 0.02)
    purity, water = GTC.ureal(0.997, 0.0025), GTC.ureal(0.8, 0.3)
    w = 100 * salt * purity * 0.142416 * (1 - water / 100) / (salt + diluent)

    found = made_up(record)

    assert_allclose((found.value, found.u), (GTC.value(w), GTC.uncertainty(w)))


def test_an_assay_agrees_with_propagation_by_a_library():
    shared = Titrations(Titrant.DICHROMATE, 0.01667, 0.00002, 0.05)
    mass_g = np.array([0.8012, 0.7988, 0.8105, 0.7931])
    titre_mL = np.array([17.31, 17.22, 17.50, 17.11])
    results = iron_percent(mass_g, titre_mL, shared)
    mean = mean_of(results, [""] * 4)

    parts = (mean.component, *shared_components(mass_g, titre_mL, shared))
    found = combined(mean.value, parts)

    titrant = GTC.ureal(0.01667, 0.00002)
    burette = GTC.ureal(titre_mL.mean(), 0.05 / math.sqrt(6))
    balance = GTC.ureal(mass_g.mean(), 0.0002)
    mole_ratio = 6 * 55.845 / 10
    w = (burette - 0.05) * titrant * mole_ratio / balance
    whole = w + GTC.ureal(0, np.std(results, ddof=1) / 2, 3)
    assert found.value == pytest.approx(GTC.value(w), rel=1e-4)
    assert found.u == pytest.approx(GTC.uncertainty(whole), rel=1e-4)
    assert found.df == pytest.approx(GTC.dof(whole), rel=1e-3)
    assert found.k == pytest.approx(GTC.reporting.k_factor(GTC.dof(whole)), rel=1e-3)


def test_cerium_and_dichromate_have_their_textbook_equivalents():
    # One millilitre of a 0.1 N oxidant stands for 5.585 mg of iron: the equivalent
    # weight of iron in any textbook of volumetric analysis.
    cerium = Titrations(Titrant.CERIUM, 0.1, 0.0)
    dichromate = Titrations(Titrant.DICHROMATE, 0.1 / 6, 0.0)

    for shared in (cerium, dichromate):
        assert_allclose(iron_percent([1.0], [1.0], shared), 0.5585, atol=6e-5)


def test_pooling_with_experience_is_the_guides_pooled_variance():
    values = [12.02, 12.06, 12.01]
    own = np.var(values, ddof=1)

    found = mean_of(values, [""] * 3, Experience(sd=0.04, df=18))

    # JCGM 100:2008, 4.2.4 with H.3.6: variances weighted by degrees of freedom.
    assert found.u == pytest.approx(math.sqrt((2 * own + 18 * 0.04**2) / 20 / 3))
    assert found.df == 20
