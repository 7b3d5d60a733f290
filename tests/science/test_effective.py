"""The default estimator: weights, class scale, budget, tests of the line."""

from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose, assert_array_equal

from results.science.answer import compute_answers
from results.science.budget import SOURCES
from results.science.class_scale import ClassScale
from results.science.dilution import parse_scheme
from results.science.inverse import read_off
from results.science.line import fit_line
from tests.science.schemes import (
    SCHEME,
    noisy_readings,
    perfect_readings,
    scheme_document,
)

# A loaded machine is no reason to fail.
unhurried = settings(deadline=None)

CLASS = ClassScale(s0_sq=1.0, d0=20.0, n=200)


def scheme_with(**changes):
    """Change top-level keys of the scheme's document."""
    return parse_scheme(scheme_document() | changes)


def test_sources_add_up_to_the_standard_uncertainty():
    answers = compute_answers(SCHEME, noisy_readings(50, seed=1), class_scale=CLASS)

    squares = sum(u**2 for u in answers.relative_uncertainties.values())

    relative = 100 * answers.standard_uncertainty / answers.iron_percent
    assert tuple(answers.relative_uncertainties) == SOURCES
    assert_allclose(np.sqrt(squares), relative, rtol=1e-12)


def test_class_scale_replaces_most_of_a_groups_own_scatter():
    answers = compute_answers(SCHEME, noisy_readings(5, seed=1), class_scale=CLASS)

    assert_allclose(answers.moderated_df, 23.0)
    assert_allclose(answers.moderated_phi, (20 + 3 * answers.phi) / 23)


def test_flagged_group_keeps_its_own_scale():
    readings, flagged = noisy_readings(3, seed=1), np.array([False, True, False])

    answers = compute_answers(SCHEME, readings, class_scale=CLASS, flagged=flagged)

    own = compute_answers(SCHEME, readings)
    assert answers.low[1] == own.low[1]
    assert answers.moderated_df.tolist() == [23.0, 3.0, 23.0]


def test_plain_method_is_the_textbooks_line_and_interval():
    readings = noisy_readings(30, seed=2)

    answers = compute_answers(SCHEME, readings, method="plain")

    line = fit_line(answers.concentration_mg_L, answers.standard_absorbance)
    mean = answers.unknown_absorbance.mean(axis=1)
    book = read_off(line, mean, replicates=3)
    factor = answers.iron_percent / answers.unknown_mg_L
    assert_allclose(answers.unknown_mg_L, book.value, rtol=1e-12)
    assert_allclose(answers.low, book.low * factor, rtol=1e-10)
    assert_allclose(answers.residual_sd, line.residual_sd, rtol=1e-9)


def test_plain_method_gives_fiellers_limits_where_the_slope_is_unsure():
    readings = perfect_readings()
    readings.standard_signal[0] += np.array([0.1, -0.07, 0.0, 0.08, -0.1])[:, None]

    answers = compute_answers(SCHEME, readings, method="plain")

    line = fit_line(answers.concentration_mg_L, answers.standard_absorbance)
    signal = answers.unknown_absorbance.mean(axis=1)
    book = read_off(line, signal, replicates=3, method="fieller")
    factor = answers.iron_percent / answers.unknown_mg_L
    assert 0.05 < answers.fieller_g[0] < 1.0
    assert answers.interval_method.tolist() == ["fieller"]
    assert_allclose(answers.low, book.low * factor, rtol=1e-9)
    assert_allclose(answers.high, book.high * factor, rtol=1e-9)


def test_sharp_line_has_the_symmetric_interval():
    answers = compute_answers(SCHEME, noisy_readings(4, seed=3))

    assert answers.interval_method.tolist() == ["approximate"] * 4
    assert (answers.fieller_g < 0.05).all()


def test_own_meter_figures_replace_the_schemes():
    readings = noisy_readings(2, seed=1)
    same = replace(readings, step=np.array([0.5, np.nan]), sd=np.array([0.3, np.nan]))
    coarse = replace(readings, step=np.array([2.0, 2.0]))

    base, stated, rough = (
        compute_answers(SCHEME, r, class_scale=CLASS) for r in (readings, same, coarse)
    )

    assert_allclose(stated.low, base.low, rtol=1e-13)
    assert (rough.u_reading > base.u_reading).all()


