"""The people of a course, and what a roster would change among them."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, F, Q

from results.models import Course, Section, Student
from results.models.courses import coordinated_course
from results.models.rostered import course_state
from results.policy.access import Rights
from results.policy.roster.grid import Grid
from results.policy.roster.matching import Matching
from results.policy.roster.reading import Reading, read_roster

# More names than this make no list that anybody reads to its end.
_MOST_SHOWN = 200


@dataclass(frozen=True, slots=True)
class RosterPreview:
    """What a file would change of a course as it is.

    Attributes
    ----------
    mark : str
        Changes with every person, section and group of the course.
    """

    reading: Reading
    mark: str


@dataclass(frozen=True, slots=True)
class Enrolled:
    """One person of a course; `group` empty if in none."""

    student_id: int
    name: str
    number: str
    section: str
    group: str
    left_at: datetime | None


@dataclass(frozen=True, slots=True)
class SectionCount:
    """One section: how many are in it, and how many of these in no group."""

    section_id: int
    section: str
    n_people: int
    n_without_group: int


@dataclass(frozen=True, slots=True, kw_only=True)
class CourseRoster:
    """The people of a course.

    Attributes
    ----------
    people : tuple of Enrolled
        Those who were asked for, by name, up to a number that can be read; who has
        left comes last.
    n_found : int
        How many were asked for.
    """

    course: str
    course_title: str
    sections: tuple[SectionCount, ...]
    people: tuple[Enrolled, ...]
    n_found: int
    n_people: int
    n_without_group: int
    n_left: int


def roster_preview(
    course_code: str, grid: Grid, matching: Matching, *, rights: Rights
) -> RosterPreview:
    """Return what a file would change; four queries, however many people.

    Raises
    ------
    NotFound
        The viewer coordinates no such course.
    NotAdmitted, NotARoster
        As `read_roster`.
    """
    state = course_state(coordinated_course(course_code, rights=rights))
    return RosterPreview(read_roster(state, grid, matching), state.mark)


def course_roster(
    course_code: str,
    *,
    rights: Rights,
    section_id: int | None = None,
    name: str = "",
) -> CourseRoster:
    """Return the people of a course; five queries, however many.

    Parameters
    ----------
    section_id : int, optional
        Only people of this section.
    name : str
        Only people with this in their name or number.

    Raises
    ------
    NotFound
        The viewer coordinates no such course.
    """
    course = coordinated_course(course_code, rights=rights)
    sections = _sections(course)
    asked = Student.objects.filter(course=course)
    if section_id is not None:
        asked = asked.filter(section__pk=section_id)
    if name:
        asked = asked.filter(Q(name__icontains=name) | Q(number__icontains=name))
    return CourseRoster(
        course=course.code,
        course_title=course.title,
        sections=sections,
        people=tuple(
            Enrolled(
                one.pk,
                one.name,
                one.number,
                one.section.code,
                one.group.code if one.group else "",
                one.left_at,
            )
            for one in asked.select_related("section", "group").order_by(
                F("left_at").asc(nulls_first=True), "name", "pk"
            )[:_MOST_SHOWN]
        ),
        n_found=asked.count(),
        n_people=sum(one.n_people for one in sections),
        n_without_group=sum(one.n_without_group for one in sections),
        n_left=Student.objects.filter(course=course, left_at__isnull=False).count(),
    )


def _sections(course: Course) -> tuple[SectionCount, ...]:
    here = Q(students__left_at__isnull=True, students__isnull=False)
    rows = (
        Section.objects.filter(course=course)
        .annotate(
            n_people=Count("students", filter=here),
            n_loose=Count("students", filter=here & Q(students__group__isnull=True)),
        )
        .order_by("code")
        .values_list("pk", "code", "n_people", "n_loose")
    )
    return tuple(SectionCount(*row) for row in rows)
