"""A group signs in with the code on its slip."""

from dataclasses import dataclass

from django.conf import settings
from django.db import connection

from results.models import Group
from results.policy.codes import BadCode, digest_code, read_code, slip_mark
from results.policy.language import marked, tell
from results.policy.refusals import NotAdmitted, Problem

_UNKNOWN = marked(
    "No slip has this code. Compare with your slip, or ask your teaching "
    "assistant for a new one."
)


# By hand: every request of a program asks this, and a queryset takes longer to say so
# than the database to answer.
_DIGEST = "SELECT slip_digest FROM results_group WHERE id = %s"


@dataclass(frozen=True, slots=True)
class SignedInBySlip:
    """A group, and the mark of the slip that it signed in with; see `slip_mark`."""

    group_id: int
    mark: str


def slip_digest(code: str) -> str:
    """Return what is stored of a bare slip code."""
    return digest_code(code, settings.SECRET_KEY)


def sign_in_group(typed: str) -> SignedInBySlip:
    """Return the group whose slip code was typed.

    Raises
    ------
    NotAdmitted
        The code cannot be one, or no slip in use has it.
    """
    try:
        code = read_code(typed)
    except BadCode as error:
        raise NotAdmitted([Problem(("slip_code",), str(error))]) from error
    digest = slip_digest(code)
    group = Group.objects.filter(slip_digest=digest).only("pk").first()
    if group is None:
        raise NotAdmitted([Problem(("slip_code",), tell(_UNKNOWN))])
    return SignedInBySlip(group.pk, slip_mark(digest))


def slip_in_use(group_id: int) -> str:
    """Return the mark of the group's slip; it changes when a new slip is issued."""
    with connection.cursor() as cursor:
        cursor.execute(_DIGEST, [group_id])
        row = cursor.fetchone()
    return slip_mark(row[0] if row else None)
