import numpy as np
import pytest

from results.science.answer import compute_answers
from results.science.class_scale import ClassScale
from results.science.draws import draw_error_mL
from results.science.glassware import Tolerances
from results.science.monte_carlo import Plan, check_interval, numerical_tolerance
from tests.science.reference_class import draw_class

CLASS = ClassScale(s0_sq=1.0, d0=1e4, n=1000)
SAMPLE = draw_class(3, seed=5)


def check(seed=1, **changes):
    return check_interval(
        SAMPLE.scheme,
        SAMPLE.readings,
        np.random.default_rng(seed),
        **({"class_scale": CLASS} | changes),
    )


def test_drawn_interval_agrees_with_the_computed_one():
    drawn = check()

    assert drawn.agrees
    assert drawn.trials == 100_000
    assert drawn.low < drawn.mean < drawn.high


def test_drawn_spread_is_the_standard_uncertainty():
    answers = compute_answers(SAMPLE.scheme, SAMPLE.readings, class_scale=CLASS)

    drawn = check()

    assert drawn.sd == pytest.approx(answers.standard_uncertainty[0], rel=0.02)
    assert drawn.mean == pytest.approx(answers.iron_percent[0], rel=1e-3)


def test_few_degrees_of_freedom_give_long_tails():
    answers = compute_answers(SAMPLE.scheme, SAMPLE.readings)

    drawn = check(class_scale=None)

    half = (drawn.high - drawn.low) / 2
    assert half == pytest.approx(
        answers.coverage_factor[0] * answers.standard_uncertainty[0], rel=0.15
    )
    assert drawn.sd > answers.standard_uncertainty[0]


def test_shortest_interval_is_not_longer_than_the_symmetric_one():
    drawn = check()

    shortest = drawn.shortest_high - drawn.shortest_low
    assert shortest <= drawn.high - drawn.low
    assert drawn.counts.sum() == pytest.approx(0.998 * drawn.trials, rel=1e-3)


def test_same_generator_gives_the_same_draws():
    assert check(seed=3).low == check(seed=3).low
    assert check(seed=3).low != check(seed=4).low


def test_adaptive_draws_stop_when_the_results_stand_still():
    drawn = check(plan=Plan(trials=None))

    assert 20_000 <= drawn.trials < 1_000_000
    assert drawn.agrees


def test_second_digit_is_a_stricter_judge():
    assert check(plan=Plan(digits=2)).tolerance == pytest.approx(check().tolerance / 10)


def test_submission_without_an_answer_is_not_drawn():
    readings = SAMPLE.readings.rows(np.array([0]))
    readings.unknown_signal[:] = np.nan

    drawn = check_interval(SAMPLE.scheme, readings, np.random.default_rng(1))

    assert drawn is None


def test_tolerance_of_the_guides_example_is_reproduced():
    # JCGM 101:2008, 7.9.2, example 1: u = 0.00035 with two digits is 35 × 10^-5.
    assert numerical_tolerance(0.00035, 2) == pytest.approx(0.5e-5)


@pytest.mark.parametrize("distribution", ["triangular", "rectangular"])
def test_drawn_volumes_spread_as_the_budget_says(distribution):
    tolerances, rng = Tolerances(distribution=distribution), np.random.default_rng(2)

    errors = draw_error_mL(rng, tolerances, "flask", 100.0, 200_000)

    stated = tolerances.standard_uncertainty_mL("flask", 100.0)
    assert errors.std() == pytest.approx(stated, rel=0.01)
