"""Slips: the codes with which groups sign in."""

import secrets
from collections.abc import Callable
from datetime import datetime

from django.conf import settings
from django.db import IntegrityError, transaction

from results.models import Group
from results.policy.codes import digest_code, draw_code, read_code

_MOST_DRAWS = 5


def issue_slip(
    group_id: int,
    *,
    now: datetime,
    draw_below: Callable[[int], int] = secrets.randbelow,
) -> str:
    """Give a group a new slip code and return it, as it stands on the slip.

    Only a digest is kept: the code cannot be shown again, and the group's
    former slip signs nobody in any more.
    """
    for _ in range(_MOST_DRAWS):
        code = draw_code(draw_below)
        digest = digest_code(read_code(code), settings.SECRET_KEY)
        try:
            with transaction.atomic():
                Group.objects.filter(pk=group_id).update(
                    slip_digest=digest, slip_issued_at=now
                )
        except IntegrityError:
            # Another group has this very code; the next draw will differ.
            continue
        return code
    message = "No unused slip code could be drawn."
    raise RuntimeError(message)
