"""Bringing the people of a course to what a roster says, as a whole or not at all."""

from collections.abc import Mapping
from datetime import datetime

from django.db import transaction
from django.db.models import Max

from results.models import Course, Group, Section, Student
from results.models.courses import locked_course
from results.models.rostered import course_state
from results.policy.access import Actor
from results.policy.roster.changes import Plan
from results.policy.roster.grid import Grid
from results.policy.roster.matching import Matching
from results.policy.roster.people import Person
from results.policy.roster.reading import read_roster
from results.policy.roster.refusals import RosterChanged
from results.rosters.membership import store_people

_Places = Mapping[tuple[str, str], int]


def enrol_people(
    course_code: str,
    grid: Grid,
    matching: Matching,
    *,
    seen: str,
    actor: Actor,
    now: datetime,
) -> Plan:
    """Carry out what a roster changes; return what was done.

    Vials, slips and submissions hang on groups and stay where they are.

    Parameters
    ----------
    seen : str
        The mark of the course for which the list of changes was made.

    Raises
    ------
    NotFound
        The actor coordinates no such course.
    RosterChanged
        The course changed since.
    NotAdmitted, NotARoster
        As `read_roster`.
    """
    with transaction.atomic():
        course = locked_course(course_code, rights=actor.rights)
        state = course_state(course)
        if state.mark != seen:
            raise RosterChanged
        plan = read_roster(state, grid, matching).plan
        _carry_out(course, plan, now)
    return plan


def _carry_out(course: Course, plan: Plan, now: datetime) -> None:
    Section.objects.bulk_create(
        Section(course=course, code=code) for code in plan.new_sections
    )
    sections = dict(Section.objects.filter(course=course).values_list("code", "pk"))
    _make_groups(plan, sections)
    groups: _Places = {
        (section, code): pk
        for pk, section, code in Group.objects.filter(
            section__course=course
        ).values_list("pk", "section__code", "code")
    }
    on_record = Student.objects.filter(course=course).in_bulk()
    was_in = {pk: one.group_id for pk, one in on_record.items()}
    people = []
    for change in plan.changes:
        student = on_record[change.before.pk]
        _write(student, change.after, sections, groups, now)
        people.append(student)
    people += [
        Student(
            course=course,
            section_id=sections[one.section],
            group_id=groups[one.section, one.group] if one.group else None,
            name=one.name,
            number=one.number,
        )
        for one in plan.new
    ]
    store_people(people, was_in=was_in, now=now)


def _make_groups(plan: Plan, sections: Mapping[str, int]) -> None:
    if not plan.new_groups:
        return
    last = dict(
        Group.objects.filter(section__in=sections.values())
        .values_list("section")
        .annotate(last=Max("place"))
    )
    made = []
    for section, code in plan.new_groups:
        pk = sections[section]
        last[pk] = (last.get(pk) or 0) + 1
        made.append(Group(section_id=pk, code=code, place=last[pk]))
    Group.objects.bulk_create(made)


def _write(
    student: Student,
    after: Person,
    sections: Mapping[str, int],
    groups: _Places,
    now: datetime,
) -> None:
    student.name, student.number = after.name, after.number
    student.section_id = sections[after.section]
    student.group_id = groups[after.section, after.group] if after.group else None
    if after.has_left:
        student.left_at = student.left_at or now
    else:
        student.left_at = None
