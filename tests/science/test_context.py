import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from results.science.answer import compute_answers
from results.science.diagnosis import (
    class_context,
    own_log_absorptivity,
    own_log_iron,
    told_the_answer,
)
from results.science.diagnosis.medians import median_of_others
from tests.science.schemes import SCHEME, perfect_readings


def left_out(values, labels, row):
    """Median of the others, the slow way."""
    others = (labels == labels[row]) & (np.arange(len(values)) != row)
    others &= np.isfinite(values)
    return np.median(values[others]) if others.any() else np.nan


@settings(deadline=None)
@given(
    arrays(float, st.integers(1, 25), elements=st.floats(-2, 2) | st.just(np.nan)),
    st.randoms(use_true_random=False),
)
def test_medians_of_others_are_those_of_leaving_each_out(values, random):
    labels = np.array([random.randrange(3) for _ in values])

    fast = median_of_others(values, labels).median

    slow = [left_out(values, labels, row) for row in range(len(values))]
    assert fast == pytest.approx(np.array(slow), nan_ok=True)


def invented_class(groups=120, stations=10):
    rng = np.random.default_rng(1)
    station = np.arange(groups) % stations
    return rng, station, np.log(0.2) + 0.01 * rng.standard_normal(groups)


def test_a_group_has_no_say_in_its_own_reference():
    _, station, values = invented_class()
    changed = values.copy()
    changed[7] += 1.0

    before = class_context(values, station).log_absorptivity[7]
    after = class_context(changed, station).log_absorptivity[7]

    assert after == pytest.approx(before, abs=1e-3)


def test_a_sound_station_is_leaned_on():
    _, station, values = invented_class(groups=400)
    values += 0.03 * np.linspace(-1, 1, 10)[station]

    context = class_context(values, station)

    assert context.log_absorptivity == pytest.approx(
        np.log(0.2) + 0.03 * np.linspace(-1, 1, 10)[station], abs=0.01
    )


def test_a_station_of_three_groups_is_leaned_on_a_little():
    _, station, values = invented_class(groups=24, stations=8)
    values[station == 2] += 0.02

    context = class_context(values, station)

    shift = np.median(context.log_absorptivity[station == 2]) - np.log(0.2)
    assert 0.004 < shift < 0.02
    assert (context.log_absorptivity_sd < 0.015).all()


def test_a_station_off_by_less_than_any_slip_is_its_own_reference():
    """Otherwise all its groups would be told of a fault that no slip makes."""
    _, station, values = invented_class(groups=400)
    values[station == 3] -= 0.055

    context = class_context(values, station)

    assert context.log_absorptivity[station == 3] == pytest.approx(
        np.log(0.2) - 0.055, abs=0.01
    )


def test_a_wild_station_does_not_pass_its_fault_on():
    _, station, values = invented_class()
    values[station == 3] -= 0.3

    context = class_context(values, station)

    assert context.log_absorptivity[station == 3] == pytest.approx(
        np.log(0.2), abs=0.02
    )


def test_fewer_than_five_groups_give_no_reference():
    _, station, values = invented_class(groups=4, stations=1)
    lot = np.zeros(4, dtype=int)

    context = class_context(values, station, log_iron=values, lot=lot)

    assert np.isnan(context.log_absorptivity).all()
    assert np.isnan(context.log_iron).all()


def test_students_view_does_not_know_assigned_values():
    rng, station, values = invented_class()
    lot = np.arange(120) % 4
    iron = np.log(10.0) + 0.1 * lot + 0.01 * rng.standard_normal(120)

    students = class_context(values, station, log_iron=iron, lot=lot)
    staff = told_the_answer(students, np.full(120, 2.0), np.full(120, 0.003))

    assert students.log_iron == pytest.approx(np.log(10.0) + 0.1 * lot, abs=0.02)
    assert not students.tells_answer
    assert staff.log_iron == pytest.approx(2.0)


def test_where_a_class_weighs_to_the_plan_equal_masses_say_nothing():
    rng, station, values = invented_class()
    honest = rng.normal(0.21, 0.01, 120).round(4)
    to_the_plan = np.where(rng.random(120) < 0.5, 0.21, honest)

    spread = class_context(values, station, standard_mass_g=honest)
    none = class_context(values, station, standard_mass_g=to_the_plan)

    assert spread.standard_mass_sd_g == pytest.approx(0.01, rel=0.3)
    assert np.isnan(none.standard_mass_sd_g).all()


def test_a_careful_class_is_known_as_careful():
    _, station, values = invented_class()
    clean = [0.6, 0.2, 0.05, 0.01, 0.01]
    care = np.tile([*clean, 0.06, 0.04, 0.01, 0.01, 0.0, 0.01], (120, 1))

    shares = class_context(values, station, care=care).care

    assert shares.sum(axis=1) == pytest.approx(1.0)
    assert (shares[:, 0] > 0.8).all()


def test_own_absorptivity_is_that_of_the_line():
    readings = perfect_readings(intercept=0.0, slope=0.19)

    own = own_log_absorptivity(SCHEME, readings, compute_answers(SCHEME, readings))

    assert np.exp(own) == pytest.approx([0.19])


def test_a_mass_off_by_a_decimal_does_not_spoil_the_class():
    readings = perfect_readings(intercept=0.0, slope=0.19)
    readings.standard_mass_g[:] = 2.1

    own = own_log_absorptivity(SCHEME, readings, compute_answers(SCHEME, readings))

    assert np.exp(own) == pytest.approx([0.19])


def test_a_group_without_an_answer_adds_nothing():
    readings = perfect_readings()
    readings.standard_signal[:] = np.nan
    answers = compute_answers(SCHEME, readings)

    assert np.isnan(own_log_absorptivity(SCHEME, readings, answers)).all()
    assert np.isnan(own_log_iron(answers)).all()
