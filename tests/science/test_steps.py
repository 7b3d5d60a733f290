import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import t as student_t

from results.science.answer import compute_answers
from results.science.class_scale import ClassScale
from results.science.dilution import parse_scheme
from results.science.steps import calculation_steps
from tests.science.reference_class import draw_class
from tests.science.schemes import (
    SCHEME,
    noisy_readings,
    perfect_readings,
    scheme_document,
)

CALCULATOR = {
    "sqrt": math.sqrt,
    "log10": math.log10,
    "t": lambda df: float(student_t.ppf(0.975, df)),
}


def key_in(numbers):
    """Work a step's numbers out as somebody with a calculator would."""
    return eval(numbers.replace("×", "*").replace("^", "**"), CALCULATOR)  # noqa: S307


def unsure_readings():
    """Readings of so poor a line that Fieller's interval is given."""
    readings = perfect_readings()
    readings.standard_signal[0] += (
        0.3 * np.array([0.1, -0.07, 0.0, 0.08, -0.1])[:, None]
    )
    return readings


def by_blank():
    return parse_scheme(scheme_document() | {"use_blank": True})


SAMPLE = draw_class(3, seed=5)
CASES = {
    "own scale": (SAMPLE.scheme, SAMPLE.readings, None),
    "class scale": (SAMPLE.scheme, SAMPLE.readings, ClassScale(0.9, 14.0, 300)),
    "replicates": (SCHEME, noisy_readings(1, seed=2), None),
    "absorbance": (SCHEME, perfect_readings(), ClassScale(1.0, 20.0, 300)),
    "fieller": (SCHEME, unsure_readings(), None),
    "blank": (by_blank(), noisy_readings(1, seed=2), None),
    "own meter": (
        SCHEME,
        replace(perfect_readings(), sd=np.array([0.004]), step=np.array([0.001])),
        ClassScale(1.0, 20.0, 300),
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_every_step_can_be_followed_with_a_calculator(case):
    scheme, readings, scale = CASES[case]

    steps = calculation_steps(scheme, readings, class_scale=scale)

    for step in steps:
        # Small differences of nine-digit numbers keep fewer digits.
        expected = pytest.approx(step.value, rel=1e-6, abs=1e-8)
        assert key_in(step.numbers) == expected, step


@pytest.mark.parametrize("case", CASES)
def test_steps_lead_to_the_answer_and_its_interval(case):
    scheme, readings, scale = CASES[case]

    steps = calculation_steps(scheme, readings, class_scale=scale)

    answers = compute_answers(scheme, readings, class_scale=scale)
    value = {step.title: step.value for step in steps}
    assert value["Iron content"] == pytest.approx(answers.iron_percent[0], rel=1e-10)
    u = answers.standard_uncertainty[0]
    assert value["Standard uncertainty"] == pytest.approx(u, rel=1e-9)
    assert [s.value for s in steps[-2:]] == pytest.approx(
        [answers.low[0], answers.high[0]], rel=1e-9
    )


def test_numbers_alone_give_the_interval_to_the_digits_shown():
    steps = calculation_steps(SAMPLE.scheme, SAMPLE.readings, row=1)

    ends = [key_in(step.numbers) for step in steps[-2:]]

    answers = compute_answers(SAMPLE.scheme, SAMPLE.readings)
    assert ends == pytest.approx([answers.low[1], answers.high[1]], rel=1e-7)


def test_poor_line_is_worked_out_by_fieller():
    steps = calculation_steps(SCHEME, unsure_readings())

    assert "Half width by Fieller" in {step.title for step in steps}


def test_missing_tubes_are_left_out_of_the_steps():
    readings = noisy_readings(1, seed=2)
    readings.standard_signal[0, 2] = np.nan
    readings.unknown_signal[0, 0] = np.nan

    titles = {step.title for step in calculation_steps(SCHEME, readings)}

    assert "Absorbance of 2" in titles
    assert not titles & {"Absorbance of 3", "Absorbance of U1"}


def test_submission_without_an_answer_has_no_steps():
    readings = noisy_readings(1, seed=2)
    readings.unknown_signal[:] = np.nan

    assert calculation_steps(SCHEME, readings) == ()


def test_every_step_says_what_it_is_and_where_it_belongs():
    steps = calculation_steps(SCHEME, noisy_readings(1, seed=2))

    assert all(step.title and step.formula and step.part for step in steps)
    assert steps[0].unit == "g/g"
