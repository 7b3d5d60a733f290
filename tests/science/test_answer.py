from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose, assert_array_equal

from results.science.answer import Readings, Reason, compute_answers
from results.science.outcome import ANSWER_FIELDS, LINE_FIELDS
from tests.science.schemes import SCHEME, noisy_readings, perfect_readings

# A loaded machine is no reason to fail.
unhurried = settings(deadline=None)


def rows(readings, chosen):
    """Keep some of the submissions."""
    return Readings(*(getattr(readings, f.name)[chosen] for f in fields(readings)))


def with_value(readings, name, place, value):
    """Change one value of one field."""
    changed = getattr(readings, name).copy()
    changed[place] = value
    return replace(readings, **{name: changed})


def test_perfect_readings_give_back_the_iron_content():
    answers = compute_answers(SCHEME, perfect_readings(iron=12.0, slope=0.2))

    assert_allclose(answers.iron_percent, 12.0, rtol=1e-12)
    assert_allclose(answers.slope, 0.2, rtol=1e-12)
    assert answers.reason.tolist() == [""]


def test_transmittance_and_absorbance_of_the_same_tubes_agree():
    exact = perfect_readings()
    as_transmittance = replace(
        exact,
        standard_signal=100 * 10**-exact.standard_signal,
        unknown_signal=100 * 10**-exact.unknown_signal,
        is_absorbance=np.array([False]),
    )

    answers = compute_answers(SCHEME, as_transmittance)

    assert_allclose(answers.iron_percent, 12.0, rtol=1e-12)


def test_plain_interval_is_the_textbook_one_around_the_answer():
    answers = compute_answers(SCHEME, noisy_readings(20, seed=1), method="plain")

    half_width = answers.high - answers.iron_percent
    assert_allclose(half_width / answers.standard_uncertainty, 3.18245, rtol=1e-5)
    assert_allclose(answers.iron_percent - answers.low, half_width, rtol=1e-10)


@unhurried
@given(st.floats(0.5, 2.0), st.integers(0, 99))
def test_scaling_the_unknown_mass_scales_the_answer_inversely(scale, seed):
    readings = noisy_readings(3, seed)
    heavier = replace(readings, unknown_mass_g=readings.unknown_mass_g * scale)

    before, after = (compute_answers(SCHEME, r) for r in (readings, heavier))

    assert_allclose(after.iron_percent, before.iron_percent / scale, rtol=1e-11)


@unhurried
@given(st.floats(0.5, 2.0), st.integers(0, 99))
def test_scaling_the_standard_mass_scales_the_answer(scale, seed):
    readings = noisy_readings(3, seed)
    heavier = replace(readings, standard_mass_g=readings.standard_mass_g * scale)

    before, after = (compute_answers(SCHEME, r) for r in (readings, heavier))

    assert_allclose(after.iron_percent, before.iron_percent * scale, rtol=1e-11)


@unhurried
@given(st.floats(-0.2, 0.2))
def test_shifting_every_absorbance_leaves_the_answer_unchanged(shift):
    readings = perfect_readings()
    shifted = replace(
        readings,
        standard_signal=readings.standard_signal + shift,
        unknown_signal=readings.unknown_signal + shift,
    )

    answers = compute_answers(SCHEME, shifted)

    assert_allclose(answers.iron_percent, 12.0, rtol=1e-10)


@unhurried
@given(st.permutations(range(5)), st.permutations(range(3)))
def test_order_of_the_tubes_does_not_matter(standards, unknowns):
    readings = noisy_readings(4, seed=5)
    permuted = replace(
        readings,
        standard_taken_mL=readings.standard_taken_mL[:, standards],
        standard_signal=readings.standard_signal[:, standards],
        unknown_signal=readings.unknown_signal[:, unknowns],
    )

    before, after = (compute_answers(SCHEME, r) for r in (readings, permuted))

    assert_allclose(after.iron_percent, before.iron_percent, rtol=1e-12)
    assert_allclose(after.low, before.low, rtol=1e-12)


@unhurried
@given(st.permutations(range(7)), st.integers(1, 7))
def test_answer_does_not_depend_on_the_batch_it_is_computed_in(order, size):
    readings = noisy_readings(7, seed=3)
    chosen = np.array(order[:size])

    whole = compute_answers(SCHEME, readings)
    part = compute_answers(SCHEME, rows(readings, chosen))

    for field in fields(whole):
        assert_array_equal(
            getattr(part, field.name), getattr(whole, field.name)[chosen]
        )


def test_missing_replicate_leaves_the_mean_of_the_others():
    readings = with_value(perfect_readings(), "standard_signal", (0, 2, 1), np.nan)

    answers = compute_answers(SCHEME, readings)

    assert answers.n_standards.tolist() == [5]
    assert_allclose(answers.iron_percent, 12.0, rtol=1e-12)


def test_missing_standard_leaves_a_line_of_the_others():
    readings = with_value(perfect_readings(), "standard_signal", (0, 2), np.nan)

    answers = compute_answers(SCHEME, readings)

    assert answers.n_standards.tolist() == [4]
    assert_allclose(answers.iron_percent, 12.0, rtol=1e-12)


def test_missing_unknown_tube_leaves_the_mean_of_the_others():
    readings = with_value(perfect_readings(), "unknown_signal", (0, 1), np.nan)

    answers = compute_answers(SCHEME, readings)

    assert answers.n_unknowns.tolist() == [2]
    assert_allclose(answers.iron_percent, 12.0, rtol=1e-12)


