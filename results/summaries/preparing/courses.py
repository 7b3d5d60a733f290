"""What a new course could take over from another one."""

import hashlib
from dataclasses import dataclass
from datetime import date, datetime, tzinfo

from results.models import AssignedValues, Course, Duty, Lot, Section, Station
from results.models.assigned import Assigned
from results.models.courses import coordinated_course
from results.policy.access import Rights, Role
from results.policy.refusals import NotAdmitted, Problem
from results.policy.timetable import SectionTimes, moved, weeks_between


@dataclass(frozen=True, slots=True)
class CourseToCopy:
    """One course that a new one could be like."""

    course: str
    title: str
    term: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CopyPlan:
    """What would be taken over, and when its sections would meet.

    Attributes
    ----------
    weeks : int
        By which every time moves.
    out_of_service : tuple of str
        Stations that would begin out of service, as they are now.
    lots : tuple of (str, Assigned)
        Lots in use with their present values; none unless asked for.
    """

    like: str
    like_title: str
    college: str
    protocol_version: int
    scheme_version: int
    stations: tuple[str, ...]
    out_of_service: tuple[str, ...]
    weeks: int
    sections: tuple[SectionTimes, ...]
    lots: tuple[tuple[str, Assigned], ...]

    @property
    def mark(self) -> str:
        """A mark that changes with anything of the plan."""
        return hashlib.sha256(repr(self).encode()).hexdigest()[:32]


def courses_to_copy(rights: Rights) -> tuple[CourseToCopy, ...]:
    """Return the courses that the viewer coordinates, the newest first; one query."""
    return tuple(
        CourseToCopy(course.code, course.title, course.term)
        for course in Course.objects.filter(pk__in=rights.coordinated).order_by("-pk")
    )


def courses_without_coordinator() -> tuple[CourseToCopy, ...]:
    """Return the courses that nobody coordinates; for who keeps the site; one query."""
    coordinated = Duty.objects.filter(role=Role.COORDINATOR).values("course_id")
    return tuple(
        CourseToCopy(course.code, course.title, course.term)
        for course in Course.objects.exclude(pk__in=coordinated).order_by("code")
    )


def copy_plan(
    like: str, *, starts: date, lots: bool, rights: Rights, now: datetime, zone: tzinfo
) -> CopyPlan:
    """Return what a course like another one would begin with.

    Parameters
    ----------
    starts : date
        First day of the new term.
    lots : bool
        Whether lots with their present values are taken over.

    Raises
    ------
    NotFound
        The viewer does not coordinate the other course.
    NotAdmitted
        Its sections cannot be moved to that day.
    """
    course = coordinated_course(like, rights=rights)
    return plan_of(course, starts=starts, lots=lots, now=now, zone=zone)


def plan_of(
    course: Course, *, starts: date, lots: bool, now: datetime, zone: tzinfo
) -> CopyPlan:
    """Return the plan for a course that was found already; six queries."""
    protocol = course.protocols.order_by("-version").first()
    scheme = course.grading_schemes.order_by("-version").first()
    stations = list(Station.objects.filter(course=course).order_by("code"))
    weeks, sections = _sections(course, starts, zone)
    if wrong := [problem for one in sections for problem in one.problems()]:
        raise NotAdmitted([Problem(("starts",), wrong[0].message)])
    return CopyPlan(
        like=course.code,
        like_title=course.title,
        college=course.college,
        protocol_version=protocol.version if protocol else 0,
        scheme_version=scheme.version if scheme else 0,
        stations=tuple(one.code for one in stations),
        out_of_service=tuple(one.code for one in stations if not one.in_service),
        weeks=weeks,
        sections=sections,
        lots=_lots(course, now) if lots else (),
    )


def _sections(
    course: Course, starts: date, zone: tzinfo
) -> tuple[int, tuple[SectionTimes, ...]]:
    rows = list(Section.objects.filter(course=course).order_by("code"))
    known = [
        moment
        for row in rows
        for moment in (row.opens_at, row.due_at, row.closes_at)
        if moment is not None
    ]
    if not known:
        return 0, tuple(SectionTimes(r.code, r.title, None, None, None) for r in rows)
    weeks = weeks_between(min(known).astimezone(zone).date(), starts)
    try:
        return weeks, tuple(
            SectionTimes(
                row.code,
                row.title,
                moved(row.opens_at, weeks, zone),
                moved(row.due_at, weeks, zone),
                moved(row.closes_at, weeks, zone),
            )
            for row in rows
        )
    except OverflowError as error:
        message = "Give a day within some years of today."
        raise NotAdmitted([Problem(("starts",), message)]) from error


def _lots(course: Course, now: datetime) -> tuple[tuple[str, Assigned], ...]:
    rows = list(Lot.objects.filter(course=course).order_by("code"))
    values = AssignedValues(row.pk for row in rows)
    found = ((row.code, values.at(row.pk, now)) for row in rows)
    return tuple((code, value) for code, value in found if value is not None)
