"""Which lots the people of each group have had, in this course and before."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from datetime import datetime

from django.db.models import Q, QuerySet

from results.models import Course, Group, Issue, Membership, Student

#: Issues of one group: code of the lot, since when, until when.
_Held = tuple[str, datetime, datetime | None]


def former_lots(course: Course, groups: QuerySet[Group]) -> dict[int, frozenset[str]]:
    """Return the codes of lots that members of groups held earlier; three queries.

    A person is the same in two courses of one college by the number that the college
    gave; without a number only within the course.  Somebody had the lots that a group
    held while they were in it.  Lots of two courses are taken for the same if their
    codes are: that bars one lot too many at worst.

    Parameters
    ----------
    groups : queryset of Group
        Of the course.
    """
    members = list(
        Student.objects.filter(group__in=groups).values_list("pk", "number", "group_id")
    )
    known = Q(student__group__in=groups)
    numbers = Student.objects.filter(group__in=groups).exclude(number="")
    elsewhere = Q(
        student__course__college=course.college,
        student__number__in=numbers.values("number"),
    )
    times = Membership.objects.filter(known | elsewhere)
    held = _held(Issue.objects.filter(group__in=times.values("group")))
    had: dict[str, set[str]] = defaultdict(set)
    for student, number, group, since, until in times.values_list(
        "student_id", "student__number", "group_id", "since", "until"
    ):
        had[_person(student, number)].update(_while_in(held[group], since, until))
    found: dict[int, set[str]] = defaultdict(set)
    for student, number, group_id in members:
        # Nobody is asked for who is in no group.
        if group_id is not None:
            found[group_id] |= had[_person(student, number)]
    return {group: frozenset(codes) for group, codes in found.items()}


def _person(student: int, number: str) -> str:
    return f"number {number}" if number else f"student {student}"


def _held(issues: QuerySet[Issue]) -> dict[int, list[_Held]]:
    held: dict[int, list[_Held]] = defaultdict(list)
    for group, lot, issued_at, ended_at in issues.values_list(
        "group_id", "vial__lot__code", "issued_at", "ended_at"
    ):
        held[group].append((lot, issued_at, ended_at))
    return held


def _while_in(
    held: Iterable[_Held], since: datetime, until: datetime | None
) -> Iterator[str]:
    for lot, issued_at, ended_at in held:
        began_before = until is None or issued_at < until
        if began_before and (ended_at is None or ended_at > since):
            yield lot
