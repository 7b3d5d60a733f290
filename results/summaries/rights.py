"""What a member of staff is to each course and section."""

from django.contrib.auth import get_user_model
from django.db.models import Q

from results.models import Duty
from results.policy.access import Rights, Role


def rights_of(user_id: int) -> Rights:
    """Return a person's rights, from the duties on record; one query."""
    duties = list(
        Duty.objects.filter(user_id=user_id).values_list(
            "role", "course_id", "section_id"
        )
    )
    return Rights(
        coordinated=frozenset(
            course for role, course, _ in duties if role == Role.COORDINATOR
        ),
        assisted=frozenset(section for *_, section in duties if section),
        assisting=frozenset(
            course for role, course, _ in duties if role == Role.ASSISTANT
        ),
    )


def keeps_the_site(user_id: int) -> bool:
    """Whether a person keeps the site: an account of the administration; one query."""
    keepers = Q(is_staff=True) | Q(is_superuser=True)
    people = get_user_model().objects.filter(pk=user_id, is_active=True)
    return people.filter(keepers).exists()


def may_make_courses(user_id: int, *, rights: Rights) -> bool:
    """Whether a person may make courses; no query for coordinators, else one."""
    return bool(rights.coordinated) or keeps_the_site(user_id)
