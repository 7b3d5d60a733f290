"""Another value of a lot from a date: kept, computed anew, proposed."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext

from results import grading, recompute
from results.models import (
    AssignedValue,
    Finding,
    Grade,
    GradeEvent,
    Lot,
    PendingRecompute,
    StoredEffects,
)
from results.models.outcomes import Audience
from results.policy.marking.refusals import CannotGrade
from results.policy.refusals import NotAdmitted, NotFound
from results.policy.values import NewValue
from results.summaries.value_preview import lot_histories, value_preview
from tests import factories
from tests.factories import NOW, actor, make_staff, worked_off
from tests.results.grading.classes import grade_of, make_graded, versions

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(hours=5)
BEFORE = NOW - timedelta(days=1)


@pytest.fixture
def graded():
    return make_graded(2, 0)


@pytest.fixture
def ada(graded):
    section, _ = graded
    return actor(make_staff("ada", course=section.course))


def lot_of(group):
    return Lot.objects.get(vials__issues__group=group)


def new_value(group, iron_percent=12.6, valid_from=NOW - timedelta(seconds=1)):
    return NewValue(lot_of(group).pk, iron_percent, 0.03, valid_from)


def revalue(who, value, *, reason="assayed again", seen=None):
    mark = seen or value_preview("IRON-1", value, rights=who.rights).mark
    return grading.revalue_lot(
        "IRON-1", value, reason=reason, seen=mark, actor=who, now=LATER
    )


def release(section, who):
    seen = versions(section)
    grading.accept_grades(section.pk, seen=seen, actor=who, now=NOW)
    seen = versions(section)
    grading.release_section(section.pk, seen=seen, actor=who, now=NOW)


def test_a_preview_says_who_would_change_and_changes_nobody(graded, ada):
    _, groups = graded
    before = list(Grade.objects.order_by("pk").values())
    value = new_value(groups[0], valid_from=NOW)
    AssignedValue.objects.update(valid_from=BEFORE)

    preview = value_preview("IRON-1", value, rights=ada.rights)

    assert {mover.group for mover in preview.movers} == {"1", "2"}
    assert all(mover.by < 0 for mover in preview.movers)
    assert list(Grade.objects.order_by("pk").values()) == before
    assert AssignedValue.objects.count() == 1


def test_readings_before_the_date_keep_the_value_that_held(graded, ada):
    _, groups = graded
    value = new_value(groups[0], valid_from=NOW + timedelta(days=1))

    assert value_preview("IRON-1", value, rights=ada.rights).movers == ()


def test_both_values_are_kept_with_who_when_and_why(graded, ada):
    _, groups = graded

    revalue(ada, new_value(groups[0], valid_from=LATER))

    (lot,) = lot_histories("IRON-1", rights=ada.rights).lots
    assert [(one.iron_percent, one.reason, one.assigned_by) for one in lot.values] == [
        (12.6, "assayed again", "ada"),
        (12.0, "", ""),
    ]
    assert lot.values[0].assigned_at == LATER


def test_drafts_follow_and_released_grades_wait_for_a_person(graded, ada):
    section, groups = graded
    release(section, ada)
    AssignedValue.objects.update(valid_from=BEFORE)

    done = revalue(ada, new_value(groups[0], valid_from=NOW))
    worked_off()

    grade = grade_of(groups[0])
    assert done.n_grades == 2
    assert grade.final_points == Decimal(20)
    assert grade.proposed_points is not None
    assert grade.proposed_points < 20
    lot = lot_of(groups[0]).code
    assert grade.proposed_why == f"another value of lot {lot}: assayed again"
    assert grade.events.filter(kind=GradeEvent.Kind.PROPOSED).count() == 1


def test_the_grades_that_change_are_those_of_the_preview(graded, ada):
    _, groups = graded
    AssignedValue.objects.update(valid_from=BEFORE)
    value = new_value(groups[0], valid_from=NOW)
    shown = value_preview("IRON-1", value, rights=ada.rights)

    revalue(ada, value)
    worked_off()

    assert {mover.group_id: mover.after for mover in shown.movers} == {
        group.pk: grade_of(group).suggested_points for group in groups
    }


def test_everything_that_rests_on_the_value_is_computed_anew(graded, ada):
    _, groups = graded
    recompute.refresh_effects(now=NOW)
    stored = StoredEffects.objects.get().values_digest
    AssignedValue.objects.update(valid_from=BEFORE)

    done = revalue(ada, new_value(groups[0], 18.0, valid_from=NOW))

    assert done.n_submissions == PendingRecompute.objects.count() == 2
    worked_off()
    recompute.refresh_effects(now=LATER)
    assert StoredEffects.objects.get().values_digest != stored
    told = Finding.objects.filter(submission__group=groups[0])
    assert not told.filter(audience=Audience.GROUP).exists()


def test_a_vial_of_another_lot_is_judged_by_the_values_that_held_then(graded, ada):
    section, groups = graded
    other = factories.make_lot(section.course, "L9", iron_percent=16.0)
    odd = factories.make_group(section, "9")
    factories.make_vial(other, "909", group=odd)
    factories.submit(odd, factories.raw_submission(), key="odd")
    worked_off()
    found = Finding.objects.filter(submission__group=odd, code="other_lot")
    assert found.exists()

    value = NewValue(lot_of(groups[0]).pk, 14.0, 0.03, LATER)
    revalue(ada, value)
    worked_off()

    assert found.exists()


def test_a_list_that_changed_meanwhile_is_refused(graded, ada):
    _, groups = graded
    value = new_value(groups[0])

    with pytest.raises(CannotGrade):
        revalue(ada, value, seen="another")

    assert AssignedValue.objects.count() == 1
    assert not PendingRecompute.objects.exists()


@pytest.mark.parametrize(
    ("changes", "where"),
    [
        ({"iron_percent": 0.0}, "iron_percent"),
        ({"iron_percent": float("nan")}, "iron_percent"),
        ({"u_iron_percent": -0.1}, "u_iron_percent"),
        ({"valid_from": NOW}, "valid_from"),
        ({"reason": "  "}, "reason"),
        ({"reason": "a" * 241}, "reason"),
    ],
)
def test_what_cannot_be_a_value_is_named(graded, ada, changes, where):
    _, groups = graded
    typed = {
        "iron_percent": 12.5,
        "u_iron_percent": 0.03,
        "valid_from": LATER,
        "reason": "assayed again",
        **changes,
    }
    reason = typed.pop("reason")

    with pytest.raises(NotAdmitted) as caught:
        revalue(ada, NewValue(lot_of(groups[0]).pk, **typed), reason=reason, seen="x")

    assert [one.where for one in caught.value.problems] == [(where,)]


def test_only_a_coordinator_gives_a_lot_another_value(graded):
    section, groups = graded
    ben = actor(make_staff("ben", role="assistant", section=section))

    with pytest.raises(NotFound):
        revalue(ben, new_value(groups[0]), seen="x")


def test_the_database_wants_a_time_and_a_reason_with_a_name(graded, ada):
    _, groups = graded
    row = AssignedValue(
        lot=lot_of(groups[0]),
        iron_percent=12,
        valid_from=LATER,
        assigned_by_id=ada.user_id,
    )

    with (
        pytest.raises(IntegrityError, match="assigned_by_somebody"),
        transaction.atomic(),
    ):
        row.save()


@pytest.mark.parametrize("size", [3, 40])
def test_the_number_of_queries_is_the_same_for_any_class(size):
    section, groups = make_graded(size, 0)
    ada = actor(make_staff("ada", course=section.course))
    AssignedValue.objects.update(valid_from=BEFORE)
    value = new_value(groups[0], valid_from=NOW)

    with CaptureQueriesContext(connection) as looking:
        preview = value_preview("IRON-1", value, rights=ada.rights)
    with CaptureQueriesContext(connection) as doing:
        revalue(ada, value, seen=preview.mark)

    # course; lot; scheme; work, six; grades; allowances
    assert len(looking) == 11
    # what the preview reads, once more; course, lot and its lock, moment, locks of
    # grades, the value, groups; grades: those of graded courses, lock, work (six),
    # scheme, allowances, grades, events; submissions; the queue, two
    said = [q for q in doing if not q["sql"].startswith(("SAVEPOINT", "RELEASE"))]
    assert len(said) == 33
