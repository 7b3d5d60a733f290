from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from results.science.answer import Readings, compute_answers
from results.science.diagnosis import diagnose, no_context
from tests.science.schemes import SCHEME, noisy_readings, perfect_readings


def findings_of(readings):
    """Answer and diagnose."""
    return diagnose(SCHEME, readings, compute_answers(SCHEME, readings))


def seen(readings):
    """Say what was noticed, as pairs of code and tube."""
    return {(finding.code, finding.tube) for finding in findings_of(readings)}


def test_perfect_readings_give_nothing_to_say():
    assert findings_of(perfect_readings(groups=3)) == []


def test_clean_groups_raise_fewer_than_one_false_alarm_in_a_hundred():
    readings = noisy_readings(3000, seed=11)

    alarmed = {finding.row for finding in findings_of(readings)}

    assert len(alarmed) / 3000 < 0.01


@pytest.mark.parametrize("tube", [1, 2, 3])
def test_standard_off_by_a_quarter_is_named(tube):
    readings = perfect_readings()
    readings.standard_signal[0, tube] *= 1.25

    (finding,) = findings_of(readings)

    assert (finding.code, finding.tube) == ("tube_off", str(tube + 1))
    assert finding.probability > 0.5
    assert finding.numbers["absorbance"] > finding.numbers["expected_absorbance"]


def test_exchanged_standards_are_named_together():
    readings = perfect_readings()
    readings.standard_signal[0, [1, 3]] = readings.standard_signal[0, [3, 1]]

    assert seen(readings) == {("tubes_swapped", "2,4")}


def test_unknown_tube_that_disagrees_is_named():
    readings = perfect_readings()
    readings.unknown_signal[0, 2] *= 1.15

    assert seen(readings) == {("unknown_tube_off", "U3")}


def test_of_two_unknown_tubes_that_disagree_neither_is_blamed():
    readings = perfect_readings()
    readings.unknown_signal[0, 2] = np.nan
    readings.unknown_signal[0, 0] *= 1.3

    assert seen(readings) == {("unknown_tube_off", "")}


def test_unknown_beyond_the_standards_is_out_of_range():
    readings = perfect_readings(iron=40.0)

    (finding,) = findings_of(readings)

    assert finding.code == "out_of_range"
    assert finding.probability > 0.99


def test_absorbances_typed_for_transmittances_are_recognised():
    readings = replace(perfect_readings(), is_absorbance=np.array([False]))

    assert seen(readings) == {("scale_mixed_up", "")}


def test_transmittances_typed_for_absorbances_are_recognised():
    readings = replace(noisy_readings(1, seed=2), is_absorbance=np.array([True]))

    assert seen(readings) == {("scale_mixed_up", "")}


def test_one_absorbance_among_transmittances_is_recognised():
    readings = noisy_readings(1, seed=2)
    readings.standard_signal[0, 4] = 0.603

    assert ("scale_mixed_up", "5") in seen(readings)


def test_reading_below_zero_is_mistyped():
    readings = noisy_readings(1, seed=2)
    readings.unknown_signal[0, 1, 0] = -57.5

    assert ("mistyped_reading", "U2") in seen(readings)


def test_a_mass_ten_times_the_plans_is_doubted_without_a_class():
    readings = noisy_readings(1, seed=2)
    readings.unknown_mass_g[:] = round(float(readings.unknown_mass_g[0]) * 10, 4)

    assert ("mistyped_mass", "") in seen(readings)


def test_a_mass_equal_to_the_plans_makes_no_other_finding_likelier():
    """However likely it is, the rest is judged as if the mass were another's."""
    readings = noisy_readings(400, seed=5)
    readings.unknown_mass_g[::4] = SCHEME.unknown_mass_g
    spread = np.full(400, 0.02)
    context = replace(
        no_context(400), standard_mass_sd_g=spread, unknown_mass_sd_g=spread
    )
    answers = compute_answers(SCHEME, readings)

    found = diagnose(SCHEME, readings, answers, context=context)

    asked = {one.row for one in found if one.code == "nominal_mass"}
    others = {one.row for one in found if one.code != "nominal_mass"}
    assert len(asked) > 20
    assert len(asked & others) <= 1


def test_no_submissions_have_no_findings():
    assert findings_of(perfect_readings(groups=0)) == []


def test_submission_without_any_reading_has_no_findings():
    readings = perfect_readings()
    readings.standard_signal[:] = np.nan
    readings.unknown_signal[:] = np.nan

    assert findings_of(readings) == []


@settings(deadline=None, max_examples=25)
@given(st.permutations(range(6)), st.integers(1, 6))
def test_findings_do_not_depend_on_the_batch(order, size):
    readings = noisy_readings(6, seed=3)
    readings.standard_signal[2, 3] -= 15.0
    chosen = np.array(order[:size])
    part = Readings(*(getattr(readings, f.name)[chosen] for f in fields(readings)))

    whole = findings_of(readings)

    expected = [
        (i, f.code, f.tube) for i, r in enumerate(chosen) for f in whole if f.row == r
    ]
    assert [(f.row, f.code, f.tube) for f in findings_of(part)] == expected


@settings(deadline=None)
@given(st.floats(1.0, 200.0), st.integers(0, 4), st.booleans())
def test_whatever_is_typed_probabilities_are_probabilities(value, tube, is_absorbance):
    readings = noisy_readings(1, seed=3)
    readings.standard_signal[0, tube] = value
    readings = replace(readings, is_absorbance=np.array([is_absorbance]))

    findings = findings_of(readings)

    assert all(0.0 <= finding.probability <= 1.0 for finding in findings)
    assert all(np.isfinite(list(f.numbers.values())).all() for f in findings)
