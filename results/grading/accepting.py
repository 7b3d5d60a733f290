"""Accepting suggested grades: one, some, or all with nothing to look at."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from results.grading.common import Versions, event, graded_section, lock_section, stale
from results.models import Grade, GradeEvent, GradeState
from results.policy.access import Actor
from results.policy.marking import Suggestion
from results.policy.marking.refusals import CannotGrade
from results.summaries.comments import comments_to_start_from

_CHANGED = (
    "state",
    "version",
    "final_points",
    "final_parts",
    "is_override",
    "reason",
    "comment",
    "accepted_by",
    "accepted_at",
)


@dataclass(frozen=True, slots=True)
class Accepted:
    """Which groups' grades were accepted, by code."""

    groups: tuple[str, ...]


def accept_grades(
    section_id: int, *, seen: Versions, actor: Actor, now: datetime
) -> Accepted:
    """Accept the suggested grades of some groups.

    Accepting twice what one has accepted does no harm.

    Parameters
    ----------
    seen : mapping of int to int
        By group, the version that the actor looked at.

    Raises
    ------
    StaleGrade
        Somebody changed one of them since; nothing was accepted.
    CannotGrade
        One of them has no suggested number: a person has to set it.
    """
    with transaction.atomic():
        graded_section(section_id, actor)
        rows = lock_section(section_id, now=now)
        chosen = [grade for grade in rows if grade.group_id in seen]
        return _accept(chosen, seen, actor, now)


def accept_unflagged(
    section_id: int, *, seen: Versions, actor: Actor, now: datetime
) -> Accepted:
    """Accept every suggestion of a section that gives nothing to look at.

    Raises
    ------
    StaleGrade
        One of them is not what the actor looked at; nothing was accepted.
    """
    with transaction.atomic():
        graded_section(section_id, actor)
        rows = lock_section(section_id, now=now)
        return _accept([row for row in rows if _is_clean_draft(row)], seen, actor, now)


def _is_clean_draft(grade: Grade) -> bool:
    return (
        grade.state == GradeState.DRAFT
        and grade.suggested_points is not None
        and not grade.suggested["look"]
    )


def _accept(
    grades: Iterable[Grade], seen: Versions, actor: Actor, now: datetime
) -> Accepted:
    open_ones = [grade for grade in grades if not _already(grade, actor)]
    if overtaken := [g for g in open_ones if g.version != seen.get(g.group_id)]:
        raise stale(overtaken)
    undecided = [g.group.code for g in open_ones if g.suggested_points is None]
    if undecided:
        message = (
            f"Group {', '.join(undecided)}: a person has to set the points, the "
            "readings alone cannot."
        )
        raise CannotGrade(message)
    comments = comments_to_start_from(open_ones)
    events = []
    for grade in open_ones:
        before = grade.final_points
        grade.state = GradeState.ACCEPTED
        grade.version += 1
        grade.final_points = grade.suggested_points
        grade.final_parts = grade.suggested["parts"]
        grade.comment = grade.comment or comments[grade.group_id]
        grade.accepted_by_id, grade.accepted_at = actor.user_id, now
        events.append(event(grade, GradeEvent.Kind.ACCEPTED, actor, now, before=before))
    Grade.objects.bulk_update(open_ones, _CHANGED)
    GradeEvent.objects.bulk_create(events)
    return Accepted(tuple(grade.group.code for grade in open_ones))


def _already(grade: Grade, actor: Actor) -> bool:
    """Whether the actor has accepted the grade as suggested: a second press."""
    return (
        grade.state == GradeState.ACCEPTED
        and not grade.is_override
        and grade.accepted_by_id == actor.user_id
        and grade.final_points == Suggestion.from_json(grade.suggested).total
    )
