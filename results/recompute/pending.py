"""The queue of record: asking for, claiming, finishing and parking work.

A broker's message only wakes a worker; what is to be done stands in the table
`PendingRecompute`, written in the transaction that made it necessary.

Workers on several machines compare their claims, and no two clocks agree: `common_now`
is the clock of all of them.  That clock may be set too, so nothing here waits for a
time that is further off than it can have been when it was noted.
"""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID, uuid4

from django.db import connection, transaction
from django.db.models import F, Q, QuerySet
from django.utils import timezone

from results.models import PendingRecompute
from results.models.outcomes import is_unclaimed

MOST_ATTEMPTS = 3
SUBMITTED = "submitted"
BATCH_SIZE, LARGEST_BATCH = 500, 2000
_RETRY_AFTER = timedelta(seconds=2)
_LONGEST_WAIT = _RETRY_AFTER * MOST_ATTEMPTS
_LONGEST_ERROR = 2000
# SQLite binds at most 999 values to a statement as Django counts them.
_IDS_PER_STATEMENT = 500


@dataclass(frozen=True, slots=True)
class Claim:
    """Work that one worker took: which submissions, and the requests it saw.

    Attributes
    ----------
    owner : UUID
        Marks the rows in the table as this claim's.
    requests : dict of int to int
        By submission, the number of requests when the claim was made.
    """

    owner: UUID
    requests: dict[int, int]


def common_now() -> datetime:
    """Return the time by the one clock that all workers share: the database's.

    SQLite's file is on one machine, whose clock all its processes share.
    """
    if connection.vendor != "postgresql":
        return timezone.now()
    with connection.cursor() as cursor:
        cursor.execute("SELECT clock_timestamp()")
        now: datetime = cursor.fetchone()[0]
    return now


def enqueue(submission_ids: Iterable[int], *, reason: str, now: datetime) -> None:
    """Ask for the recompute of submissions, within the caller's transaction.

    They are due at once, by whatever clock `now` is; it only says whose turn is first.
    Of those asked for together, the first submission's is.
    """
    ids = sorted(set(submission_ids))
    for start in range(0, len(ids), _IDS_PER_STATEMENT):
        _enqueue_some(ids[start : start + _IDS_PER_STATEMENT], reason, now)


def enqueue_new(submission_id: int, *, now: datetime) -> None:
    """Ask for a submission's first computing, in the transaction that makes it.

    Nobody else can have asked yet, which `enqueue` has to find out.
    """
    PendingRecompute.objects.create(
        submission_id=submission_id, reason=SUBMITTED, available_at=now
    )


def _enqueue_some(ids: list[int], reason: str, now: datetime) -> None:
    raised = 0
    # A worker may delete a row between the insert that found it there and the
    # update that raises its count: then all are asked for once more.
    while raised < len(ids):
        PendingRecompute.objects.bulk_create(
            (
                PendingRecompute(submission_id=pk, reason=reason, available_at=now)
                for pk in ids
            ),
            ignore_conflicts=True,
        )
        raised = PendingRecompute.objects.filter(submission_id__in=ids).update(
            requests=F("requests") + 1,
            reason=reason,
            attempts=0,
            available_at=now,
            parked_at=None,
            last_error="",
        )


def claim(
    *, now: datetime, limit: int = BATCH_SIZE, owner: UUID | None = None
) -> Claim:
    """Take up to `limit` submissions that wait: new ones first, each kind by age.

    A student who waits at the bench does not stand behind a course that is computed
    again.

    Rows whose claim is older than the lease are taken over: whoever held them
    was killed, or is so slow that its result will be refused.

    Parameters
    ----------
    now : datetime
        By `common_now`, unless there is one worker only.
    owner : UUID, optional
        Of a run that claims one batch after the other; else one for this claim.
    """
    owner = owner or uuid4()
    with transaction.atomic():
        waiting = (
            PendingRecompute.objects.select_for_update(skip_locked=True)
            .filter(is_unclaimed(now), _is_due(now), parked_at__isnull=True)
            .order_by("available_at", "pk")
        )
        is_new = Q(reason=SUBMITTED)
        rows = _some_of(waiting.filter(is_new), limit)
        rows += _some_of(waiting.exclude(is_new), limit - len(rows))
        for start in range(0, len(rows), _IDS_PER_STATEMENT):
            PendingRecompute.objects.filter(
                pk__in=[row[0] for row in rows[start : start + _IDS_PER_STATEMENT]]
            ).update(claimed_at=now, claimed_by=owner)
    return Claim(owner, {submission: requests for _, submission, requests in rows})


def is_anything_left() -> bool:
    """Whether there is work, taken or not; all that an idle sweep asks."""
    return PendingRecompute.objects.filter(parked_at__isnull=True).exists()


def _some_of(
    waiting: QuerySet[PendingRecompute], limit: int
) -> list[tuple[int, int, int]]:
    return list(waiting.values_list("pk", "submission_id", "requests")[:limit])


def _is_due(now: datetime) -> Q:
    return (
        Q(attempts=0)
        | Q(available_at__lte=now)
        | Q(available_at__gt=now + _LONGEST_WAIT)
    )


def still_owned(claim: Claim) -> set[int]:
    """Return the claim's submissions that no other worker took over; locks them."""
    return set(
        PendingRecompute.objects.select_for_update()
        .filter(claimed_by=claim.owner)
        .values_list("submission_id", flat=True)
    )


def finish(claim: Claim, submission_ids: Collection[int]) -> None:
    """Remove finished work; what was asked for again meanwhile stays, free."""
    held = PendingRecompute.objects.filter(claimed_by=claim.owner)
    stay: list[int] = []
    again: list[int] = []
    for pk, submission_id, requests in held.values_list(
        "pk", "submission_id", "requests"
    ):
        if submission_id not in submission_ids:
            stay.append(pk)
        elif requests != claim.requests[submission_id]:
            again.append(pk)
    held.exclude(pk__in=stay + again).delete()
    held.filter(pk__in=again).update(claimed_at=None, claimed_by=None)


def fail(claim: Claim, submission_id: int, *, error: str, now: datetime) -> None:
    """Try one submission again later; park it after the last attempt."""
    with transaction.atomic():
        row = (
            PendingRecompute.objects.select_for_update()
            .filter(claimed_by=claim.owner, submission_id=submission_id)
            .first()
        )
        if row is None:
            return
        row.attempts += 1
        row.claimed_at = row.claimed_by = None
        row.last_error = error[:_LONGEST_ERROR]
        row.available_at = now + _RETRY_AFTER * row.attempts
        row.parked_at = now if row.attempts >= MOST_ATTEMPTS else None
        row.save()


def free(owners: Collection[UUID], *, now: datetime) -> int:
    """Put back what owners held that are known to have ended; return how much.

    What workers ended over again and again waits for its lease: it may be why they
    did, and the rest is to have its turn.
    """
    return PendingRecompute.objects.filter(
        claimed_by__in=owners, attempts__lt=MOST_ATTEMPTS - 1
    ).update(
        claimed_at=None, claimed_by=None, attempts=F("attempts") + 1, available_at=now
    )


def retry_parked(pending_ids: Iterable[int], *, now: datetime) -> int:
    """Put parked work back in the queue; return how many rows that were."""
    return PendingRecompute.objects.filter(
        pk__in=list(pending_ids), parked_at__isnull=False
    ).update(parked_at=None, attempts=0, available_at=now)
