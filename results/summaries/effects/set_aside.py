"""The groups that had no say in a comparison, and why."""

from dataclasses import dataclass
from enum import StrEnum

from results.models import Group
from results.policy.access import Rights
from results.policy.claims import Response
from results.summaries.effects.stored import stored_effects


class Why(StrEnum):
    """Why a group has no say."""

    OWN_SLIP = "a slip of its own is likely"
    FAR_OFF = "too far from everything fitted"


@dataclass(frozen=True, slots=True)
class SetAsideGroup:
    """One group without a say in the effects on a response."""

    group_id: int
    group: str
    section_id: int
    section: str
    why: Why


def set_aside_groups(
    course_code: str, response: Response, *, rights: Rights
) -> tuple[SetAsideGroup, ...]:
    """Return the groups without a say, by section and group; three queries.

    Raises
    ------
    NotFound
        There is no such course, or the viewer does not coordinate it.
    """
    stored = stored_effects(course_code, rights=rights)
    fitted = stored.document.get("responses", {}).get(response.value, {})
    why = dict.fromkeys(fitted.get("set_aside", ()), Why.FAR_OFF)
    why |= dict.fromkeys(stored.document.get("left_out", ()), Why.OWN_SLIP)
    groups = Group.objects.filter(
        pk__in=list(why), section__course=stored.course
    ).select_related("section")
    return tuple(
        SetAsideGroup(
            group.pk, group.code, group.section_id, group.section.code, why[group.pk]
        )
        for group in groups.order_by("section__code", "code")
    )
