"""Putting people into a group that has just been made."""

from collections.abc import Iterable
from datetime import datetime

from django.db import transaction

from results.models import Group, Membership, Student


def join_group(group: Group, names: Iterable[str], *, since: datetime) -> list[Student]:
    """Enter people who are on no roster yet, as members of a group."""
    with transaction.atomic():
        students = Student.objects.bulk_create(
            Student(
                course_id=group.section.course_id,
                section_id=group.section_id,
                group=group,
                name=name,
            )
            for name in names
        )
        Membership.objects.bulk_create(
            Membership(student=student, group=group, since=since)
            for student in students
        )
    return students
