"""The background work: what waits, what is set aside, and how fast it goes."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.db.models import Count, Max, Min, Q, QuerySet, Sum

from results.models import PendingRecompute, Submission, WorkBatch
from results.models.courses import coordinated_course
from results.models.outcomes import is_unclaimed
from results.policy.access import Rights

_LATELY = timedelta(minutes=15)
_MOST_BATCHES = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class QueueState:
    """The queue of record at one moment.

    Attributes
    ----------
    n_waiting : int
        Submissions that no worker has taken, or whose worker was lost.
    n_claimed : int
        Submissions that a worker has in hand.
    n_parked : int
        Submissions set aside with an error.
    oldest_s : float
        For how many seconds the longest waiting has been due; 0 if none waits.
    """

    n_waiting: int
    n_claimed: int
    n_parked: int
    oldest_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Lately:
    """What workers did in the last quarter of an hour.

    Attributes
    ----------
    seconds : float
        Time spent on batches, of all workers together.
    last_at : datetime or None
        When a batch was last finished, be it longer ago.
    """

    n_batches: int
    n_submissions: int
    n_failed: int
    largest: int
    seconds: float
    last_at: datetime | None


@dataclass(frozen=True, slots=True)
class Batch:
    """One batch that a worker finished."""

    finished_at: datetime
    seconds: float
    size: int
    failed: int


@dataclass(frozen=True, slots=True)
class ParkedWork:
    """One submission that could not be computed."""

    pending_id: int
    group_id: int
    group: str
    section: str
    revision: int
    attempts: int
    error: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CourseWork:
    """The background work of a course.

    Attributes
    ----------
    n_current : int
        Current submissions; each is to have an answer.
    left_s : float or None
        Seconds until nothing waits, at the pace of late; None if nothing waits or
        no worker was seen.
    batches : tuple of Batch
        The last ones of the whole site, newest first.
    """

    course: str
    title: str
    queue: QueueState
    n_current: int
    left_s: float | None
    lately: Lately
    batches: tuple[Batch, ...]
    parked: tuple[ParkedWork, ...]

    @property
    def n_due(self) -> int:
        """Submissions whose answer is still to come."""
        return self.queue.n_waiting + self.queue.n_claimed


def queue_state(*, now: datetime) -> QueueState:
    """Return what waits on the whole site; one query."""
    return _state(PendingRecompute.objects.all(), now)


def work_of_late(*, now: datetime) -> Lately:
    """Return what workers did of late; two queries."""
    totals = WorkBatch.objects.filter(finished_at__gt=now - _LATELY).aggregate(
        n=Count("pk"),
        sizes=Sum("size"),
        failures=Sum("failed"),
        largest=Max("size"),
        time=Sum("seconds"),
    )
    last = WorkBatch.objects.aggregate(at=Max("finished_at"))
    return Lately(
        n_batches=totals["n"],
        n_submissions=totals["sizes"] or 0,
        n_failed=totals["failures"] or 0,
        largest=totals["largest"] or 0,
        seconds=totals["time"] or 0.0,
        last_at=last["at"],
    )


def course_work(course_code: str, *, rights: Rights, now: datetime) -> CourseWork:
    """Return a course's background work to its coordinator; eight queries.

    Raises
    ------
    NotFound
        There is no such course, or the viewer does not coordinate it.
    """
    course = coordinated_course(course_code, rights=rights)
    pending = PendingRecompute.objects.filter(submission__group__section__course=course)
    everywhere = queue_state(now=now)
    lately = work_of_late(now=now)
    return CourseWork(
        course=course.code,
        title=course.title,
        queue=_state(pending, now),
        n_current=Submission.objects.filter(
            group__section__course=course, is_current=True
        ).count(),
        left_s=_time_left(everywhere, lately),
        lately=lately,
        batches=tuple(
            Batch(one.finished_at, one.seconds, one.size, one.failed)
            for one in WorkBatch.objects.order_by("-finished_at", "-pk")[:_MOST_BATCHES]
        ),
        parked=parked_of(course.pk),
    )


def parked_of(course_id: int) -> tuple[ParkedWork, ...]:
    """Return what of a course was set aside, longest first; one query."""
    return tuple(
        ParkedWork(*row)
        for row in PendingRecompute.objects.filter(
            submission__group__section__course=course_id,
            submission__is_current=True,
            parked_at__isnull=False,
        )
        .order_by("parked_at", "pk")
        .values_list(
            "pk",
            "submission__group_id",
            "submission__group__code",
            "submission__group__section__code",
            "submission__revision",
            "attempts",
            "last_error",
        )
    )


def is_ready() -> bool:
    """Whether the database answers and holds every migration."""
    executor = MigrationExecutor(connection)
    return not executor.migration_plan(executor.loader.graph.leaf_nodes())


def _state(pending: QuerySet[PendingRecompute], now: datetime) -> QueueState:
    is_free = is_unclaimed(now)
    is_live = Q(parked_at__isnull=True)
    found = pending.aggregate(
        waiting=Count("pk", filter=is_live & is_free),
        claimed=Count("pk", filter=is_live & ~is_free),
        parked=Count("pk", filter=~is_live),
        oldest=Min("available_at", filter=is_live),
    )
    oldest = found["oldest"]
    return QueueState(
        n_waiting=found["waiting"],
        n_claimed=found["claimed"],
        n_parked=found["parked"],
        oldest_s=max(0.0, (now - oldest).total_seconds()) if oldest else 0.0,
    )


def _time_left(queue: QueueState, lately: Lately) -> float | None:
    n_due = queue.n_waiting + queue.n_claimed
    if not n_due or not lately.n_submissions:
        return None
    return n_due * lately.seconds / lately.n_submissions