def test_absorbance_meter_is_weighted_by_its_own_constant_scatter():
    readings = perfect_readings()
    stated = replace(readings, step=np.array([0.001]), sd=np.array([0.002]))
    scheme = scheme_with(
        reading={"scale": "absorbance", "step": 0.001, "sd": 0.002},
    )

    by_group = compute_answers(SCHEME, stated, class_scale=CLASS)

    by_scheme = compute_answers(scheme, readings, class_scale=CLASS)
    assert_allclose(by_group.u_reading, by_scheme.u_reading, rtol=1e-13)
    assert_allclose(by_group.slope_se, by_scheme.slope_se, rtol=1e-13)


def test_relative_scatter_of_the_reading_widens_the_interval():
    reading = {"scale": "percent_T", "step": 0.5, "sd": 0.3, "sd_relative": 0.01}
    readings = noisy_readings(2, seed=1)

    wide = compute_answers(scheme_with(reading=reading), readings, class_scale=CLASS)

    base = compute_answers(SCHEME, readings, class_scale=CLASS)
    assert (wide.standard_uncertainty > base.standard_uncertainty).all()


def test_blank_counts_as_a_point_only_where_the_scheme_says_so():
    readings = replace(noisy_readings(3, seed=1), blank_signal=np.full((3, 1), 98.0))

    without = compute_answers(SCHEME, readings)
    with_blank = compute_answers(scheme_with(use_blank=True), readings)

    assert without.df.tolist() == [3.0] * 3
    assert with_blank.df.tolist() == [4.0] * 3
    assert with_blank.n_standards.tolist() == [5] * 3


def test_blank_that_was_not_read_is_at_zero_absorbance():
    readings = noisy_readings(3, seed=1)
    at_zero = replace(readings, blank_signal=np.full((3, 1), 100.0))
    scheme = scheme_with(use_blank=True)

    unread, read = (compute_answers(scheme, r) for r in (readings, at_zero))

    assert_allclose(unread.iron_percent, read.iron_percent, rtol=1e-13)


def test_blank_sharpens_the_answer():
    scheme, readings = scheme_with(use_blank=True), noisy_readings(3, seed=1)
    sure = replace(CLASS, d0=1e4)

    with_blank = compute_answers(scheme, readings, class_scale=sure)

    without = compute_answers(SCHEME, readings, class_scale=sure)
    assert (with_blank.u_calibration < without.u_calibration).all()


@unhurried
@given(st.floats(-0.2, 0.2))
def test_shifting_absorbances_of_constant_scatter_changes_nothing(shift):
    scheme = scheme_with(reading={"scale": "absorbance", "step": 0.001, "sd": 0.004})
    noise = np.random.default_rng(0).normal(0, 0.004, (1, 5, 1))
    readings = perfect_readings()
    readings = replace(readings, standard_signal=readings.standard_signal + noise)
    shifted = replace(
        readings,
        standard_signal=readings.standard_signal + shift,
        unknown_signal=readings.unknown_signal + shift,
    )

    before, after = (compute_answers(scheme, r) for r in (readings, shifted))

    assert_allclose(after.iron_percent, before.iron_percent, rtol=1e-10)
    assert_allclose(after.low, before.low, rtol=1e-8)


@pytest.mark.parametrize("scale", [1e-3, 1e3])
def test_masses_in_another_unit_give_the_same_answer(scale):
    readings = noisy_readings(4, seed=6)
    rescaled = replace(
        readings,
        standard_mass_g=readings.standard_mass_g * scale,
        unknown_mass_g=readings.unknown_mass_g * scale,
    )
    scheme = scheme_with(tolerances={"balance_u_g": 0.0002 * scale})

    before, after = compute_answers(SCHEME, readings), compute_answers(scheme, rescaled)

    assert_allclose(after.iron_percent, before.iron_percent, rtol=1e-11)
    assert_allclose(after.high, before.high, rtol=1e-11)
    assert_allclose(after.slope * scale, before.slope, rtol=1e-11)


