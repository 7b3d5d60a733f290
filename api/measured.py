"""The state of the background work as metrics.

All of it is read from the database: whichever web process is asked, the answer is
the same.
"""

from collections.abc import Iterator
from datetime import datetime

from prometheus_client.core import GaugeMetricFamily, Metric
from prometheus_client.registry import Collector

from results.summaries.work import queue_state, work_of_late

_WINDOW = "in the last quarter of an hour"


class WorkMeasured(Collector):
    """What waits, what is set aside, and what workers did of late."""

    def __init__(self, now: datetime) -> None:
        self._now = now

    def collect(self) -> Iterator[Metric]:
        """Read and name every figure; three queries."""
        queue = queue_state(now=self._now)
        lately = work_of_late(now=self._now)
        pending = GaugeMetricFamily(
            "benchwide_pending_submissions",
            "Submissions that wait for their answer, by how far they are.",
            labels=("state",),
        )
        for state, n in (
            ("waiting", queue.n_waiting),
            ("claimed", queue.n_claimed),
            ("parked", queue.n_parked),
        ):
            pending.add_metric((state,), n)
        yield pending
        for name, text, value in (
            (
                "benchwide_queue_age_seconds",
                "How long the longest waiting submission has been due.",
                queue.oldest_s,
            ),
            (
                "benchwide_recent_batches",
                f"Batches finished {_WINDOW}.",
                lately.n_batches,
            ),
            (
                "benchwide_recent_submissions",
                f"Submissions tried {_WINDOW}.",
                lately.n_submissions,
            ),
            (
                "benchwide_recent_failures",
                f"Submissions that raised an error {_WINDOW}.",
                lately.n_failed,
            ),
            (
                "benchwide_recent_batch_size_max",
                f"The largest batch {_WINDOW}.",
                lately.largest,
            ),
            (
                "benchwide_recent_batch_seconds",
                f"Time spent on batches {_WINDOW}, of all workers.",
                lately.seconds,
            ),
        ):
            yield GaugeMetricFamily(name, text, value=value)
        if lately.last_at is not None:
            yield GaugeMetricFamily(
                "benchwide_last_batch_timestamp_seconds",
                "When a worker last finished a batch.",
                value=lately.last_at.timestamp(),
            )
