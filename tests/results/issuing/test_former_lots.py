"""Nobody gets a lot that they had before, in whatever group or term."""

from datetime import timedelta

import pytest

from results.models import Group, Membership, Student, Vial
from results.summaries.preparing.former_lots import former_lots
from tests.factories import (
    NOW,
    make_course,
    make_group,
    make_lot,
    make_section,
    make_vial,
)
from tests.results.issued import everybody, group_at, issue, lot_of

pytestmark = pytest.mark.django_db


def test_nobody_gets_a_lot_that_they_had_in_another_group_or_term(course, ada):
    past = make_course("IRON-0")
    old = make_group(make_section(past, code="B1"), code="1")
    make_vial(make_lot(past, code="LA"), group=old)
    person = old_student(past, old, number="77")
    now = Student.objects.filter(group=group_at("A1", 1))
    now.update(number=person.number)
    elsewhere = make_group(course.sections.first(), code="x")
    make_vial(course.lots.get(code="LB"), code="moved", group=elsewhere)
    Vial.objects.filter(lot__code__in=["LD", "LE"]).delete()
    Membership.objects.create(
        student=now.get(), group=elsewhere, since=NOW, until=NOW + timedelta(days=1)
    )

    issue(everybody(course), ada)

    assert lot_of(group_at("A1", 1)) == "LC"


def old_student(course, group, *, number):
    student = Student.objects.create(
        course=course, section=group.section, group=group, name="P", number=number
    )
    Membership.objects.create(
        student=student, group=group, since=NOW - timedelta(days=9)
    )
    return student


def test_lots_of_a_group_after_somebody_left_it_do_not_count(course):
    student = Student.objects.get(group=group_at("A1", 1))
    left = make_group(course.sections.first(), code="x")
    Membership.objects.create(
        student=student,
        group=left,
        since=NOW - timedelta(days=2),
        until=NOW - timedelta(days=1),
    )
    make_vial(course.lots.get(code="LB"), code="moved", group=left)

    had = former_lots(course, Group.objects.filter(pk=student.group_id))

    assert had == {student.group_id: frozenset()}


def test_a_number_of_another_college_is_another_person(course):
    past = make_course("IRON-0", college="Elsewhere")
    old = make_group(make_section(past, code="B1"), code="1")
    make_vial(make_lot(past, code="LA"), group=old)
    old_student(past, old, number="77")
    now = Student.objects.get(group=group_at("A1", 1))
    Student.objects.filter(pk=now.pk).update(number="77")

    had = former_lots(course, Group.objects.filter(pk=now.group_id))

    assert had == {now.group_id: frozenset()}
