"""Keeping what the prep room goes by."""

from datetime import datetime

from django.db import transaction

from results.models import PrepSheet
from results.models.courses import locked_course
from results.policy.access import Actor
from results.policy.prep_plan import PrepPlan, stored_plan
from results.policy.preparing_refusals import PrepPlanChanged


def keep_prep_plan(
    course_code: str, plan: PrepPlan, *, seen: int, actor: Actor, now: datetime
) -> int | None:
    """Make a plan the one in force; return its version, None if it already was.

    Parameters
    ----------
    seen : int
        The version that the actor started from; 0 for the suggested plan.

    Raises
    ------
    NotFound
        The actor coordinates no such course.
    PrepPlanChanged
        Somebody was quicker.
    """
    with transaction.atomic():
        course = locked_course(course_code, rights=actor.rights)
        last = PrepSheet.objects.filter(course=course).order_by("-version").first()
        if last is not None and stored_plan(last.document) == plan:
            return None
        version = last.version if last else 0
        if last is not None and version != seen:
            raise PrepPlanChanged(last.by_name, last.at)
        PrepSheet.objects.create(
            course=course,
            version=version + 1,
            document=plan.as_document(),
            at=now,
            by_id=actor.user_id,
            by_name=actor.name,
        )
    return version + 1
