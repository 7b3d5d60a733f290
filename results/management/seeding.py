"""The invented course, entered as a coordinator and its groups would enter it."""

import random
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from statistics import median

from django.contrib.auth.models import User
from django.db import transaction
from numpy.random import Generator

from results.intake.submissions import store_submission
from results.issuing import issue_vial
from results.models import (
    AssignedValue,
    Course,
    Duty,
    GradingScheme,
    Group,
    Lot,
    Section,
    Station,
    Vial,
)
from results.models.submissions import Source
from results.policy.access import Role
from results.policy.codes import VIAL_LENGTH, draw_code
from results.policy.marking import DEFAULT_DOCUMENT
from results.policy.typed import RawReading, RawSubmission, Scale
from results.rosters import adopt_protocol, issue_slip, join_group
from results.science.simulate import (
    InventedCourse,
    InventedGroup,
    InventedSection,
    InventedSubmission,
    invent_course,
)

# For a trial on one's own machine only: everybody can read them here.
COORDINATOR = "coordinator"
ASSISTANT = "assistant"
KEEPER = "keeper"
PASSWORD = "orange-red-510"  # noqa: S105
_SEED = 510


@dataclass(frozen=True, slots=True)
class SignIn:
    """How to sign in as a group that has not sent anything yet."""

    section: str
    group: str
    slip_code: str
    is_new_course: bool


def seed_invented_course(*, now: datetime) -> SignIn:
    """Enter the invented course unless it is there; return a group to sign in as."""
    invented = invent_course(vial_code=_vial_label)
    is_new = not Course.objects.filter(code=invented.code).exists()
    if is_new:
        with transaction.atomic():
            _enter(invented, now)
    course = Course.objects.get(code=invented.code)
    group = _waiting_group(course)
    slip_code = issue_slip(
        group.pk,
        now=now,
        draw_below=random.Random(_SEED).randrange,  # noqa: S311
    )
    return SignIn(group.section.code, group.code, slip_code, is_new)


def _vial_label(rng: Generator) -> str:
    return draw_code(lambda below: int(rng.integers(below)), VIAL_LENGTH)


def _waiting_group(course: Course) -> Group:
    """Return the group whose slip is printed: the same one at every start."""
    last = course.sections.order_by("-opens_at").first()
    groups = Group.objects.filter(section=last).select_related("section")
    with_slip = groups.filter(slip_digest__isnull=False).first()
    chosen = with_slip or groups.filter(submissions__isnull=True).first()
    if chosen is None:
        message = "The invented course has no group left to sign in as."
        raise RuntimeError(message)
    return chosen


def _enter(invented: InventedCourse, now: datetime) -> None:
    last = max(invented.sections, key=lambda section: (section.day, section.hour))
    term_start = now - _into(last, invented.groups) - _offset(last)
    course = Course.objects.create(
        code=invented.code,
        title=invented.title,
        term=invented.term,
        college=invented.college,
        vial_labels_checked=True,
    )
    adopt_protocol(course.code, invented.protocol, title=invented.title, now=term_start)
    # Suggested grades follow the answers; accepting and releasing is left to try.
    GradingScheme.objects.create(
        course=course,
        version=1,
        document=dict(DEFAULT_DOCUMENT),
        adopted_at=term_start,
    )
    Station.objects.bulk_create(
        Station(
            course=course,
            code=station.code,
            place=station.place,
            scale=station.scale,
            step=station.step,
        )
        for station in invented.stations
    )
    _enter_vials(course, invented, term_start)
    sections = {
        section.code: _enter_section(course, section, term_start)
        for section in invented.sections
    }
    _enter_staff(course, invented.sections, sections)
    for group in invented.groups:
        _enter_group(group, sections[group.section], now)


def _into(section: InventedSection, groups: Iterable[InventedGroup]) -> timedelta:
    """Return the time into a section at which half of its readings are in."""
    minutes = [
        group.submission.received_minutes
        for group in groups
        if group.section == section.code and group.submission is not None
    ]
    return timedelta(minutes=median(minutes))


