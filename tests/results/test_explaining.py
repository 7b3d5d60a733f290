"""An answer can be followed step by step, and its interval checked by drawing."""

import pytest

from results import recompute
from results.explaining import check_answer, explain_answer, tolerances_of_course
from results.models import Answer
from results.policy.access import Rights
from results.policy.refusals import NotFound
from tests.factories import NOW, make_bench, submit
from tests.results.test_classes import noisy_class

pytestmark = pytest.mark.django_db


@pytest.fixture
def bench():
    bench = make_bench()
    submit(bench.group)
    recompute.work_off(clock=lambda: NOW)
    return bench


def coordinating(bench):
    return Rights(coordinated=frozenset({bench.course.pk}))


def test_the_last_steps_reach_the_stored_interval(bench):
    explanation = explain_answer(bench.group.pk, rights=coordinating(bench))

    answer = Answer.objects.get()
    last = explanation.parts[-1].steps[-2:]
    assert [step.value for step in last] == pytest.approx([answer.low, answer.high])
    assert explanation.iron_percent == answer.iron_percent


def test_with_a_class_the_steps_still_reach_the_stored_interval():
    noisy_class()
    recompute.refresh_classes(now=NOW)
    recompute.work_off(clock=lambda: NOW)
    answer = Answer.objects.select_related("submission__group__section").first()
    section = answer.submission.group.section
    rights = Rights(assisted=frozenset({section.pk}))

    explanation = explain_answer(answer.submission.group_id, rights=rights)

    last = explanation.parts[-1].steps[-2:]
    assert [step.value for step in last] == pytest.approx([answer.low, answer.high])
    assert explanation.class_n == 36


def test_the_sources_make_up_the_whole_uncertainty(bench):
    explanation = explain_answer(bench.group.pk, rights=coordinating(bench))

    relative = sum(one.relative_percent**2 for one in explanation.sources) ** 0.5
    whole = 100 * explanation.standard_uncertainty / explanation.iron_percent
    assert relative == pytest.approx(whole)
    assert sum(one.share for one in explanation.sources) == pytest.approx(1)


def test_drawing_gives_the_same_answer_and_is_repeatable(bench):
    rights = coordinating(bench)

    drawn = check_answer(bench.group.pk, rights=rights)

    assert drawn.mean == pytest.approx(12.0, abs=0.05)
    assert drawn.low == check_answer(bench.group.pk, rights=rights).low


def test_nobody_else_may_ask(bench):
    with pytest.raises(NotFound):
        explain_answer(bench.group.pk, rights=Rights())
    with pytest.raises(NotFound):
        check_answer(bench.group.pk, rights=Rights())
    with pytest.raises(NotFound):
        tolerances_of_course(bench.course.code, rights=Rights())


def test_a_group_without_an_answer_has_nothing_to_explain(bench):
    Answer.objects.all().delete()

    with pytest.raises(NotFound, match="no computed answer"):
        explain_answer(bench.group.pk, rights=coordinating(bench))


def test_every_tolerance_says_where_it_comes_from(bench):
    found = tolerances_of_course(bench.course.code, rights=coordinating(bench))

    assert {one.item for one in found.tolerances} >= {"100 mL flask", "weighing"}
    assert all(one.provenance for one in found.tolerances)
