"""The uncertainty budget against independent programs and a published example."""

import math

import GTC
import numpy as np
import pytest
import statsmodels.api as sm
from numpy.testing import assert_allclose

from results.science.answer import compute_answers
from results.science.class_scale import ClassScale
from results.science.glassware import Handling, Tolerances
from tests.science.reference_class import STATED_U_ML, draw_class

CLASS = ClassScale(s0_sq=0.95, d0=12.0, n=400)
SAMPLE = draw_class(6, seed=11)


def reading_variance(absorbance):
    """Declared variance of one reading, written out."""
    percent_T = 100 * 10**-absorbance
    sd = math.sqrt(0.2**2 + (0.003 * percent_T) ** 2 + 0.5**2 / 12)
    return (sd / percent_T / math.log(10)) ** 2


def point_variances(x, y):
    """Variances of the standards about a line without weights, written out."""
    slope, intercept = np.polyfit(x, y, 1)
    taken = np.linspace(1.0, 5.0, len(x))
    filled = (0.02 / taken) ** 2 + (0.05 / 50) ** 2
    read = np.array([reading_variance(intercept + slope * v) for v in x])
    return read + (slope * x) ** 2 * filled


@pytest.fixture(scope="module")
def answers():
    return compute_answers(SAMPLE.scheme, SAMPLE.readings, class_scale=CLASS)


@pytest.mark.parametrize("row", range(6))
def test_line_is_that_of_a_weighted_fit_by_statsmodels(answers, row):
    x, y = answers.concentration_mg_L[row], answers.standard_absorbance[row]
    weights = 1 / point_variances(x, y)

    fit = sm.WLS(y, sm.add_constant(x), weights=weights).fit()

    assert_allclose(answers.intercept[row], fit.params[0], rtol=1e-9)
    assert_allclose(answers.slope[row], fit.params[1], rtol=1e-11)
    assert_allclose(answers.phi[row], fit.scale, rtol=1e-9)
    inflated = fit.bse * np.sqrt(answers.moderated_phi[row] / fit.scale)
    assert_allclose(answers.slope_se[row], inflated[1], rtol=1e-9)
    assert_allclose(answers.intercept_se[row], inflated[0], rtol=1e-9)


@pytest.mark.parametrize("row", range(6))
def test_curvature_is_tested_as_by_a_fitted_parabola(answers, row):
    x, y = answers.concentration_mg_L[row], answers.standard_absorbance[row]
    weights = 1 / point_variances(x, y)
    straight = sm.WLS(y, sm.add_constant(x), weights=weights).fit()
    curved = sm.WLS(y, np.column_stack([np.ones(5), x, x**2]), weights=weights).fit()

    f, p, _ = curved.compare_f_test(straight)

    assert_allclose(answers.mandel_f[row], f, rtol=1e-7)
    assert_allclose(answers.mandel_p[row], p, rtol=1e-7)


def shared_factors():
    """One GTC number for each thing all tubes share."""
    flask, pipette = (
        lambda mL: GTC.ureal(mL, STATED_U_ML["flask", mL], label=f"flask {mL}"),
        lambda mL: GTC.ureal(mL, STATED_U_ML["pipette", mL], label=f"pipette {mL}"),
    )
    return {
        "masses": [],
        "flasks": [flask(100), flask(100), flask(250), flask(100)],
        "pipettes": [pipette(10), pipette(10)],
        "purity": [GTC.ureal(0.99, 0.003)],
    }


