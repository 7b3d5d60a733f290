"""From pending work to stored answers and findings."""

from results.recompute.classes import refresh_classes
from results.recompute.pending import enqueue, retry_parked
from results.recompute.work import work_off

__all__ = ["enqueue", "refresh_classes", "retry_parked", "work_off"]
