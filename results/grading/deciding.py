"""What a person decides about one grade: its number, its comment, a proposal."""

from datetime import datetime
from decimal import Decimal

from django.db import transaction

from results.grading.common import event, graded_group, lock_grade, written
from results.models import Grade, GradeEvent, GradeState
from results.policy.access import Actor
from results.policy.marking import in_print, read_points
from results.policy.marking.refusals import BadGrade, CannotGrade
from results.summaries.comments import comments_to_start_from


def override_grade(
    group_id: int,
    *,
    points: str | Decimal,
    reason: str,
    seen: int,
    actor: Actor,
    now: datetime,
) -> None:
    """Set a grade by hand, before or after its release.

    Raises
    ------
    BadGrade
        The points are not a number from 0 to the most, or the reason is missing.
    StaleGrade
        Somebody changed the grade since the actor looked.
    """
    with transaction.atomic():
        graded_group(group_id, actor)
        grade = lock_grade(group_id, seen=seen, now=now)
        final = _read(points, grade.max_points)
        why = written(
            reason, or_else="Write why the points differ from the suggestion."
        )
        before = grade.final_points
        if grade.state == GradeState.DRAFT:
            grade.state = GradeState.ACCEPTED
            grade.comment = grade.comment or comments_to_start_from([grade])[group_id]
        grade.final_points, grade.reason, grade.is_override = final, why, True
        grade.final_parts = grade.suggested["parts"]
        grade.accepted_by_id, grade.accepted_at = actor.user_id, now
        _store(grade, GradeEvent.Kind.OVERRIDDEN, actor, now, before=before, why=why)


def _read(points: str | Decimal, most: Decimal) -> Decimal:
    read = read_points(points)
    if read is None or not 0 <= read <= most:
        message = f"Write points from 0 to {in_print(most)}, to hundredths at most."
        raise BadGrade(message)
    return read


def take_back(group_id: int, *, seen: int, actor: Actor, now: datetime) -> None:
    """Make an accepted grade a draft again, which follows its suggestion.

    Raises
    ------
    CannotGrade
        It is released, or was not accepted.
    StaleGrade
        Somebody changed the grade since the actor looked.
    """
    with transaction.atomic():
        graded_group(group_id, actor)
        grade = lock_grade(group_id, seen=seen, now=now)
        if grade.state != GradeState.ACCEPTED:
            message = "Only a grade that is accepted and not released is taken back."
            raise CannotGrade(message)
        before = grade.final_points
        if grade.proposed_at is not None:
            _take_over(grade)
        grade.state, grade.final_points, grade.final_parts = GradeState.DRAFT, None, []
        grade.is_override, grade.reason, grade.declined = False, "", {}
        grade.accepted_by = grade.accepted_at = None
        _store(grade, GradeEvent.Kind.REOPENED, actor, now, before=before)


def comment_grade(
    group_id: int, *, comment: str, seen: int, actor: Actor, now: datetime
) -> None:
    """Set the comment that the group reads after the release.

    Raises
    ------
    StaleGrade
        Somebody changed the grade since the actor looked.
    """
    with transaction.atomic():
        graded_group(group_id, actor)
        grade = lock_grade(group_id, seen=seen, now=now)
        text = written(comment)
        if text == grade.comment:
            return
        grade.comment = text
        kind = GradeEvent.Kind.COMMENTED
        _store(grade, kind, actor, now, before=grade.final_points, why=text)


def mark_seen(group_id: int, *, seen: int, actor: Actor, now: datetime) -> None:
    """Note that the actor has looked at a grade; overtakes nobody's work.

    Raises
    ------
    StaleGrade
        It is not what the actor looked at.
    """
    with transaction.atomic():
        graded_group(group_id, actor)
        grade = lock_grade(group_id, seen=seen, now=now)
        grade.seen_by_id, grade.seen_at = actor.user_id, now
        grade.save(update_fields=["seen_by", "seen_at"])
        kind = GradeEvent.Kind.SEEN
        event(grade, kind, actor, now, before=grade.final_points).save()


def decide_proposal(
    group_id: int,
    *,
    take: bool,
    reason: str,
    seen: int,
    actor: Actor,
    now: datetime,
) -> None:
    """Take a proposed change of a grade, or decline it with a reason.

    Raises
    ------
    CannotGrade
        Nothing is proposed, or the proposal has no number to take.
    BadGrade
        A proposal is declined without a reason.
    StaleGrade
        Somebody changed the grade since the actor looked.
    """
    with transaction.atomic():
        graded_group(group_id, actor)
        grade = lock_grade(group_id, seen=seen, now=now)
        if grade.proposed_at is None:
            message = "Nothing is proposed for this grade any more."
            raise CannotGrade(message)
        before = grade.final_points
        if take:
            if grade.proposed_points is None:
                message = "The proposal leaves the points open: set them by hand."
                raise CannotGrade(message)
            _take_over(grade)
            grade.final_points = grade.suggested_points
            grade.final_parts = grade.suggested["parts"]
            grade.is_override, grade.reason = False, ""
            kind, why = GradeEvent.Kind.TAKEN, written(reason)
        else:
            kind = GradeEvent.Kind.DECLINED
            why = written(reason, or_else="Write why the proposed change is declined.")
            grade.declined = grade.proposed
            _clear_proposal(grade)
        _store(grade, kind, actor, now, before=before, why=why)


def _take_over(grade: Grade) -> None:
    """Make what is proposed the suggestion."""
    grade.scheme_id = grade.proposed_scheme_id or grade.scheme_id
    grade.suggested, grade.suggested_points = grade.proposed, grade.proposed_points
    grade.max_points = sum(
        (Decimal(part["max_points"]) for part in grade.proposed["parts"]), Decimal(0)
    )
    grade.declined = {}
    _clear_proposal(grade)


def _clear_proposal(grade: Grade) -> None:
    grade.proposed, grade.proposed_why = {}, ""
    grade.proposed_scheme_id = grade.proposed_points = grade.proposed_at = None


def _store(
    grade: Grade,
    kind: GradeEvent.Kind,
    actor: Actor,
    now: datetime,
    *,
    before: Decimal | None,
    why: str = "",
) -> None:
    grade.version += 1
    grade.save()
    event(grade, kind, actor, now, before=before, why=why).save()
