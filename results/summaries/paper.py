"""What is printed for a laboratory: slips of a section, stickers of stations."""

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from results.models import Course, Group, Issue, Section, Station
from results.policy.access import Rights
from results.policy.refusals import NotFound


@dataclass(frozen=True, slots=True)
class SlipRow:
    """One group, and when its slip was made; None if it has none."""

    group_id: int
    group: str
    students: tuple[str, ...]
    vial: str
    issued_at: datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionSlips:
    """The slips of a section, without their codes: only digests of these are kept.

    Attributes
    ----------
    mark : str
        Changes whenever a slip is made; see `slips_mark`.
    """

    section_id: int
    section: str
    course: str
    course_title: str
    term: str
    college: str
    opens_at: datetime | None
    rows: tuple[SlipRow, ...]
    mark: str


@dataclass(frozen=True, slots=True)
class Sticker:
    """What stands on the sticker of a station."""

    code: str
    place: str
    in_service: bool


@dataclass(frozen=True, slots=True)
class CourseStickers:
    """The stickers of a course's stations."""

    course: str
    course_title: str
    term: str
    college: str
    stations: tuple[Sticker, ...]


def slips_mark(groups: Iterable[Group]) -> str:
    """Return a mark that changes whenever one of the groups gets a new slip."""
    slips = sorted(f"{group.pk} {group.slip_digest or ''}" for group in groups)
    return hashlib.sha256("\n".join(slips).encode()).hexdigest()[:32]


def slip_rows(groups: Iterable[Group], vials: Mapping[int, str]) -> tuple[SlipRow, ...]:
    """Return the slips of groups, by their numbers; the students are to be at hand."""
    return tuple(
        SlipRow(
            group_id=group.pk,
            group=group.code,
            students=tuple(sorted(one.name for one in group.students.all())),
            vial=vials.get(group.pk, ""),
            issued_at=group.slip_issued_at if group.slip_digest else None,
        )
        for group in sorted(groups, key=lambda group: as_counted(group.code))
    )


def section_slips(section_id: int, *, rights: Rights) -> SectionSlips:
    """Return the slips of a section; four queries, however many groups.

    Raises
    ------
    NotFound
        There is no such section, or the viewer may not make its slips.
    """
    section = Section.objects.select_related("course").filter(pk=section_id).first()
    if section is None or not rights.may_make_slips(section.pk, section.course_id):
        message = "There is no such section among yours."
        raise NotFound(message)
    groups = list(Group.objects.filter(section=section).prefetch_related("students"))
    vials = dict(
        Issue.objects.live()
        .filter(group__section=section)
        .values_list("group_id", "vial__code")
    )
    return SectionSlips(
        section_id=section.pk,
        section=section.code,
        course=section.course.code,
        course_title=section.course.title,
        term=section.course.term,
        college=section.course.college,
        opens_at=section.opens_at,
        rows=slip_rows(groups, vials),
        mark=slips_mark(groups),
    )


def course_stickers(course_code: str, *, rights: Rights) -> CourseStickers:
    """Return the stickers of a course's stations; two queries.

    Raises
    ------
    NotFound
        There is no such course, or the viewer has no duty in it.
    """
    course = Course.objects.filter(code=course_code).first()
    if course is None or not rights.may_list_course(course.pk):
        message = "There is no such course among yours."
        raise NotFound(message)
    stations = Station.objects.filter(course=course)
    return CourseStickers(
        course=course.code,
        course_title=course.title,
        term=course.term,
        college=course.college,
        stations=tuple(
            Sticker(station.code, station.place, station.in_service)
            for station in sorted(stations, key=lambda one: as_counted(one.code))
        ),
    )


def as_counted(code: str) -> tuple[int, str]:
    """Return a sort key by which 2 comes before 10."""
    return len(code), code
