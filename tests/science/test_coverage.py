"""Whether 95 % intervals hold the truth 95 times in 100, and how wide they are.

Invented clean classes of 20 000 groups, computed as a class is: a first pass for the
class scale, a second with it.
"""

import numpy as np
import pytest

from results.science.answer import compute_answers
from results.science.class_scale import fit_class_scale
from results.science.dilution import parse_scheme
from results.science.simulate import draw_groups, invented_scheme
from tests.science.reference_class import LOTS, draw_class, reference_document

GROUPS = 20_000


def computed(drawn):
    """Compute a class in two passes."""
    first = compute_answers(drawn.scheme, drawn.readings)
    scale = fit_class_scale(first.phi, first.df)
    return compute_answers(drawn.scheme, drawn.readings, class_scale=scale)


def held(drawn, answers):
    """Tell which intervals hold the truth."""
    return (answers.low <= drawn.truth) & (drawn.truth <= answers.high)


def mean_width(drawn, answers):
    """Give the mean relative width of the intervals."""
    return np.mean((answers.high - answers.low) / drawn.truth)


def oracle_width(drawn):
    """Width a 95 % interval of the best linear estimator would have."""
    return 2 * 1.96 * np.sqrt(np.mean((drawn.oracle / drawn.truth - 1) ** 2))


@pytest.fixture(scope="module")
def usual():
    drawn = draw_class(GROUPS, seed=2024)
    return drawn, computed(drawn)


def test_intervals_of_the_usual_class_hold_the_truth_as_stated(usual):
    assert 0.94 <= held(*usual).mean() <= 0.96


def test_intervals_hold_the_truth_in_every_lot(usual):
    drawn, answers = usual

    by_lot = [held(drawn, answers)[drawn.lot == lot].mean() for lot in range(len(LOTS))]

    assert min(by_lot) >= 0.93
    assert max(by_lot) <= 0.97


def test_intervals_are_about_as_narrow_as_an_oracles(usual):
    drawn, answers = usual

    assert mean_width(drawn, answers) <= 1.05 * oracle_width(drawn)


def test_intervals_are_two_thirds_of_the_textbooks_or_less(usual):
    drawn, answers = usual

    plain = compute_answers(drawn.scheme, drawn.readings, method="plain")

    assert mean_width(drawn, answers) <= 0.65 * mean_width(drawn, plain)


def test_answers_are_not_biased(usual):
    drawn, answers = usual

    error = answers.iron_percent / drawn.truth - 1

    assert abs(error.mean()) < 5 * error.std() / np.sqrt(GROUPS) + 5e-4


def test_own_scale_alone_is_nearly_honest(usual):
    drawn, _ = usual

    answers = compute_answers(drawn.scheme, drawn.readings)

    assert 0.925 <= held(drawn, answers).mean() <= 0.96


@pytest.mark.parametrize("n", range(4, 11))
def test_intervals_hold_with_any_number_of_standards(n):
    drawn = draw_class(GROUPS, seed=n, n=n)

    answers = computed(drawn)

    assert 0.93 <= held(drawn, answers).mean() <= 0.97
    assert mean_width(drawn, answers) <= 1.05 * oracle_width(drawn)


@pytest.mark.parametrize("step", [0.2, 0.5, 1.0])
def test_intervals_hold_with_any_step_of_the_scale(step):
    drawn = draw_class(GROUPS, seed=7, step=step)

    answers = computed(drawn)

    assert 0.93 <= held(drawn, answers).mean() <= 0.97
    assert mean_width(drawn, answers) <= 1.05 * oracle_width(drawn)


def test_intervals_hold_with_a_single_unknown_tube():
    drawn = draw_class(GROUPS, seed=8, m=1)

    answers = computed(drawn)

    assert 0.94 <= held(drawn, answers).mean() <= 0.96


def test_blank_as_a_point_narrows_honest_intervals(usual):
    document = reference_document(use_blank=True)
    drawn = draw_class(GROUPS, seed=9, document=document)

    answers = computed(drawn)

    assert 0.93 <= held(drawn, answers).mean() <= 0.97
    assert mean_width(drawn, answers) < 0.97 * mean_width(*usual)


def test_intervals_hold_for_pairs_of_very_different_care():
    # The invented course: each pair has a care of its own, meters differ, and the
    # tolerances are the usual settings, not the variances that were drawn from.
    drawn = draw_groups(np.random.default_rng(3), GROUPS, slip_rate_factor=0)
    scheme = parse_scheme(invented_scheme())
    first = compute_answers(scheme, drawn.readings)
    scale = fit_class_scale(first.phi, first.df)

    answers = compute_answers(scheme, drawn.readings, class_scale=scale)

    truth = drawn.measured_iron_percent
    inside = (answers.low <= truth) & (truth <= answers.high)
    assert 0.93 <= inside.mean() <= 0.97


def test_slips_leave_the_intervals_of_other_groups_honest():
    drawn = draw_class(2_000, seed=10)
    slipped = np.arange(2_000) % 10 == 0
    drawn.readings.standard_signal[slipped, 2] *= 0.8

    answers = computed(drawn)

    assert 0.93 <= held(drawn, answers)[~slipped].mean() <= 0.97


def test_flagged_slips_are_covered_by_their_own_scale():
    drawn = draw_class(2_000, seed=10)
    slipped = np.arange(2_000) % 10 == 0
    drawn.readings.standard_signal[slipped, 2] *= 0.9
    first = compute_answers(drawn.scheme, drawn.readings)
    scale = fit_class_scale(np.where(slipped, np.nan, first.phi), first.df)

    answers = compute_answers(
        drawn.scheme, drawn.readings, class_scale=scale, flagged=slipped
    )

    assert held(drawn, answers)[slipped].mean() >= 0.93
