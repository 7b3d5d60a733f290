"""Inviting people: an account, a duty and a link with which to set a password."""

from datetime import datetime

from django.contrib.auth.models import User
from django.db import transaction

from results.models import Course, Duty, Invitation
from results.models.staffing import linked_outside, with_other_duties
from results.policy.access import Actor, Rights
from results.policy.refusals import NotFound
from results.policy.staffing import (
    Account,
    Deed,
    Link,
    LinkNotGood,
    NoLink,
    why_no_link,
)
from results.rosters.staff.accounts import make_account, set_password
from results.rosters.staff.duties import add_duty, add_note, locked_for_staffing
from results.rosters.staff.links import draw_link, find_link, use_up, withdraw_open


def invite(
    course_code: str,
    typed: str,
    *,
    name: str,
    section: str,
    actor: Actor,
    now: datetime,
) -> Link:
    """Make an account for somebody new, with a duty, and a link to set a password.

    Parameters
    ----------
    typed : str
        User name, or an e-mail address, which then is the user name.
    section : str
        Code of the section to assist; empty for coordinating the course.

    Raises
    ------
    NotFound
        The actor coordinates no such course.
    NotAdmitted
        The name cannot be used, or the course has no such section.
    AccountExists
        There is such an account.
    """
    with transaction.atomic():
        course = locked_for_staffing(course_code, actor)
        user = make_account(typed, name=name)
        add_duty(course, user, section=section, actor=actor, now=now)
        add_note(course, user, Deed.LINK_MADE, actor=actor, now=now)
        return draw_link(user, course=course, now=now)


def renew_link(course_code: str, user_id: int, *, actor: Actor, now: datetime) -> Link:
    """Give a person of a course a new link; the former one ends.

    Raises
    ------
    NotFound
        The actor coordinates no such course, or the person has no duty in it.
    NoLink
        The person's password is not the coordinator's to reset.
    """
    with transaction.atomic():
        course = locked_for_staffing(course_code, actor)
        user = _colleague(course, user_id)
        why = why_no_link(_account(user, actor.rights), asked_by=actor.user_id)
        if why:
            raise NoLink(why)
        add_note(course, user, Deed.LINK_MADE, actor=actor, now=now)
        return draw_link(user, course=course, now=now)


def withdraw_link(
    course_code: str, user_id: int, *, actor: Actor, now: datetime
) -> bool:
    """End the open link of a person of a course; return whether there was one.

    Raises
    ------
    NotFound
        The actor coordinates no such course, or the person has no duty in it.
    """
    with transaction.atomic():
        course = locked_for_staffing(course_code, actor)
        user = _colleague(course, user_id)
        ended = withdraw_open(user.pk, now=now)
        if ended:
            add_note(course, user, Deed.LINK_WITHDRAWN, actor=actor, now=now)
    return ended


def make_link(username: str, *, now: datetime) -> Link:
    """Give an account a link, for no course: by whoever keeps the server.

    Raises
    ------
    NotFound
        There is no such open account.
    """
    with transaction.atomic():
        user = User.objects.filter(username=username, is_active=True).first()
        if user is None:
            message = f"There is no open account {username}."
            raise NotFound(message)
        return draw_link(user, course=None, now=now)


def open_link(token: str, *, now: datetime) -> str:
    """Return whose link this is: a user name.

    Raises
    ------
    LinkNotGood
        It is used up, withdrawn, too old, or nobody's.
    """
    return _good(token, now=now).user.username


def take_up(token: str, *, password: str, now: datetime) -> User:
    """Set a password by a link, which is used up; return whose it is.

    Raises
    ------
    LinkNotGood
        The link is used up, withdrawn, too old, or nobody's.
    NotAdmitted
        The password is too easy to guess; the link stays good.
    """
    with transaction.atomic():
        invitation = _good(token, now=now)
        spend(invitation, now=now)
        set_password(invitation.user, password)
    return invitation.user


def spend(invitation: Invitation, *, now: datetime) -> None:
    """Use a link up, and note it.

    Raises
    ------
    LinkNotGood
        Somebody was quicker.
    """
    if not use_up(invitation, now=now):
        raise LinkNotGood
    user = invitation.user
    if invitation.course is not None:
        by = Actor(user.pk, user.username, Rights())
        add_note(invitation.course, user, Deed.LINK_USED, actor=by, now=now)


def _good(token: str, *, now: datetime) -> Invitation:
    invitation = find_link(token, now=now)
    if invitation is None:
        raise LinkNotGood
    return invitation


def _colleague(course: Course, user_id: int) -> User:
    duty = Duty.objects.select_related("user").filter(course=course, user=user_id)
    found = duty.first()
    if found is None:
        message = "There is no such person among the staff of this course."
        raise NotFound(message)
    return found.user


def _account(user: User, rights: Rights) -> Account:
    elsewhere = with_other_duties([user.pk], coordinated=rights.coordinated)
    return Account(
        user_id=user.pk,
        is_active=user.is_active,
        is_keeper=user.is_staff or user.is_superuser,
        is_linked=bool(linked_outside([user.pk])),
        works_elsewhere=bool(elsewhere),
    )
