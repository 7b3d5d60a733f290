"""What the database itself holds of grades."""

from decimal import Decimal

import pytest
from django.db import IntegrityError, connection, transaction
from django.db.models import ProtectedError

from results import grading
from results.models import (
    Allowance,
    Grade,
    GradeEvent,
    GradingScheme,
    RecheckRequest,
)
from results.models.append_only import AppendOnly
from tests.factories import (
    NOW,
    actor,
    make_grading,
    make_group,
    make_lot,
    make_staff,
    make_station,
)

pytestmark = pytest.mark.django_db


def refuses(constraint, make):
    with pytest.raises(IntegrityError, match=constraint), transaction.atomic():
        make()


@pytest.fixture
def grade():
    group = make_group()
    return Grade.objects.create(
        group=group,
        scheme=make_grading(group.section.course),
        max_points=20,
        suggested={"parts": [], "look": []},
        suggested_points=12,
    )


@pytest.fixture
def event(grade):
    return GradeEvent.objects.create(grade=grade, kind="seen", at=NOW, by_name="ben")


@pytest.mark.parametrize(
    ("constraint", "fields"),
    [
        ("grade_between_0_and_max", {"state": "accepted", "final_points": 20.01}),
        ("grade_between_0_and_max", {"state": "accepted", "final_points": -1}),
        ("grade_suggested_between_0_and_max", {"suggested_points": 21}),
        ("grade_state_known", {"state": "lost", "final_points": 3}),
        ("grade_has_points_once_accepted", {"state": "accepted"}),
        ("grade_has_points_once_accepted", {"final_points": 3}),
        ("grade_override_has_a_reason", {"is_override": True}),
        ("grade_released_at_a_time", {"state": "released", "final_points": 3}),
        ("grade_released_at_a_time", {"released_at": NOW}),
        ("grade_proposal_only_once_accepted", {"proposed_at": NOW}),
        ("grade_proposed_not_negative", {"proposed_points": -1}),
        ("grade_seen_by_somebody", {"seen_at": NOW}),
    ],
)
def test_a_grade_that_breaks_a_rule_is_not_stored(grade, constraint, fields):
    refuses(constraint, lambda: Grade.objects.filter(pk=grade.pk).update(**fields))


def test_a_group_has_one_grade(grade):
    refuses(
        "group",
        lambda: Grade.objects.create(
            group=grade.group, scheme=grade.scheme, max_points=1, suggested={}
        ),
    )


def test_history_is_only_added_to(event):
    with pytest.raises(AppendOnly):
        GradeEvent.objects.update(why="other")
    with pytest.raises(AppendOnly):
        GradeEvent.objects.all().delete()
    with pytest.raises(AppendOnly):
        event.save()
    with pytest.raises(AppendOnly):
        event.delete()


def test_the_database_itself_keeps_history(event):
    # SQLite keeps updates out only: its tables are emptied by deleting.
    statements = ["UPDATE results_gradeevent SET why = 'other'"]
    if connection.vendor == "postgresql":
        statements.append("DELETE FROM results_gradeevent")

    def run(statement):
        with connection.cursor() as cursor:
            cursor.execute(statement)

    for statement in statements:
        refuses("grade_event_append_only", lambda sql=statement: run(sql))


def test_a_group_with_a_history_is_not_deleted(event):
    with pytest.raises(ProtectedError):
        event.grade.group.delete()


def test_a_version_of_a_scheme_stays_as_it_is(grade):
    refuses(
        "grading_scheme_version_stays",
        lambda: GradingScheme.objects.update(document={}),
    )


def test_an_event_has_a_known_kind_and_somebody(grade):
    refuses(
        "grade_event_kind_known",
        lambda: GradeEvent.objects.create(
            grade=grade, kind="lost", at=NOW, by_name="ben"
        ),
    )
    refuses(
        "grade_event_by_somebody",
        lambda: GradeEvent.objects.create(grade=grade, kind="seen", at=NOW, by_name=""),
    )


def test_a_request_is_answered_by_a_person_with_a_reason(grade):
    def ask(**fields):
        return lambda: RecheckRequest.objects.create(
            grade=grade, asked_at=NOW, **{"text": "Please.", **fields}
        )

    refuses("recheck_says_what_for", ask(text=""))
    refuses("recheck_answer_has_person_time_and_reason", ask(answered_at=NOW))
    refuses("recheck_answer_has_person_time_and_reason", ask(answer="No."))
    ask()()
    refuses("recheck_open_once_per_grade|recheckrequest.grade", ask())


def test_an_allowance_is_for_one_thing_with_a_reason_and_a_fitting_amount(grade):
    course = grade.group.section.course
    user = make_staff("ada", course=course)
    lot, station = make_lot(course), make_station(course)

    def grant(**fields):
        fields = {"lot": lot, "kind": "full_accuracy", "reason": "why", **fields}
        return lambda: Allowance.objects.create(
            course=course, granted_at=NOW, granted_by=user, **fields
        )

    refuses("allowance_for_one_lot_station_or_section", grant(station=station))
    refuses("allowance_for_one_lot_station_or_section", grant(lot=None))
    refuses("allowance_has_a_reason", grant(reason=""))
    refuses("allowance_kind_known", grant(kind="double"))
    refuses("allowance_amount_fits_its_kind", grant(kind="widen"))
    refuses("allowance_amount_fits_its_kind", grant(amount=3))


def test_sums_are_exact_in_the_database(grade):
    ben = make_staff("ben", role="assistant", section=grade.group.section)
    grading.override_grade(
        grade.group_id,
        points="13,07",
        reason="by hand",
        seen=0,
        actor=actor(ben),
        now=NOW,
    )

    grade.refresh_from_db()
    assert grade.final_points == Decimal("13.07")
