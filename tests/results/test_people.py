"""What the database keeps about people: one group at a time, one number a person."""

import pytest
from django.db import IntegrityError, connection, transaction
from django.db.migrations.executor import MigrationExecutor

from results.models import Membership, Student
from results.rosters import join_group
from tests.factories import NOW, make_group, make_section


def refused_by(constraint, act):
    """Whether the database refuses an act, by that name or by its columns."""
    with pytest.raises(IntegrityError) as refused, transaction.atomic():
        act()
    words = str(refused.value)
    return constraint in words or "UNIQUE" in words


@pytest.mark.django_db
def test_who_joins_a_group_is_a_member_since_then():
    group = make_group()

    (student,) = join_group(group, ["Ivo Marsh"], since=NOW)

    assert (student.section, student.course) == (group.section, group.section.course)
    assert student.memberships.get().since == NOW


@pytest.mark.django_db
def test_nobody_is_in_two_groups_at_a_time():
    first = make_group(students=("Ivo Marsh",))
    other = make_group(first.section, "2")
    student = Student.objects.get()

    assert refused_by(
        "student_in_one_group_at_a_time",
        lambda: Membership.objects.create(student=student, group=other, since=NOW),
    )


@pytest.mark.django_db
def test_two_people_of_a_course_have_two_numbers():
    section = make_section()
    person = {"course": section.course, "section": section, "number": "S1"}
    Student.objects.create(name="Ivo Marsh", **person)

    assert refused_by(
        "student_number_once_per_course",
        lambda: Student.objects.create(name="Ida Marsh", **person),
    )


@pytest.mark.django_db
def test_who_left_is_in_no_group():
    make_group(students=("Ivo Marsh",))

    assert refused_by(
        "student_who_left_is_in_no_group",
        lambda: Student.objects.update(left_at=NOW),
    )


@pytest.mark.django_db(transaction=True)
def test_people_of_earlier_groups_are_members_after_an_upgrade():
    executor = MigrationExecutor(connection)
    executor.migrate([("results", "0010_station_notes")])
    old = executor.loader.project_state([("results", "0010_station_notes")]).apps
    course = old.get_model("results", "Course").objects.create(code="AN-1")
    section = old.get_model("results", "Section").objects.create(course=course)
    group = old.get_model("results", "Group").objects.create(section=section)
    old.get_model("results", "Student").objects.create(group=group, name="Ivo Marsh")

    executor.loader.build_graph()
    executor.migrate(executor.loader.graph.leaf_nodes())

    student = Student.objects.get(name="Ivo Marsh")
    assert (student.course_id, student.section_id) == (course.pk, section.pk)
    assert student.memberships.get().group_id == group.pk
