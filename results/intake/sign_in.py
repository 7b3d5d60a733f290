"""A group signs in with the code on its slip."""

from django.conf import settings

from results.models import Group
from results.policy.codes import BadCode, digest_code, read_code, slip_mark
from results.policy.language import marked, tell
from results.policy.refusals import NotAdmitted, Problem

_UNKNOWN = marked(
    "No slip has this code. Compare with your slip, or ask your teaching "
    "assistant for a new one."
)


def slip_digest(code: str) -> str:
    """Return what is stored of a bare slip code."""
    return digest_code(code, settings.SECRET_KEY)


def sign_in_group(typed: str) -> int:
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
    group = Group.objects.filter(slip_digest=slip_digest(code)).only("pk").first()
    if group is None:
        raise NotAdmitted([Problem(("slip_code",), tell(_UNKNOWN))])
    return group.pk


def slip_in_use(group_id: int) -> str:
    """Return the mark of the group's slip; it changes when a new slip is issued."""
    digests = Group.objects.filter(pk=group_id).values_list("slip_digest", flat=True)
    return slip_mark(next(iter(digests), None))
