"""People who come later, change section, leave or come back: one at a time."""

from collections.abc import Collection
from datetime import datetime

from django.db import transaction

from results.models import Course, Section, Student
from results.models.courses import locked_course
from results.policy.access import Actor
from results.policy.refusals import NotAdmitted, NothingChosen, Problem
from results.policy.roster.entries import (
    LONGEST_NAME,
    LONGEST_NUMBER,
    same_name,
    tidy,
)
from results.rosters.membership import store_people


def add_person(
    course_code: str,
    section_id: int,
    *,
    name: str,
    number: str,
    actor: Actor,
    now: datetime,
) -> str:
    """Enter one person into a section; return their name as it is kept.

    Raises
    ------
    NotFound
        The actor coordinates no such course.
    NotAdmitted
        The name or section is missing, or the course has such a person already.
    """
    name, number = _typed(name), _typed(number)
    with transaction.atomic():
        course = locked_course(course_code, rights=actor.rights)
        section = Section.objects.filter(course=course, pk=section_id).first()
        problems = [*_lengths(name, number), *_twins(course, name, number)]
        if section is None:
            problems.append(Problem(("section",), "Choose a section."))
        if problems or section is None:
            raise NotAdmitted(problems)
        person = Student(course=course, section=section, name=name, number=number)
        store_people([person], was_in={}, now=now)
    return name


def move_to_section(
    course_code: str,
    student_ids: Collection[int],
    section_id: int,
    *,
    actor: Actor,
    now: datetime,
) -> int:
    """Put people into another section; return how many that changed.

    They leave their groups, whose work stays with these; who had left comes back.

    Raises
    ------
    NotFound
        The actor coordinates no such course.
    NothingChosen
        None of the course's people, or no section of it, was named.
    """
    with transaction.atomic():
        course = locked_course(course_code, rights=actor.rights)
        section = Section.objects.filter(course=course, pk=section_id).first()
        if section is None:
            message = "Choose the section to which they go."
            raise NothingChosen(message)
        people = _chosen(course, student_ids)
        moving = [one for one in people if one.section_id != section.pk or one.left_at]
        was_in = {one.pk: one.group_id for one in moving}
        for one in moving:
            one.section, one.group, one.left_at = section, None, None
        store_people(moving, was_in=was_in, now=now)
    return len(moving)


def let_leave(
    course_code: str, student_ids: Collection[int], *, actor: Actor, now: datetime
) -> int:
    """Let people leave the course and their groups; return how many did.

    Raises
    ------
    NotFound
        The actor coordinates no such course.
    NothingChosen
        None of the course's people was named.
    """
    with transaction.atomic():
        course = locked_course(course_code, rights=actor.rights)
        leaving = [one for one in _chosen(course, student_ids) if not one.left_at]
        was_in = {one.pk: one.group_id for one in leaving}
        for one in leaving:
            one.group, one.left_at = None, now
        store_people(leaving, was_in=was_in, now=now)
    return len(leaving)


def let_return(
    course_code: str, student_ids: Collection[int], *, actor: Actor, now: datetime
) -> int:
    """Let people who left come back to their section; return how many did.

    They are in no group then: theirs may be full or have gone on without them.

    Raises
    ------
    NotFound
        The actor coordinates no such course.
    NothingChosen
        None of the course's people was named.
    """
    with transaction.atomic():
        course = locked_course(course_code, rights=actor.rights)
        back = [one for one in _chosen(course, student_ids) if one.left_at]
        for one in back:
            one.left_at = None
        store_people(back, was_in=dict.fromkeys(one.pk for one in back), now=now)
    return len(back)


def _typed(text: str) -> str:
    return tidy(text.replace("\x00", ""))


def _lengths(name: str, number: str) -> list[Problem]:
    problems = []
    if not name:
        problems.append(Problem(("name",), "Write the name."))
    if len(name) > LONGEST_NAME:
        message = f"Shorten the name to {LONGEST_NAME} signs."
        problems.append(Problem(("name",), message))
    if len(number) > LONGEST_NUMBER:
        message = f"Shorten the number to {LONGEST_NUMBER} signs."
        problems.append(Problem(("number",), message))
    return problems


def _twins(course: Course, name: str, number: str) -> list[Problem]:
    """Find whom a new person could be taken for, in the whole course."""
    people = list(
        Student.objects.filter(course=course).values_list(
            "name", "number", "section__code"
        )
    )
    for other, other_number, section in people:
        if number and number == other_number:
            message = f"{other} of section {section} has this number."
            return [Problem(("number",), message)]
    for other, other_number, section in people:
        if same_name(other) == same_name(name) and not (number and other_number):
            message = (
                f"{other} is in section {section} already. Give both a number if they "
                "are two people; else change the section of the one who is there."
            )
            return [Problem(("name",), message)]
    return []


def _chosen(course: Course, student_ids: Collection[int]) -> list[Student]:
    people = list(Student.objects.filter(course=course, pk__in=student_ids))
    if not people:
        message = "Tick at least one person."
        raise NothingChosen(message)
    return people
