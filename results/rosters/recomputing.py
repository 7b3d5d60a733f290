"""Having a whole course computed again."""

from collections.abc import Callable
from datetime import datetime

from django.db import transaction

from results import tasks
from results.models import PendingRecompute, Submission
from results.models.courses import find_course
from results.recompute import (
    enqueue,
    refresh_classes,
    refresh_effects,
    work_off,
)

# Work that was claimed elsewhere, or failed and waits for its next attempt, is
# looked for again after this time.
_PAUSE_S = 0.5


def ask_for_course(course_code: str, *, now: datetime, wake: bool) -> int:
    """Ask for the recompute of a course's current submissions; return how many.

    Raises
    ------
    NotFound
        There is no such course.
    """
    course = find_course(course_code)
    with transaction.atomic():
        ids = list(
            Submission.objects.filter(
                group__section__course=course, is_current=True
            ).values_list("pk", flat=True)
        )
        enqueue(ids, reason="asked for", now=now)
        if wake:
            transaction.on_commit(tasks.wake_worker)
    return len(ids)


def refit_course(course_code: str, *, now: datetime) -> int:
    """Fit a course's classes anew; return how many submissions that changes."""
    course = find_course(course_code)
    return refresh_classes(now=now, course_id=course.pk, grown_only=False)


def compare_course(course_code: str, *, now: datetime) -> None:
    """Compare a course's stations, lots and sections by its present answers."""
    course = find_course(course_code)
    refresh_effects(now=now, course_id=course.pk)


def work_off_now(
    *,
    clock: Callable[[], datetime],
    told: Callable[[int], object],
    pause: Callable[[float], None],
) -> None:
    """Work off the pending table in this process until nothing waits.

    Parameters
    ----------
    told : callable
        Called with the number of submissions after each batch.
    pause : callable
        Waits for some seconds; another worker may hold what is left.
    """
    while PendingRecompute.objects.filter(parked_at__isnull=True).exists():
        if not work_off(clock=clock, told=told):
            pause(_PAUSE_S)


def parked_in_course(course_code: str) -> int:
    """Return how many submissions of a course are set aside with an error."""
    return PendingRecompute.objects.filter(
        submission__group__section__course__code=course_code,
        parked_at__isnull=False,
    ).count()
