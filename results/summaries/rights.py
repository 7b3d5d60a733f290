"""What a member of staff is to each course and section."""

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
