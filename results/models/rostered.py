"""A course's people and groups as a roster meets them: for previews and actions."""

from collections.abc import Iterator, Sequence
from typing import TypeVar

from django.db.models import Count, Exists, OuterRef

from results.models.course import Course, Group, Section
from results.models.drafts import SheetDraft
from results.models.grading import Grade
from results.models.people import Membership, Student
from results.policy.roster.benches import Benches, BenchGroup, by_place
from results.policy.roster.filling import Seat
from results.policy.roster.people import CourseState, Person

T = TypeVar("T")
# Databases take a limited number of values in one statement.
_AT_A_TIME = 500


def course_state(course: Course) -> CourseState:
    """Return the people of a course with its sections and groups; three queries."""
    sections = dict(Section.objects.filter(course=course).values_list("pk", "code"))
    groups: dict[str, set[str]] = {code: set() for code in sections.values()}
    group_codes: dict[int, str] = {}
    for pk, section_id, code in Group.objects.filter(
        section__course=course
    ).values_list("pk", "section_id", "code"):
        groups[sections[section_id]].add(code)
        group_codes[pk] = code
    rows = Student.objects.filter(course=course).order_by("name", "pk")
    return CourseState(
        people=tuple(
            Person(
                pk=pk,
                name=name,
                number=number,
                section=sections[section_id],
                group=group_codes[group_id] if group_id else "",
                has_left=left_at is not None,
            )
            for pk, name, number, section_id, group_id, left_at in rows.values_list(
                "pk", "name", "number", "section_id", "group_id", "left_at"
            )
        ),
        groups={section: frozenset(codes) for section, codes in groups.items()},
    )


def course_benches(course: Course, section_id: int | None = None) -> list[Benches]:
    """Return the sections of a course, or one of them, with their groups.

    Four queries, however many sections and people.
    """
    sections = Section.objects.filter(course=course)
    if section_id is not None:
        sections = sections.filter(pk=section_id)
    codes = dict(sections.order_by("code").values_list("pk", "code"))
    seats: dict[int | None, list[Seat]] = {}
    loose: dict[int, list[Seat]] = {}
    last = dict(
        Membership.objects.filter(student__section__in=codes)
        .order_by("since", "pk")
        .values_list("student_id", "group_id")
    )
    for student in Student.objects.filter(
        section__in=codes, left_at__isnull=True
    ).order_by("name", "pk"):
        key = student.number or student.name
        seat = Seat(student.pk, student.name, key, last.get(student.pk))
        if student.group_id is None:
            loose.setdefault(student.section_id, []).append(seat)
        seats.setdefault(student.group_id, []).append(seat)
    groups: dict[int, list[BenchGroup]] = {}
    for group in _counted_groups(codes):
        groups.setdefault(group.section_id, []).append(
            BenchGroup(
                pk=group.pk,
                code=group.code,
                place=group.place,
                members=tuple(seats.get(group.pk, ())),
                n_submissions=group.n_submissions,  # type: ignore[attr-defined]
                n_issues=group.n_issues,  # type: ignore[attr-defined]
                has_slip=group.slip_digest is not None,
                has_grade=group.has_grade,  # type: ignore[attr-defined]
                has_draft=group.has_draft,  # type: ignore[attr-defined]
            )
        )
    return [
        Benches(
            pk,
            code,
            tuple(sorted(groups.get(pk, ()), key=by_place)),
            tuple(loose.get(pk, ())),
        )
        for pk, code in codes.items()
    ]


def _counted_groups(section_ids: dict[int, str]) -> Iterator[Group]:
    yield from Group.objects.filter(section__in=section_ids).annotate(
        n_submissions=Count("submissions", distinct=True),
        n_issues=Count("issues", distinct=True),
        has_grade=Exists(Grade.objects.filter(group=OuterRef("pk"))),
        has_draft=Exists(SheetDraft.objects.filter(group=OuterRef("pk"))),
    )


def some_at_a_time(values: Sequence[T]) -> Iterator[Sequence[T]]:
    """Yield parts that a database takes as values of one statement."""
    for start in range(0, len(values), _AT_A_TIME):
        yield values[start : start + _AT_A_TIME]
