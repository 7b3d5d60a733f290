"""A group asks for a re-check of its grade; a person answers with a reason."""

from datetime import datetime

from django.db import transaction
from django.utils import timezone

from results.grading.common import event, graded_group, written
from results.models import Grade, GradeEvent, GradeState, RecheckRequest
from results.policy.access import Actor
from results.policy.language import tell
from results.policy.marking.refusals import CannotGrade
from results.policy.refusals import NotFound


def ask_for_recheck(group_id: int, *, text: str, now: datetime) -> None:
    """Store a group's request.

    Raises
    ------
    CannotGrade
        The grade is not released, or an earlier request is still open.
    BadGrade
        The group did not say what to look at.
    """
    with transaction.atomic():
        grade = (
            Grade.objects.select_for_update(of=("self",))
            .select_related("group")
            .filter(group_id=group_id, state=GradeState.RELEASED)
            .first()
        )
        if grade is None:
            message = tell("There is no released grade to check again yet.")
            raise CannotGrade(message)
        if grade.rechecks.filter(answered_at__isnull=True).exists():
            message = tell("You have asked already; the answer will stand here.")
            raise CannotGrade(message)
        missing = tell("Write what should be looked at again.")
        asked = written(text, or_else=missing)
        RecheckRequest.objects.create(grade=grade, asked_at=now, text=asked)
        GradeEvent.objects.create(
            grade=grade,
            kind=GradeEvent.Kind.ASKED,
            at=now,
            by_name=f"group {grade.group.code}",
            before=grade.final_points,
            after=grade.final_points,
            why=asked,
        )


def answer_recheck(
    request_id: int, *, answer: str, actor: Actor, now: datetime
) -> None:
    """Answer a request; the points themselves are set as any others.

    Raises
    ------
    NotFound
        There is no such request among the actor's sections.
    CannotGrade
        Somebody has answered it meanwhile.
    BadGrade
        The reason is missing.
    """
    with transaction.atomic():
        request = (
            RecheckRequest.objects.select_for_update(of=("self",))
            .select_related("grade__group", "answered_by")
            .filter(pk=request_id)
            .first()
        )
        if request is None:
            message = "There is no such request."
            raise NotFound(message)
        graded_group(request.grade.group_id, actor)
        if request.answered_at is not None:
            answered_at = timezone.localtime(request.answered_at)
            message = (
                f"{request.answered_by} answered at {answered_at:%H:%M} "
                "already. Nothing was overwritten."
            )
            raise CannotGrade(message)
        request.answer = written(answer, or_else="Write the answer and its reason.")
        request.answered_at, request.answered_by_id = now, actor.user_id
        request.save()
        grade = request.grade
        kind = GradeEvent.Kind.ANSWERED
        before = grade.final_points
        event(grade, kind, actor, now, before=before, why=request.answer).save()