def test_detection_limit_is_twice_t_times_the_scatter_at_zero():
    answers = compute_answers(SCHEME, noisy_readings(1, seed=2), method="plain")

    x = answers.concentration_mg_L[0]
    at_zero = 1 / 3 + 1 / 5 + x.mean() ** 2 / np.sum((x - x.mean()) ** 2)
    s0 = answers.residual_sd * np.sqrt(at_zero) / answers.slope
    # 2.353: one-sided 95 % quantile of Student's t, 3 degrees of freedom.
    assert_allclose(answers.detection_limit_mg_L, 2 * 2.353363 * s0, rtol=1e-6)
    assert_allclose(answers.quantification_limit_mg_L, 10 * s0, rtol=1e-9)


def test_molar_absorptivity_follows_from_the_slope_and_the_path():
    short = scheme_with(path_cm=0.5)

    answers = compute_answers(short, perfect_readings(slope=0.2))

    assert_allclose(answers.molar_absorptivity, 0.2 * 55_845 / 0.5, rtol=1e-12)


def test_three_standards_cannot_be_tested_for_a_curve():
    readings = noisy_readings(1, seed=2)
    readings.standard_signal[0, :2] = np.nan

    answers = compute_answers(SCHEME, readings)

    assert answers.reason.tolist() == [""]
    assert np.isnan(answers.mandel_p[0])


@pytest.mark.parametrize("n", [3, 4, 8, 12])
def test_any_usual_number_of_standards_is_answered(n):
    document = scheme_document()
    document["standards"] = [
        {"tube": str(i), "take_mL": v, "with": "burette", "make_up_mL": 100}
        for i, v in enumerate(np.linspace(5, 50, n).tolist(), start=1)
    ]
    scheme, one = parse_scheme(document), perfect_readings()
    x = scheme.standard_take_mL / 100 * one.standard_mass_g * 1e3
    x = x * scheme.analyte_fraction * 2 * 25 / 250
    readings = replace(
        one,
        standard_taken_mL=scheme.standard_take_mL[None],
        standard_signal=(0.005 + 0.2 * x)[None, :, None],
    )

    answers = compute_answers(scheme, readings)

    assert answers.df.tolist() == [n - 2.0]
    assert_allclose(answers.iron_percent, 12.0, rtol=1e-11)


@unhurried
@given(st.permutations(range(7)), st.integers(1, 7))
def test_rows_of_a_class_do_not_depend_on_each_other(order, size):
    readings, flagged = noisy_readings(7, seed=3), np.arange(7) % 3 == 0
    readings.standard_signal[2, 1] = np.nan
    chosen = np.array(order[:size])
    whole = compute_answers(SCHEME, readings, class_scale=CLASS, flagged=flagged)

    part = compute_answers(
        SCHEME, readings.rows(chosen), class_scale=CLASS, flagged=flagged[chosen]
    )

    for field in fields(whole):
        expected = getattr(whole, field.name)[chosen]
        assert_array_equal(getattr(part, field.name), expected)


def test_unequal_unknown_tubes_are_read_together():
    readings = noisy_readings(2, seed=3)
    readings.unknown_taken_mL[0] = [20.0, 25.0, 30.0]
    straight = -np.log10(readings.unknown_signal[0] / 100) - 0.005
    bent = straight * np.array([0.8, 1.0, 1.2])[:, None] + 0.005
    readings.unknown_signal[0] = 100 * 10**-bent

    uneven = compute_answers(SCHEME, readings, class_scale=CLASS)

    even = compute_answers(SCHEME, noisy_readings(2, seed=3), class_scale=CLASS)
    assert_allclose(uneven.iron_percent, even.iron_percent, rtol=2e-3)
    assert_allclose(uneven.standard_uncertainty, even.standard_uncertainty, rtol=0.05)


def test_unknown_delivered_by_burette_shows_under_the_burette():
    document = scheme_document()
    for tube in document["unknown"]["tubes"]:
        tube["with"] = "burette"

    answers = compute_answers(parse_scheme(document), noisy_readings(1, seed=3))

    usual = compute_answers(SCHEME, noisy_readings(1, seed=3))
    assert answers.u_burette[0] > 0.0
    assert answers.u_pipettes[0] < usual.u_pipettes[0]
