"""Links with which a person sets a password: drawn, found by digest, ended."""

import secrets
from datetime import datetime

from django.conf import settings
from django.contrib.auth.models import User

from results.models import Course, Invitation
from results.policy.codes import digest_code
from results.policy.staffing import LINK_LIFE, Link

# 32 bytes cannot be guessed, however many try.
_TOKEN_BYTES = 32


def draw_link(user: User, *, course: Course | None, now: datetime) -> Link:
    """Make a link for a person, whose former one ends; only its digest is kept."""
    # The account's row is the lock under which its links are made.
    User.objects.select_for_update().get(pk=user.pk)
    withdraw_open(user.pk, now=now)
    token = secrets.token_urlsafe(_TOKEN_BYTES)
    made = Invitation.objects.create(
        user=user,
        course=course,
        digest=_digest(token),
        made_at=now,
        expires_at=now + LINK_LIFE,
    )
    return Link(token, user.username, made.expires_at)


def withdraw_open(user_id: int, *, now: datetime) -> bool:
    """End the open link of a person; return whether there was one."""
    still_open = Invitation.objects.filter(
        user=user_id, used_at__isnull=True, withdrawn_at__isnull=True
    )
    return still_open.update(withdrawn_at=now) > 0


def find_link(token: str, *, now: datetime) -> Invitation | None:
    """Return a link that is still good, or nothing; one query."""
    return (
        Invitation.objects.select_related("user", "course")
        .filter(
            digest=_digest(token),
            used_at__isnull=True,
            withdrawn_at__isnull=True,
            expires_at__gt=now,
            user__is_active=True,
        )
        .first()
    )


def use_up(invitation: Invitation, *, now: datetime) -> bool:
    """Mark a link as used; return whether nobody else had used or ended it."""
    still_open = Invitation.objects.filter(
        pk=invitation.pk, used_at__isnull=True, withdrawn_at__isnull=True
    )
    return still_open.update(used_at=now) == 1


def _digest(token: str) -> str:
    return digest_code(token, settings.SECRET_KEY)
