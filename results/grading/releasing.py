"""Releasing a section's grades to its groups, and undoing that within a day."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import transaction

from results.grading.common import Versions, event, graded_section, lock_section, stale
from results.models import Grade, GradeEvent, GradeState, Group, Section
from results.policy.access import Actor
from results.policy.marking.refusals import CannotGrade

#: A release can be undone this long: an oversight of the evening is seen next morning.
UNDO_WITHIN = timedelta(days=1)
_MOST_NAMED = 6
_CHANGED = ("state", "version", "released_at")


@dataclass(frozen=True, slots=True)
class Released:
    """How many grades were released, or taken out of sight again."""

    n_grades: int


def release_section(
    section_id: int,
    *,
    seen: Versions,
    actor: Actor,
    now: datetime,
    only_accepted: bool = False,
) -> Released:
    """Release a section's accepted grades; a second press finds nothing left to do.

    Parameters
    ----------
    seen : mapping of int to int
        By group, the version that the actor looked at.
    only_accepted : bool
        Leave groups that are not accepted yet for a later release.

    Raises
    ------
    CannotGrade
        Some groups are not accepted yet, or a proposed change waits for a decision.
    StaleGrade
        Somebody changed a grade since the actor looked; nothing was released.
    """
    with transaction.atomic():
        section = graded_section(section_id, actor)
        rows = lock_section(section_id, now=now)
        ready = [row for row in rows if row.state == GradeState.ACCEPTED]
        _check_ready(section_id, rows, only_accepted=only_accepted)
        if overtaken := [g for g in ready if g.version != seen.get(g.group_id)]:
            raise stale(overtaken)
        for grade in ready:
            grade.state, grade.released_at = GradeState.RELEASED, now
        _store(ready, GradeEvent.Kind.RELEASED, actor, now)
        if ready and section.released_at is None:
            # From now on the course's policy may show what waits for the release.
            Section.objects.filter(pk=section_id).update(released_at=now)
    return Released(len(ready))


def _check_ready(
    section_id: int, rows: Iterable[Grade], *, only_accepted: bool
) -> None:
    waiting = [row.group.code for row in rows if _waits_for_decision(row)]
    if waiting:
        message = (
            f"Decide first on what is proposed for {_named(waiting)}; then release."
        )
        raise CannotGrade(message)
    drafts = [row.group.code for row in rows if row.state == GradeState.DRAFT]
    drafts += Group.objects.filter(
        section_id=section_id, grade__isnull=True
    ).values_list("code", flat=True)
    if drafts and not only_accepted:
        message = (
            f"{_named(drafts)} not accepted yet. Accept them, or release only those "
            "that are."
        )
        raise CannotGrade(message)


def _waits_for_decision(grade: Grade) -> bool:
    return grade.state == GradeState.ACCEPTED and grade.proposed_at is not None


def _named(codes: list[str]) -> str:
    shown = ", ".join(codes[:_MOST_NAMED])
    more = len(codes) - _MOST_NAMED
    noun = "group" if len(codes) == 1 else "groups"
    return f"{noun} {shown}" + (f" and {more} more" if more > 0 else "")


def undo_release(section_id: int, *, actor: Actor, now: datetime) -> Released:
    """Take what was released within the last day out of the groups' sight again.

    The grades stay accepted, as they are.

    Raises
    ------
    CannotGrade
        Nothing was released within the last day.
    """
    with transaction.atomic():
        section = graded_section(section_id, actor)
        rows = lock_section(section_id, now=now)
        recent = [row for row in rows if _is_recent(row, now)]
        if not recent:
            message = (
                "Nothing was released within the last day. Change single grades "
                "with a reason instead."
            )
            raise CannotGrade(message)
        undone = {row.released_at for row in recent}
        for grade in recent:
            grade.state, grade.released_at = GradeState.ACCEPTED, None
        _store(recent, GradeEvent.Kind.UNRELEASED, actor, now)
        if section.released_at in undone:
            Section.objects.filter(pk=section_id).update(released_at=None)
    return Released(len(recent))


def _is_recent(grade: Grade, now: datetime) -> bool:
    return grade.released_at is not None and now - grade.released_at <= UNDO_WITHIN


def _store(
    grades: list[Grade], kind: GradeEvent.Kind, actor: Actor, now: datetime
) -> None:
    for grade in grades:
        grade.version += 1
    Grade.objects.bulk_update(grades, _CHANGED)
    GradeEvent.objects.bulk_create(
        event(grade, kind, actor, now, before=grade.final_points) for grade in grades
    )
