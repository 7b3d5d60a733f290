"""Whether 95 % intervals hold the truth 95 times in 100, and how wide they are.

Invented clean classes of 20 000 groups, computed as a class is: a first pass for the
class scale, a second with it.
"""

import numpy as np
import pytest

from results.science.answer import compute_answers
from results.science.class_scale import fit_class_scale
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
