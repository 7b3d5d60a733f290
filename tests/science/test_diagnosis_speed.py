"""Speed, as a share of other work on the same groups in the same run."""

import sys
import time
from dataclasses import replace
from itertools import takewhile

import numpy as np
import pytest

from results.science.answer import compute_answers
from results.science.diagnosis import care_of, diagnose, explain
from results.science.simulate import draw_worked_answers
from results.science.worked import check_worked, stage_verdicts
from tests.exam.arithmetic import invented, report
from tests.exam.reference import draw_class
from tests.exam.scoring import context_of

GROUPS = 8000
TURNS = 6


def cpu_seconds(run):
    """Processor time of one run."""
    started = time.process_time()
    run()
    return time.process_time() - started


def times_as_long(work, other):
    """How many times the processor time of ``other`` that ``work`` takes.

    Both are run in turn, and the least ratio counts: work that became dearer is
    dearer every time, a busy machine is not. What traces the tests is kept out: it
    slows small steps most.
    """
    tracer = sys.gettrace()
    sys.settrace(None)
    try:
        return min(cpu_seconds(work) / cpu_seconds(other) for _ in range(TURNS))
    finally:
        sys.settrace(tracer)


@pytest.fixture(scope="module")
def drawn():
    """A class of the reference experiment, a quarter of its groups with a slip."""
    return draw_class(np.random.default_rng(51), GROUPS)


@pytest.fixture(scope="module")
def context(drawn):
    """What the class says of each of its groups."""
    return context_of(drawn.scheme, drawn.readings, drawn.station, drawn.lot)


def test_naming_what_went_wrong_costs_less_than_looking_for_it(drawn, context):
    answers = compute_answers(drawn.scheme, drawn.readings)

    ratio = times_as_long(
        lambda: diagnose(drawn.scheme, drawn.readings, answers, context=context),
        lambda: care_of(drawn.scheme, drawn.readings, context),
    )

    # 1.6 to 2.0 as measured.
    assert ratio <= 2.6


def test_checking_a_working_is_a_few_times_judging_its_numbers():
    groups, scheme, answers = invented(52, GROUPS // 2)
    work = draw_worked_answers(np.random.default_rng(53), groups)
    reported = [report(answer) for answer in work.answers]

    ratio = times_as_long(
        lambda: check_worked(scheme, groups.readings, answers, reported),
        lambda: stage_verdicts(scheme, groups.readings, answers, reported),
    )

    # 3.8 to 5.0 as measured; with every slip followed to the end for every group, 7.1.
    assert ratio <= 6.0


def test_how_sure_a_finding_is_does_not_hang_on_the_batch(drawn, context):
    """Even where the others of the batch come from a class of other care."""
    care = np.tile([0.4, 0.4, 0.13, 0.04, 0.03], (GROUPS, 1))
    care[::2] = [0.985, 0.006, 0.003, 0.003, 0.003]
    known = replace(context, care=care)
    rows = np.arange(0, GROUPS, 40)
    readings = drawn.readings
    part = replace(
        readings,
        **{name: getattr(readings, name)[rows] for name in readings.__slots__},
    )

    (whole, *_) = explain(drawn.scheme, readings, known, everyone=True)
    (few,) = explain(drawn.scheme, part, known.rows(rows), everyone=True)

    here = rows < len(whole.rows)
    both = zip(few.hypotheses, whole.hypotheses, strict=False)
    same = sum(1 for _ in takewhile(lambda pair: pair[0] == pair[1], both))
    assert same > 100
    assert few.probability[:same, here] == pytest.approx(
        whole.probability[:same, rows[here]], abs=1e-9
    )
