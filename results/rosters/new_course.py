"""Making a course: from nothing, or like another one; and taking one over."""

from dataclasses import dataclass
from datetime import date, datetime, tzinfo

from django.contrib.auth.models import User
from django.db import IntegrityError, transaction

from results.models import (
    AssignedValue,
    Course,
    GradingScheme,
    Lot,
    Protocol,
    Station,
    StationNote,
)
from results.models.courses import coordinated_course, find_course
from results.policy.access import Actor, Role
from results.policy.course_codes import code_problem
from results.policy.preparing_refusals import CourseChanged, MayNotMakeCourses
from results.policy.refusals import NotAdmitted, NotFound, Problem
from results.rosters.sections import store_sections
from results.rosters.staff.duties import add_duty
from results.summaries.preparing.courses import CopyPlan, plan_of
from results.summaries.rights import keeps_the_site, may_make_courses

_LONGEST = {"title": 120, "term": 60, "college": 120}
_POLICIES = (
    "iron_shown",
    "own_answer_first",
    "assistants_see_assigned",
    "error_shown",
    "vial_labels_checked",
)


@dataclass(frozen=True, slots=True)
class NewCourse:
    """What a course is called; a title left empty is its code."""

    code: str
    title: str = ""
    term: str = ""
    college: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Like:
    """Another course to begin like.

    Attributes
    ----------
    starts : date
        First day of the new term; every time moves by whole weeks.
    lots : bool
        Whether lots with their present values are taken over.
    seen : str or None
        The mark of the plan that was looked at; None where nobody looked.
    """

    course: str
    starts: date
    lots: bool
    seen: str | None
    zone: tzinfo


def begin_course(
    new: NewCourse, *, like: Like | None, actor: Actor, now: datetime
) -> None:
    """Make a course, with the actor as its coordinator.

    Raises
    ------
    MayNotMakeCourses
        The actor coordinates no course and does not keep the site.
    NotAdmitted
        The code is taken or none, or something is too long; all of it is named.
    NotFound
        The actor does not coordinate the course that it is to be like.
    CourseChanged
        That course is no longer as it was shown.
    """
    if not may_make_courses(actor.user_id, rights=actor.rights):
        raise MayNotMakeCourses
    with transaction.atomic():
        other = coordinated_course(like.course, rights=actor.rights) if like else None
        course = _make(new)
        user = User.objects.get(pk=actor.user_id)
        add_duty(course, user, section="", actor=actor, now=now)
        if like is not None and other is not None:
            _take_over(course, other, like, actor=actor, now=now)


def copy_course(new: NewCourse, *, like: Like, now: datetime) -> CopyPlan:
    """Make a course like another one, without anybody who coordinates it.

    For commands: whoever runs them keeps the site.

    Raises
    ------
    NotAdmitted, NotFound
        As `begin_course`.
    """
    with transaction.atomic():
        other = find_course(like.course)
        return _take_over(_make(new), other, like, actor=None, now=now)


def coordinate_alone(course_code: str, *, actor: Actor, now: datetime) -> None:
    """Make the actor coordinator of a course that has none.

    Raises
    ------
    NotFound
        There is no such course, somebody coordinates it, or the actor does not keep
        the site.
    """
    with transaction.atomic():
        course = Course.objects.select_for_update().filter(code=course_code).first()
        if (
            course is None
            or not keeps_the_site(actor.user_id)
            or course.duties.filter(role=Role.COORDINATOR.value).exists()
        ):
            message = "There is no such course without a coordinator."
            raise NotFound(message)
        user = User.objects.get(pk=actor.user_id)
        add_duty(course, user, section="", actor=actor, now=now)


def check_new_course(new: NewCourse) -> None:
    """Check what a course is to be called; one query.

    Raises
    ------
    NotAdmitted
        The code is taken or none, or something is too long; all of it is named.
    """
    problems = []
    if message := code_problem(new.code):
        problems.append(Problem(("code",), message))
    elif Course.objects.filter(code__iexact=new.code).exists():
        message = f"There is a course {new.code} already. Choose another code."
        problems.append(Problem(("code",), message))
    for name, most in _LONGEST.items():
        if len(getattr(new, name)) > most:
            problems.append(Problem((name,), f"Shorten it to {most} signs."))
    if problems:
        raise NotAdmitted(problems)


def _make(new: NewCourse) -> Course:
    check_new_course(new)
    try:
        with transaction.atomic():
            return Course.objects.create(
                code=new.code,
                title=new.title or new.code,
                term=new.term,
                college=new.college,
            )
    except IntegrityError as error:
        # Somebody else took the code between the look and the making.
        message = f"There is a course {new.code} already. Choose another code."
        raise NotAdmitted([Problem(("code",), message)]) from error


def _take_over(
    course: Course, other: Course, like: Like, *, actor: Actor | None, now: datetime
) -> CopyPlan:
    plan = plan_of(other, starts=like.starts, lots=like.lots, now=now, zone=like.zone)
    if like.seen is not None and like.seen != plan.mark:
        raise CourseChanged
    for name in _POLICIES:
        setattr(course, name, getattr(other, name))
    course.college = course.college or other.college
    course.save()
    _copy_documents(course, other, actor, now)
    _copy_stations(course, other, actor, now)
    store_sections(course, plan.sections)
    for code, value in plan.lots:
        AssignedValue.objects.create(
            lot=Lot.objects.create(course=course, code=code),
            iron_percent=value.iron_percent,
            u_iron_percent=value.u_iron_percent,
            valid_from=now,
            reason=f"as in course {other.code}",
            assigned_by_id=actor.user_id if actor else None,
            assigned_at=now,
        )
    return plan


def _copy_documents(
    course: Course, other: Course, actor: Actor | None, now: datetime
) -> None:
    if protocol := other.protocols.order_by("-version").first():
        Protocol.objects.create(
            course=course,
            version=1,
            title=protocol.title,
            document=protocol.document,
            adopted_at=now,
        )
    if scheme := other.grading_schemes.order_by("-version").first():
        GradingScheme.objects.create(
            course=course,
            version=1,
            document=scheme.document,
            adopted_at=now,
            adopted_by_id=actor.user_id if actor else None,
        )


def _copy_stations(
    course: Course, other: Course, actor: Actor | None, now: datetime
) -> None:
    made = Station.objects.bulk_create(
        Station(
            course=course,
            code=one.code,
            place=one.place,
            scale=one.scale,
            step=one.step,
            in_service=one.in_service,
            note=one.note,
        )
        for one in Station.objects.filter(course=other).order_by("pk")
    )
    if actor is None:
        return
    # What is out of service stays so, and its history says on whose word.
    StationNote.objects.bulk_create(
        StationNote(
            station=one,
            in_service=False,
            note=one.note or f"out of service in course {other.code}",
            at=now,
            by_id=actor.user_id,
            by_name=actor.name,
        )
        for one in made
        if not one.in_service
    )