def _offset(section: InventedSection) -> timedelta:
    return timedelta(days=section.day, hours=section.hour)


def _enter_vials(
    course: Course, invented: InventedCourse, valid_from: datetime
) -> None:
    lots = {}
    for lot in invented.lots:
        lots[lot.code] = Lot.objects.create(course=course, code=lot.code)
        AssignedValue.objects.create(
            lot=lots[lot.code],
            iron_percent=lot.iron_percent,
            u_iron_percent=lot.u_iron_percent,
            valid_from=valid_from,
            reason="made up in the prep room",
        )
    Vial.objects.bulk_create(
        Vial(course=course, lot=lots[vial.lot], code=vial.code)
        for vial in invented.vials
    )


def _enter_section(
    course: Course, section: InventedSection, term_start: datetime
) -> Section:
    opens_at = term_start + _offset(section)
    return Section.objects.create(
        course=course,
        code=section.code,
        opens_at=opens_at,
        due_at=opens_at + timedelta(hours=section.due_after_hours),
    )


def _enter_staff(
    course: Course,
    invented: Iterable[InventedSection],
    sections: dict[str, Section],
) -> None:
    names = {name for section in invented for name in section.assistants}
    coordinator = _user(COORDINATOR, first_name="Coordinator")
    Duty.objects.create(user=coordinator, course=course, role=Role.COORDINATOR)
    _user(KEEPER, first_name="Keeper", is_staff=True, is_superuser=True)
    users = {name: _user(_user_name(name), first_name=name) for name in sorted(names)}
    demo_assistant = _user(ASSISTANT, first_name="Assistant")
    for section in invented:
        for user in (*(users[name] for name in section.assistants), demo_assistant):
            Duty.objects.create(
                user=user,
                course=course,
                role=Role.ASSISTANT,
                section=sections[section.code],
            )


def _user_name(name: str) -> str:
    return name.casefold().replace(" ", ".")


def _user(user_name: str, **fields: object) -> User:
    user, is_new = User.objects.get_or_create(username=user_name, defaults=fields)
    if is_new:
        user.set_password(PASSWORD)
        user.save()
    return user


def _enter_group(invented: InventedGroup, section: Section, now: datetime) -> None:
    group = Group.objects.create(section=section, code=str(invented.number))
    assert section.opens_at is not None  # noqa: S101 - entered so above
    join_group(group, invented.students, since=section.opens_at)
    vial = Vial.objects.get(course_id=section.course_id, code=invented.vial)
    issue_vial(vial_id=vial.pk, group_id=group.pk, now=section.opens_at)
    submission = invented.submission
    if submission is None:
        return
    received_at = section.opens_at + timedelta(minutes=submission.received_minutes)
    if received_at > now:
        return
    scale = Scale(
        Station.objects.get(course_id=section.course_id, code=invented.station).scale
    )
    store_submission(
        group_id=group.pk,
        raw=_raw(submission, invented.station, scale),
        source=Source.TABLE,
        idempotency_key="invented",
        received_at=received_at,
        lenient=True,
    )


def _raw(submission: InventedSubmission, station: str, scale: Scale) -> RawSubmission:
    return RawSubmission(
        station=station,
        standard_mass_g=submission.standard_mass_g,
        unknown_mass_g=submission.unknown_mass_g,
        readings=tuple(
            RawReading(
                tube=reading.tube,
                value=reading.value,
                scale=scale,
                replicate=reading.replicate,
                taken_mL=reading.taken_mL,
            )
            for reading in submission.readings
        ),
        own={
            "own_slope": submission.own_slope,
            "own_intercept": submission.own_intercept,
            "own_unknown_mg_L": submission.own_unknown_mg_L,
            "own_iron_percent": submission.own_iron_percent,
        },
    )
