"""Staff put work that could not be computed back in the queue."""

from collections.abc import Iterable
from datetime import datetime

from django.db import transaction

from results import tasks
from results.models import PendingRecompute
from results.policy.access import Rights
from results.policy.refusals import NotFound
from results.recompute import retry_parked


def retry(pending_ids: Iterable[int], *, rights: Rights, now: datetime) -> int:
    """Try parked submissions of coordinated courses again; return how many.

    Raises
    ------
    NotFound
        Some of them are not parked, or not the person's to retry.
    """
    wanted = set(pending_ids)
    with transaction.atomic():
        found = PendingRecompute.objects.filter(
            pk__in=wanted,
            parked_at__isnull=False,
            submission__group__section__course__in=rights.coordinated,
        ).count()
        if found != len(wanted):
            message = "This submission is not set aside any more. Load the page again."
            raise NotFound(message)
        transaction.on_commit(tasks.wake_worker)
        return retry_parked(wanted, now=now)
