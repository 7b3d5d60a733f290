"""Accepting, setting by hand, commenting: a person's word counts."""

from datetime import timedelta
from decimal import Decimal

import pytest

from results import grading
from results.models import AssignedValue, GradeEvent, Submission
from results.policy.marking.refusals import BadGrade, CannotGrade, NoScheme, StaleGrade
from results.policy.refusals import NotFound
from results.recompute import enqueue
from tests.factories import (
    NOW,
    actor,
    make_course,
    make_group,
    make_section,
    make_staff,
    worked_off,
)
from tests.results.grading.classes import grade_of, make_graded, versions

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(hours=5)


@pytest.fixture
def graded():
    return make_graded(2, 1)


@pytest.fixture
def ben(graded):
    section, _ = graded
    return actor(make_staff("ben", role="assistant", section=section))


@pytest.fixture
def cleo(graded):
    section, _ = graded
    return actor(make_staff("cleo", role="assistant", section=section))


def kinds(group):
    events = GradeEvent.objects.filter(grade__group=group).order_by("pk")
    return [(one.kind, one.by_name, one.before, one.after) for one in events]


def test_all_with_nothing_to_look_at_are_accepted_in_one_go(graded, ben):
    section, groups = graded

    done = grading.accept_unflagged(
        section.pk, seen=versions(section), actor=ben, now=LATER
    )

    assert done.groups == ("1", "2")
    assert [grade_of(group).state for group in groups] == [
        "accepted",
        "accepted",
        "draft",
    ]
    assert kinds(groups[0]) == [("accepted", "ben", None, Decimal("20.00"))]


def test_one_is_accepted_with_a_comment_to_start_from(graded, ben):
    section, groups = graded
    seen = {groups[2].pk: grade_of(groups[2]).version}

    grading.accept_grades(section.pk, seen=seen, actor=ben, now=LATER)

    grade = grade_of(groups[2])
    assert (grade.state, grade.final_points) == ("accepted", Decimal("12.00"))
    assert "At the bench: one standard off the line." in grade.comment


def test_accepting_twice_does_no_harm(graded, ben):
    section, groups = graded
    seen = versions(section)

    for _ in range(2):
        grading.accept_unflagged(section.pk, seen=seen, actor=ben, now=LATER)
        grading.accept_grades(
            section.pk, seen={groups[2].pk: seen[groups[2].pk]}, actor=ben, now=LATER
        )

    assert [len(kinds(group)) for group in groups] == [1, 1, 1]


def test_whoever_comes_second_is_told_who_came_first(graded, ben, cleo):
    section, groups = graded
    seen = versions(section)
    group = groups[2]
    grading.override_grade(
        group.pk,
        points="15",
        reason="read the page",
        seen=seen[group.pk],
        actor=cleo,
        now=LATER,
    )

    with pytest.raises(StaleGrade) as refused:
        grading.accept_grades(
            section.pk, seen={group.pk: seen[group.pk]}, actor=ben, now=LATER
        )

    assert "group 3 was changed by cleo at 19:00 (set by hand)" in str(refused.value)
    assert grade_of(group).final_points == Decimal(15)


def test_a_number_set_by_hand_needs_a_reason(graded, ben):
    _, groups = graded

    with pytest.raises(BadGrade, match="why the points differ"):
        grading.override_grade(
            groups[0].pk, points="15", reason=" ", seen=0, actor=ben, now=LATER
        )

    assert grade_of(groups[0]).state == "draft"


@pytest.mark.parametrize("points", ["", "many", "-1", "20.01", "1.005"])
def test_a_number_that_is_no_grade_is_refused(graded, ben, points):
    _, groups = graded

    with pytest.raises(BadGrade, match="from 0 to 20"):
        grading.override_grade(
            groups[0].pk, points=points, reason="why", seen=0, actor=ben, now=LATER
        )


def test_a_comment_is_kept_when_the_grade_is_accepted(graded, ben):
    section, groups = graded
    grading.comment_grade(
        groups[0].pk, comment="Neat page.", seen=0, actor=ben, now=LATER
    )

    grading.accept_unflagged(section.pk, seen=versions(section), actor=ben, now=LATER)

    assert grade_of(groups[0]).comment == "Neat page."
    assert [kind for kind, *_ in kinds(groups[0])] == ["commented", "accepted"]


def test_a_look_is_noted_and_overtakes_nobody(graded, ben, cleo):
    section, groups = graded
    seen = versions(section)
    grading.mark_seen(groups[2].pk, seen=0, actor=cleo, now=LATER)

    grading.accept_grades(section.pk, seen={groups[2].pk: 0}, actor=ben, now=LATER)

    assert grade_of(groups[2]).seen_by.username == "cleo"
    assert seen[groups[2].pk] == 0


def test_an_acceptance_can_be_taken_back(graded, ben):
    section, groups = graded
    grading.accept_unflagged(section.pk, seen=versions(section), actor=ben, now=LATER)

    grading.take_back(groups[0].pk, seen=1, actor=ben, now=LATER)

    grade = grade_of(groups[0])
    assert (grade.state, grade.final_points) == ("draft", None)
    with pytest.raises(CannotGrade):
        grading.take_back(groups[0].pk, seen=2, actor=ben, now=LATER)


def test_who_sent_nothing_is_graded_by_a_person_too(graded, ben):
    section, _ = graded
    absent = make_group(section, "9")

    untouched = grading.accept_unflagged(
        section.pk, seen=versions(section), actor=ben, now=LATER
    )
    grading.accept_grades(section.pk, seen={absent.pk: 0}, actor=ben, now=LATER)

    assert "9" not in untouched.groups
    assert grade_of(absent).final_points == 0


def test_a_group_without_an_assigned_value_is_not_accepted_blindly(graded, ben):
    section, groups = graded
    section.course.lots.get().assigned_values.all().delete()
    enqueue(Submission.objects.values_list("pk", flat=True), reason="x", now=NOW)
    worked_off()
    seen = versions(section)

    with pytest.raises(CannotGrade, match="Group 1: a person has to set the points"):
        grading.accept_grades(
            section.pk, seen={groups[0].pk: seen[groups[0].pk]}, actor=ben, now=LATER
        )

    assert not grading.accept_unflagged(
        section.pk, seen=seen, actor=ben, now=LATER
    ).groups


def test_other_sections_are_not_theirs_to_grade(graded, ben):
    section, _ = graded
    other = make_section(section.course, "B1")
    elsewhere = make_group(other, "1")

    with pytest.raises(NotFound):
        grading.accept_unflagged(other.pk, seen={}, actor=ben, now=LATER)
    with pytest.raises(NotFound):
        grading.mark_seen(elsewhere.pk, seen=0, actor=ben, now=LATER)


def test_without_a_scheme_there_is_nothing_to_accept():
    section = make_section(make_course("IRON-3"))
    dora = actor(make_staff("dora", course=section.course))

    with pytest.raises(NoScheme, match="IRON-3 has no grading scheme"):
        grading.accept_unflagged(section.pk, seen={}, actor=dora, now=LATER)


def test_a_last_digit_that_moves_makes_nobody_look_again(graded, ben):
    section, groups = graded
    seen = versions(section)
    lot_value = section.course.lots.get().assigned_values.get()
    # From 12.00 to 12.01 %: another deviation in print, the same points.
    AssignedValue.objects.filter(pk=lot_value.pk).update(iron_percent=12.01)
    enqueue(Submission.objects.values_list("pk", flat=True), reason="x", now=NOW)
    worked_off()

    assert "'size': '0.08'" in str(grade_of(groups[0]).suggested)
    assert versions(section) == seen