def budget_by_gtc(answers, row):
    """Carry every input through the chain by GTC's own first-order propagation."""
    x, y = answers.concentration_mg_L[row], answers.standard_absorbance[row]
    variances = point_variances(x, y)
    phi = float(answers.moderated_phi[row])
    points = [
        GTC.ureal(float(a), math.sqrt(phi * v))
        for a, v in zip(y, variances, strict=True)
    ]
    w = 1 / variances
    mean_x = float(np.sum(w * x) / np.sum(w))
    mean_y = sum(float(k) * p for k, p in zip(w, points, strict=True)) / float(w.sum())
    sum_squares = float(np.sum(w * (x - mean_x) ** 2))
    products = [
        float(k * (v - mean_x)) * p for k, v, p in zip(w, x, points, strict=True)
    ]
    slope = sum(products) / sum_squares
    signal = float(answers.slope[row] * answers.unknown_mg_L[row])
    fitted = float(answers.intercept[row]) + signal
    read, flask, pipette = [], [], []
    for a in answers.unknown_absorbance[row]:
        sd = math.sqrt(phi * reading_variance(fitted))
        read.append(GTC.ureal(float(a), sd))
        flask.append(GTC.ureal(0.0, signal * 0.05 / 50 * math.sqrt(phi)))
        pipette.append(GTC.ureal(0.0, signal * 0.03 / 10 * math.sqrt(phi)))
    mean_u = sum(read + flask + pipette) / len(read)
    masses = [
        GTC.ureal(float(SAMPLE.readings.standard_mass_g[row]), 0.0002),
        GTC.ureal(float(SAMPLE.readings.unknown_mass_g[row]), 0.0002),
    ]
    parts = shared_factors() | {"masses": masses}
    nominal = float(np.prod([part.x for group in parts.values() for part in group]))
    chain = 1
    for group in parts.values():
        for part in group:
            # A product has the same relative components as a quotient.
            chain = chain * part
    iron = (mean_x + (mean_u - mean_y) / slope) * chain / nominal
    iron = iron * float(answers.iron_percent[row] / answers.unknown_mg_L[row])
    parts["calibration"], parts["reading"] = points, read
    parts["flasks"] += flask
    parts["pipettes"] += pipette
    return iron, parts


@pytest.mark.parametrize("row", range(6))
def test_uncertainty_is_what_gtc_propagates(answers, row):
    iron, _ = budget_by_gtc(answers, row)

    assert_allclose(answers.iron_percent[row], iron.x, rtol=1e-9)
    assert_allclose(answers.standard_uncertainty[row], iron.u, rtol=1e-9)


@pytest.mark.parametrize(
    "source", ["calibration", "reading", "masses", "flasks", "pipettes", "purity"]
)
def test_each_source_is_what_gtc_finds(answers, source):
    iron, parts = budget_by_gtc(answers, 0)

    found = math.hypot(*(GTC.component(iron, part) for part in parts[source]))

    relative = 100 * found / iron.x
    assert_allclose(answers.relative_uncertainties[source][0], relative, rtol=1e-9)
    assert answers.u_burette[0] == 0.0


def test_effective_degrees_of_freedom_are_gtcs(answers):
    own = float(answers.unknown_mg_L_se[0] / answers.unknown_mg_L[0])
    whole = float(answers.standard_uncertainty[0] / answers.iron_percent[0])
    type_b = math.sqrt(whole**2 - own**2)

    product = GTC.ureal(1.0, own, 15.0) * GTC.ureal(1.0, type_b)

    assert_allclose(answers.effective_df[0], product.df, rtol=1e-7)
    assert_allclose(answers.coverage_factor[0], GTC.rp.k_factor(product.df), rtol=1e-6)


def test_lack_of_fit_is_that_of_an_analysis_of_variance():
    rng = np.random.default_rng(3)
    readings = SAMPLE.readings.rows(np.array([0]))
    columns = np.repeat(readings.standard_signal, 3, axis=2)
    columns = columns + rng.normal(0, 0.4, columns.shape)
    object.__setattr__(readings, "standard_signal", columns)
    answers = compute_answers(SAMPLE.scheme, readings, method="plain")

    x = np.repeat(answers.concentration_mg_L[0], 3)
    y = (2 - np.log10(columns[0])).ravel()
    straight = sm.OLS(y, sm.add_constant(x)).fit()
    levels = sm.OLS(y, np.kron(np.eye(5), np.ones((3, 1)))).fit()
    f, p, _ = levels.compare_f_test(straight)

    assert_allclose(answers.lack_of_fit_f[0], f, rtol=1e-9)
    assert_allclose(answers.lack_of_fit_p[0], p, rtol=1e-9)


def test_flask_of_the_eurachem_example_has_its_published_uncertainty():
    # EURACHEM/CITAC Guide QUAM, example A1: 100 mL flask, ±0.1 mL taken as
    # triangular gives 0.04 mL; filling it, 0.02 mL; both together with
    # temperature, left out here.
    glass = Tolerances(handling=(Handling("flask", 0.0, 0.0),))
    filled = Tolerances(handling=(Handling("flask", 0.02, 0.0),))

    assert glass.standard_uncertainty_mL("flask", 100) == pytest.approx(0.041, abs=5e-4)
    assert filled.standard_uncertainty_mL("flask", 100) == pytest.approx(
        math.hypot(0.1 / math.sqrt(6), 0.02)
    )
