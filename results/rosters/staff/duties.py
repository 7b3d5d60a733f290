"""Giving and taking duties in a course, each with a line in its history."""

from datetime import datetime

from django.contrib.auth.models import User
from django.db import transaction

from results.models import Course, Duty, DutyNote, Section
from results.models.courses import find_course, locked_course
from results.policy.access import Actor, Rights, Role
from results.policy.refusals import NotAdmitted, NotFound, Problem
from results.policy.staffing import Deed, LastCoordinator, left_without_coordinator
from results.rosters.staff.accounts import find_person
from results.rosters.staff.links import withdraw_open

#: Accounts are numbered from 1: nobody's number is this.
_NOBODY = 0


def keeper(course_code: str) -> Actor:
    """Return who acts by a command: nobody's account, with the rights of a course.

    Raises
    ------
    NotFound
        There is no such course.
    """
    course = find_course(course_code)
    rights = Rights(coordinated=frozenset({course.pk}))
    return Actor(_NOBODY, "the server’s keeper", rights)


def give_duty(
    course_code: str, typed: str, *, section: str, actor: Actor, now: datetime
) -> bool:
    """Let a person coordinate a course or assist a section; return whether it is new.

    Parameters
    ----------
    typed : str
        User name or e-mail address of an account.
    section : str
        Code of the section to assist; empty for coordinating the course.

    Raises
    ------
    NotFound
        The actor coordinates no such course.
    NoSuchPerson, SeveralPeople
        No one account was meant.
    NotAdmitted
        The account is closed, or the course has no such section.
    """
    with transaction.atomic():
        course = locked_for_staffing(course_code, actor)
        person = find_person(typed)
        if not person.is_active:
            message = f"The account {person.username} is closed."
            raise NotAdmitted([Problem(("person",), message)])
        return add_duty(course, person, section=section, actor=actor, now=now)


def take_duty(
    course_code: str, typed: str, *, section: str, actor: Actor, now: datetime
) -> bool:
    """End a duty; return whether the person had it.

    Who has no duty left anywhere has no use for an open link: it is withdrawn.

    Raises
    ------
    NotFound
        The actor coordinates no such course.
    NoSuchPerson, SeveralPeople
        No one account was meant.
    NotAdmitted
        The course has no such section.
    LastCoordinator
        Nobody would coordinate the course any more.
    """
    with transaction.atomic():
        course = locked_for_staffing(course_code, actor)
        person = find_person(typed)
        place = _section(course, section)
        held = Duty.objects.filter(course=course, user=person, section=place)
        if not held.exists():
            return False
        if place is None:
            _leave_somebody(course, person)
        held.delete()
        add_note(course, person, Deed.TAKEN, section=place, actor=actor, now=now)
        if not person.duties.exists():
            withdraw_open(person.pk, now=now)
    return True


def locked_for_staffing(course_code: str, actor: Actor) -> Course:
    """Return a course whose staff nobody else changes until the transaction ends.

    Raises
    ------
    NotFound
        There is no such course, or the actor does not coordinate it.
    """
    course = locked_course(course_code, rights=actor.rights)
    # What the actor may was read before: of two coordinators who remove each other,
    # one was quicker.
    still = Duty.objects.filter(
        course=course, user=actor.user_id, role=Role.COORDINATOR
    )
    if actor.user_id != _NOBODY and not still.exists():
        message = "There is no such course among those that you coordinate."
        raise NotFound(message)
    return course


def add_duty(
    course: Course, person: User, *, section: str, actor: Actor, now: datetime
) -> bool:
    """Add a duty under the course's lock; return whether it is new.

    Raises
    ------
    NotAdmitted
        The course has no such section.
    """
    place = _section(course, section)
    role = Role.COORDINATOR if place is None else Role.ASSISTANT
    _, created = Duty.objects.get_or_create(
        course=course, user=person, section=place, role=role
    )
    if created:
        add_note(course, person, Deed.GIVEN, section=place, actor=actor, now=now)
    return created


def add_note(
    course: Course,
    person: User,
    deed: Deed,
    *,
    actor: Actor,
    now: datetime,
    section: Section | None = None,
) -> None:
    """Add a line to the history of a course's staff."""
    role = ""
    if deed in {Deed.GIVEN, Deed.TAKEN}:
        role = Role.COORDINATOR if section is None else Role.ASSISTANT
    DutyNote.objects.create(
        course=course,
        person=person,
        person_name=person.username,
        deed=deed,
        role=role,
        section_code=section.code if section else "",
        at=now,
        by_id=actor.user_id or None,
        by_name=actor.name,
    )


def _section(course: Course, code: str) -> Section | None:
    code = code.replace("\x00", "").strip()
    if not code:
        return None
    section = Section.objects.filter(course=course, code=code).first()
    if section is None:
        message = f"The course has no section {code}."
        raise NotAdmitted([Problem(("section",), message)])
    return section


def _leave_somebody(course: Course, leaving: User) -> None:
    # Who has no open account cannot coordinate anything.
    others = Duty.objects.filter(
        course=course, role=Role.COORDINATOR, user__is_active=True
    ).values_list("user_id", flat=True)
    if left_without_coordinator(set(others), leaving.pk):
        raise LastCoordinator(course.code)
