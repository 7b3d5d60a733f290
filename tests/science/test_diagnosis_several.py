"""Two slips at once, replicates, and slips that only show among groups."""

import numpy as np
import pytest

from results.science.answer import compute_answers
from results.science.diagnosis import diagnose, other_lot, same_readings
from tests.exam.reference import Bench, Design, _typed, _work, draw_class, read
from tests.exam.scoring import context_of
from tests.science.schemes import SCHEME, noisy_readings


@pytest.fixture(scope="module")
def twice():
    """Sixty groups with a tube off and the unknown short, in a class of 300."""
    rng = np.random.default_rng(41)
    bench, station, lot, percent = _work(rng, 300, Design())
    assert isinstance(bench, Bench)
    bench.c[:60, 3] *= 1.2
    bench.u[:60] *= 0.85
    read(bench)
    readings, scheme = _typed(bench), Design().scheme()
    context = context_of(scheme, readings, station, lot, percent[lot])
    answers = compute_answers(scheme, readings)
    return diagnose(scheme, readings, answers, context=context)


def test_two_slips_in_different_places_are_both_named(twice):
    named = [{one.code for one in twice if one.row == row} for row in range(60)]

    assert sum({"tube_off", "unknown_side"} <= codes for codes in named) >= 54


def test_the_first_of_two_slips_keeps_its_tube(twice):
    tubes = [one.tube for one in twice if one.row < 60 and one.code == "tube_off"]

    assert tubes.count("4") >= 0.95 * len(tubes)


def test_one_slip_is_not_made_two():
    drawn = draw_class(np.random.default_rng(42), 400, names=["two tubes swapped"])
    context = context_of(
        drawn.scheme, drawn.readings, drawn.station, drawn.lot, drawn.assigned
    )

    found = diagnose(
        drawn.scheme,
        drawn.readings,
        compute_answers(drawn.scheme, drawn.readings),
        context=context,
    )

    sure = [one for one in found if one.probability > 0.5]
    assert len({one.row for one in sure}) >= 0.98 * len(sure)


def test_one_replicate_with_its_digits_swapped_is_a_mistyped_reading():
    readings = noisy_readings(1, seed=4)
    readings.standard_signal[0, 2] = [75.0, 57.0]

    (first, *_) = diagnose(SCHEME, readings, compute_answers(SCHEME, readings))

    assert (first.code, first.tube) == ("mistyped_reading", "3")


def test_without_a_reference_the_standards_and_the_meter_are_one_finding():
    readings = noisy_readings(1, seed=5)
    absorbance = 2 - np.log10(readings.standard_signal)
    readings.standard_signal[:] = 100 * 10 ** -(0.5 * absorbance)
    unknown = 2 - np.log10(readings.unknown_signal)
    readings.unknown_signal[:] = 100 * 10 ** -(0.5 * unknown)

    found = diagnose(SCHEME, readings, compute_answers(SCHEME, readings))

    (whole,) = [one for one in found if one.code in {"standards_side", "meter_scale"}]
    assert {"wavelength_of_last_user", "wrong_pipette_for_stock"} <= set(whole.members)


def test_students_are_given_no_figure_of_the_unknown(twice):
    numbers = [one.numbers for one in twice if one.code == "unknown_side"]

    assert numbers
    assert all(set(given) == {"tubes"} for given in numbers)


def test_same_readings_in_two_groups_are_found():
    rng = np.random.default_rng(43)
    percent_T = np.round(rng.normal([85, 72, 60, 50, 42, 55], 1.5, (60, 6)) * 2) / 2
    percent_T[17] = percent_T[4]

    found = same_readings(percent_T, np.arange(60))

    assert [one.row for one in found] == [4, 17]
    assert all(one.probability > 0.9 for one in found)
    assert all(one.numbers["groups"] == 2.0 for one in found)


def test_the_chance_of_equality_is_the_product_of_the_tubes_own():
    """Counted out tube by tube, with half a group more for what was never seen."""
    rng = np.random.default_rng(44)
    percent_T = rng.integers(50, 53, (40, 5)).astype(float)
    percent_T[:, 4] = np.where(rng.random(40) < 0.5, np.nan, 50.0)
    percent_T[30] = percent_T[11] = [50.0, 51.0, 52.0, 50.0, np.nan]
    chance = 1.0
    for column in percent_T.T[:4]:
        read = (column[11] == column).sum() - 2
        chance *= (read + 0.5) / (len(column) - 2 + 1)

    found = same_readings(percent_T, np.arange(40))

    (one,) = [one for one in found if one.row == 11]
    assert one.probability == pytest.approx(0.005 / (0.005 + 40 * chance), rel=1e-12)


def test_two_submissions_of_one_group_are_no_finding():
    percent_T = np.tile([85.0, 72.0, 60.0, 50.0], (2, 1))

    assert same_readings(percent_T, np.array([3, 3])) == []


def test_three_tubes_that_agree_prove_nothing():
    percent_T = np.tile([85.0, 72.0, 60.0, np.nan], (2, 1))

    assert same_readings(percent_T, np.array([3, 4])) == []


def test_an_answer_equal_to_another_lot_is_found():
    assigned = np.log([8.0, 10.0, 12.5])
    iron = np.log([8.05, 12.45, 9.0])
    lots = np.array([0, 1, 1])

    (found,) = other_lot(iron, lots, assigned)

    assert (found.row, found.numbers["lot"]) == (1, 2.0)
    assert 0.2 < found.probability < 1.0


def test_every_finding_of_a_class_has_a_probability_and_finite_figures():
    drawn = draw_class(np.random.default_rng(44), 300, slipped=1.0)

    found = diagnose(
        drawn.scheme, drawn.readings, compute_answers(drawn.scheme, drawn.readings)
    )

    assert all(0.0 <= one.probability <= 1.0 for one in found)
    assert all(np.isfinite(list(one.numbers.values())).all() for one in found)
