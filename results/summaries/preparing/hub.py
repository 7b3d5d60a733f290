"""How far a course is prepared, as counts."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Count, Exists, Manager, Max, Min, OuterRef, Q

from results.models import (
    AssignedValue,
    Course,
    Duty,
    Group,
    Issue,
    Lot,
    Section,
    Station,
    Student,
    Vial,
)
from results.models.courses import coordinated_course
from results.policy.access import IronShown, Rights, Role


@dataclass(frozen=True, slots=True, kw_only=True)
class PreparedCourse:
    """A course on its way to its first student.

    Attributes
    ----------
    protocol_version, scheme_version : int
        Of what is in force; 0 for none.
    first_opens_at : datetime or None
        When the first section opens; None while none has an opening time.
    n_open_from_start : int
        Sections without an opening time: they are open already.
    """

    course: str
    title: str
    term: str
    protocol_version: int
    scheme_version: int
    iron_shown: IronShown
    own_answer_first: bool
    n_stations: int
    n_in_service: int
    n_sections: int
    n_sections_without_groups: int
    n_open_from_start: int
    n_without_due: int
    first_opens_at: datetime | None
    n_groups: int
    n_groups_without_vial: int
    n_groups_without_slip: int
    n_lots: int
    n_lots_without_value: int
    n_vials: int
    n_students: int
    n_students_without_group: int
    n_coordinators: int
    n_assistants: int
    n_sections_without_assistant: int


def prepared_course(course_code: str, *, rights: Rights) -> PreparedCourse:
    """Return how far a course is; ten queries, however large it is.

    Raises
    ------
    NotFound
        There is no such course, or the viewer does not coordinate it.
    """
    course = coordinated_course(course_code, rights=rights)
    return PreparedCourse(
        course=course.code,
        title=course.title,
        term=course.term,
        protocol_version=_newest(course.protocols),
        scheme_version=_newest(course.grading_schemes),
        iron_shown=IronShown(course.iron_shown),
        own_answer_first=course.own_answer_first,
        **Station.objects.filter(course=course).aggregate(
            n_stations=Count("pk"),
            n_in_service=Count("pk", filter=Q(in_service=True)),
        ),
        **_sections(course),
        **_groups(course),
        **_unknowns(course),
        **Student.objects.filter(course=course, left_at__isnull=True).aggregate(
            n_students=Count("pk"),
            n_students_without_group=Count("pk", filter=Q(group__isnull=True)),
        ),
        **Duty.objects.filter(course=course).aggregate(
            n_coordinators=Count(
                "user", filter=Q(role=Role.COORDINATOR.value), distinct=True
            ),
            n_assistants=Count(
                "user", filter=Q(role=Role.ASSISTANT.value), distinct=True
            ),
        ),
    )


def _newest(versions: Manager[Any]) -> int:
    """Return the number of the newest version, 0 for none; one query."""
    return int(versions.aggregate(newest=Max("version"))["newest"] or 0)


def _sections(course: Course) -> dict[str, Any]:
    """Count the sections, and find when the first one opens; one query."""
    return (
        Section.objects.filter(course=course)
        .annotate(
            has_groups=Exists(Group.objects.filter(section=OuterRef("pk"))),
            has_assistant=Exists(Duty.objects.filter(section=OuterRef("pk"))),
        )
        .aggregate(
            n_sections=Count("pk"),
            n_sections_without_groups=Count("pk", filter=Q(has_groups=False)),
            n_sections_without_assistant=Count("pk", filter=Q(has_assistant=False)),
            n_open_from_start=Count("pk", filter=Q(opens_at__isnull=True)),
            n_without_due=Count("pk", filter=Q(due_at__isnull=True)),
            first_opens_at=Min("opens_at"),
        )
    )


def _groups(course: Course) -> dict[str, Any]:
    """Count the groups, and what they lack; one query."""
    live = Issue.objects.live().filter(group=OuterRef("pk"))
    return (
        Group.objects.filter(section__course=course)
        .annotate(has_vial=Exists(live))
        .aggregate(
            n_groups=Count("pk"),
            n_groups_without_vial=Count("pk", filter=Q(has_vial=False)),
            n_groups_without_slip=Count("pk", filter=Q(slip_digest__isnull=True)),
        )
    )


def _unknowns(course: Course) -> dict[str, Any]:
    """Count lots and vials; two queries."""
    value = AssignedValue.objects.filter(lot=OuterRef("pk"))
    return {
        **Lot.objects.filter(course=course)
        .annotate(has_value=Exists(value))
        .aggregate(
            n_lots=Count("pk"),
            n_lots_without_value=Count("pk", filter=Q(has_value=False)),
        ),
        "n_vials": Vial.objects.filter(course=course).count(),
    }