def test_unknown_tubes_of_different_volumes_give_the_same_iron():
    readings = perfect_readings(intercept=0.0)
    signal = readings.unknown_signal * np.array([0.4, 1.0, 2.0])[:, None]
    uneven = replace(
        readings,
        unknown_taken_mL=np.array([[10.0, 25.0, 50.0]]),
        unknown_signal=signal,
    )

    answers = compute_answers(SCHEME, uneven)

    assert_allclose(answers.iron_percent, 12.0, rtol=1e-12)


UNANSWERABLE = [
    ("standard_mass_g", 0, np.nan, Reason.NO_MASS),
    ("unknown_mass_g", 0, 0.0, Reason.NO_MASS),
    ("unknown_mass_g", 0, np.inf, Reason.NO_MASS),
    ("standard_signal", (0, slice(2)), np.nan, Reason.COMPUTED),
    ("standard_signal", (0, slice(3)), np.nan, Reason.TOO_FEW_STANDARDS),
    ("standard_taken_mL", (0, slice(3)), np.nan, Reason.TOO_FEW_STANDARDS),
    ("standard_taken_mL", 0, 10.0, Reason.STANDARDS_ALL_ALIKE),
    ("standard_taken_mL", 0, 0.0, Reason.STANDARDS_ALL_ALIKE),
    ("standard_signal", 0, 0.3, Reason.LINE_NOT_RISING),
    ("unknown_signal", 0, np.nan, Reason.NO_UNKNOWN_READING),
    ("unknown_taken_mL", 0, np.nan, Reason.NO_UNKNOWN_READING),
    ("unknown_signal", 0, 0.001, Reason.UNKNOWN_NOT_ABOVE_ZERO),
]


@pytest.mark.parametrize(("name", "place", "value", "reason"), UNANSWERABLE)
def test_each_obstacle_has_its_reason(name, place, value, reason):
    readings = with_value(perfect_readings(), name, place, value)

    answers = compute_answers(SCHEME, readings)

    assert answers.reason.tolist() == [reason]
    assert np.isnan(answers.iron_percent[0]) == bool(reason)


def test_falling_line_is_not_answered():
    readings = perfect_readings()
    falling = replace(readings, standard_signal=readings.standard_signal[:, ::-1])

    answers = compute_answers(SCHEME, falling)

    assert answers.reason.tolist() == [Reason.LINE_NOT_RISING]


def test_line_that_may_be_flat_has_no_finite_interval():
    scattered = np.array([0.3, 0.1, 0.5, 0.2, 0.4])[None, :, None]
    readings = replace(
        perfect_readings(), standard_signal=np.repeat(scattered, 2, axis=2)
    )

    answers = compute_answers(SCHEME, readings)

    assert answers.reason.tolist() == [Reason.NO_FINITE_INTERVAL]


def test_large_batch_with_gaps_is_computed_row_by_row():
    readings = noisy_readings(9000, seed=4)
    gaps = np.random.default_rng(4).random((9000, 5, 1)) < 0.2
    readings.standard_signal[np.broadcast_to(gaps, (9000, 5, 2))] = np.nan
    few = np.array([8999, 17, 8192, 8191, 0])

    whole = compute_answers(SCHEME, readings)

    part = compute_answers(SCHEME, rows(readings, few))
    for field in fields(whole):
        assert_array_equal(getattr(part, field.name), getattr(whole, field.name)[few])


def test_nothing_beyond_a_bad_row_is_touched_by_it():
    readings = noisy_readings(3, seed=8)
    broken = with_value(readings, "standard_signal", 1, -5.0)

    before, after = (compute_answers(SCHEME, r) for r in (readings, broken))

    assert after.reason.tolist() == ["", Reason.TOO_FEW_STANDARDS, ""]
    assert_array_equal(after.low[[0, 2]], before.low[[0, 2]])


def test_no_submissions_give_no_answers():
    answers = compute_answers(SCHEME, perfect_readings(groups=0))

    assert answers.iron_percent.shape == (0,)
    assert answers.reason.shape == (0,)


TESTS = {"mandel_f", "mandel_p", "lack_of_fit_f", "lack_of_fit_p"}
ALWAYS_FINITE = [n for n in (*LINE_FIELDS, *ANSWER_FIELDS) if n not in TESTS]
signals = st.one_of(st.floats(allow_nan=True, allow_infinity=True), st.just(0.0))


@unhurried
@given(st.lists(signals, min_size=16, max_size=16), st.booleans())
def test_whatever_is_typed_an_answer_is_finite_or_has_a_reason(typed, is_absorbance):
    exact = perfect_readings(replicates=1)
    readings = Readings(
        standard_mass_g=np.array([0.21]),
        unknown_mass_g=np.array(typed[8:9]),
        standard_taken_mL=exact.standard_taken_mL,
        unknown_taken_mL=np.array([typed[9:12]]),
        standard_signal=np.array(typed[:5])[None, :, None],
        unknown_signal=np.array(typed[5:8])[None, :, None],
        is_absorbance=np.array([is_absorbance]),
    )

    answers = compute_answers(SCHEME, readings)

    numbers = [getattr(answers, name)[0] for name in ALWAYS_FINITE]
    assert answers.reason[0] or np.isfinite(numbers).all()
