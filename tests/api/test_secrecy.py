"""Nothing that a group is answered depends on an assigned value."""

import re
from datetime import UTC, datetime

import pytest
import time_machine
from django.db import transaction

from tests import factories
from tests.api.bodies import body

AT = datetime(2025, 3, 4, 14, 0, tzinfo=UTC)
SLIP = factories.slip_code(1)


def everything_answered(program, *, assigned, **course_fields):
    """Let a group with a vial of this assigned value ask for all there is."""
    bench = factories.make_bench(slip=SLIP, iron_percent=assigned, **course_fields)
    factories.make_grading(bench.course)
    sign_in = program.post("/api/v1/sign-in", {"slip_code": SLIP}, format="json")
    program.as_group(SLIP)
    readings = body(own_iron_percent="14.0", percent_T={"3": 61.0})
    answers = [sign_in, program.send(readings), program.send(body(station="9"), "k2")]
    factories.worked_off()
    answers += [program.send(readings), program.send(body(own_slope="0.2"))]
    answers += [
        program.see(path)
        for path in (
            "bench-sheet",
            "submissions",
            "submissions/1",
            "submissions/2",
            "grade",
            f"sections/{bench.section.pk}/grades",
            "answers",
            f"groups/{bench.group.pk}",
            f"sections/{bench.section.pk}/summary",
            f"courses/{bench.course.code}/summary",
        )
    ]
    return [answer.status_code for answer in answers], [
        # Numbers of records go on counting; paths carry them, and tokens sign them.
        re.sub(
            rb'("submission_id":|(?:groups|sections)/|"token":)(?:\d+|"[^"]+")',
            rb"\1n",
            answer.content,
        )
        for answer in answers
    ]


def undone(program, **case):
    """Ask for everything in a class that is gone afterwards."""
    with time_machine.travel(AT, tick=False), transaction.atomic():
        answers = everything_answered(program, **case)
        transaction.set_rollback(True)
    return answers


@pytest.mark.django_db
@pytest.mark.parametrize("policy", ["at_once", "after_due", "on_release"])
def test_classes_that_differ_in_assigned_values_are_answered_alike(program, policy):
    near = undone(program, assigned=12.0, iron_shown=policy)
    far = undone(program, assigned=17.31, iron_shown=policy)
    none = undone(program, assigned=None, iron_shown=policy)

    assert near == far == none
    assert near[0] == [200, 201, 422, 200, 409, 200, 200, 200, 404, 200, *[403] * 5]


@pytest.mark.django_db
def test_the_comparison_sees_a_value_that_leaks(program):
    one = undone(program, assigned=12.0, title="Iron, 12.0 %")
    other = undone(program, assigned=17.31, title="Iron, 17.31 %")

    assert one != other
