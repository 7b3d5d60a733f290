"""Erasing who people are, and keeping what was measured.

What stays is anonymous: groups, readings, answers, grades. What goes: names and
numbers, slips, what phones have typed, and free texts, in which people may be named.
"""

from dataclasses import dataclass

from django.db import models, transaction

from results.models import (
    DraftEdit,
    Grade,
    GradeEvent,
    Group,
    Issue,
    RecheckRequest,
    Student,
)
from results.models.append_only import let_erase
from results.models.courses import find_course
from results.policy.refusals import NotFound

ERASED = "(erased)"


@dataclass(frozen=True, slots=True)
class Forgotten:
    """How much was erased."""

    n_students: int
    n_texts: int = 0


def forget_student(course_code: str, who: str) -> Forgotten:
    """Erase one person's name and number.

    Parameters
    ----------
    who : str
        The number at the college, or the name where only one person has it.

    Raises
    ------
    NotFound
        There is no such course or person, or several people have that name.
    """
    with transaction.atomic():
        course = find_course(course_code)
        people = Student.objects.select_for_update().filter(course=course)
        found = list(people.filter(number=who)) or list(people.filter(name=who))
        if not who or not found:
            message = f"Nobody in {course_code} has the number or the name {who}."
            raise NotFound(message)
        if len(found) > 1:
            message = f"{len(found)} people are called {who}: give the number instead."
            raise NotFound(message)
        _erase(found)
    return Forgotten(n_students=1)


def forget_people(course_code: str) -> Forgotten:
    """Erase everybody of a course that is over, with all free texts about them.

    Raises
    ------
    NotFound
        There is no such course.
    """
    with transaction.atomic():
        course = find_course(course_code)
        people = list(Student.objects.select_for_update().filter(course=course))
        _erase(people)
        groups = Group.objects.filter(section__course=course)
        groups.update(slip_digest=None, slip_issued_at=None)
        DraftEdit.objects.filter(draft__group__in=groups).delete()
        n_texts = _erase_texts(groups)
    return Forgotten(len(people), n_texts)


def _erase(people: list[Student]) -> None:
    for person in people:
        # A name of one's own: two erased members of a group stay two.
        person.name, person.number = f"former student {person.pk}", ""
    Student.objects.bulk_update(people, ["name", "number"], batch_size=500)


def _erase_texts(groups: models.QuerySet[Group]) -> int:
    requests = RecheckRequest.objects.filter(grade__group__in=groups)
    n_texts = requests.exclude(text=ERASED).update(text=ERASED)
    n_texts += requests.exclude(answer__in=("", ERASED)).update(answer=ERASED)
    grades = Grade.objects.filter(group__in=groups)
    n_texts += grades.exclude(comment="").update(comment="")
    n_texts += grades.exclude(reason__in=("", ERASED)).update(reason=ERASED)
    issues = Issue.objects.filter(group__in=groups)
    n_texts += issues.exclude(reason__in=("", ERASED)).update(reason=ERASED)
    with let_erase(GradeEvent._meta.db_table):  # noqa: SLF001 - Django documents it
        # A plain queryset: the table's own refuses any update.
        n_texts += (
            models.QuerySet(GradeEvent)
            .filter(grade__group__in=groups)
            .exclude(why__in=("", ERASED))
            .update(why=ERASED)
        )
    return n_texts
