"""Granting an allowance: the coordinator sees who changes, and that list is kept."""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from results.grading.common import check_seen, lock_course, written
from results.grading.schemes import refresh_groups
from results.models import Allowance
from results.models.courses import coordinated_course
from results.policy.access import Actor
from results.policy.marking import AllowanceKind
from results.summaries.previews import Draft, allowance_preview, target_of


@dataclass(frozen=True, slots=True)
class GrantedAllowance:
    """An allowance, and how many grades it raised or proposes to raise."""

    allowance_id: int
    n_changed: int


def grant_allowance(
    course_code: str, draft: Draft, *, seen: str, actor: Actor, now: datetime
) -> GrantedAllowance:
    """Grant an allowance; grades rise or stay, none is lowered.

    Grades accepted as suggested rise at once, released ones too: the coordinator saw
    the list and granted it. For grades set by hand the change waits as a proposal.

    Parameters
    ----------
    seen : str
        Mark of the preview that the actor looked at.

    Raises
    ------
    NotFound
        The actor coordinates no such course, or it has no such lot, station or section.
    BadGrade
        The reason or the amount is missing or makes no sense.
    CannotGrade
        The list of who changes is no longer the one that the actor looked at.
    """
    with transaction.atomic():
        course = coordinated_course(course_code, rights=actor.rights)
        reason = written(
            draft.reason, or_else="Write the reason, such as what was re-assayed."
        )
        target = target_of(course.pk, draft)
        lock_course(course.pk)
        preview = allowance_preview(course_code, draft, rights=actor.rights)
        check_seen(preview, seen)
        allowance = Allowance.objects.create(
            course=course,
            **{f"{draft.for_what}_id": target.pk},
            kind=draft.kind,
            amount=draft.amount if AllowanceKind(draft.kind).needs_amount else None,
            reason=reason,
            granted_at=now,
            granted_by_id=actor.user_id,
            changes=[mover.as_json() for mover in preview.movers],
        )
        changed = refresh_groups(
            sorted(mover.group_id for mover in preview.movers),
            why=f"allowance for {allowance.label}: {reason}",
            now=now,
            actor=actor,
            granting=True,
        )
    return GrantedAllowance(allowance.pk, changed)
