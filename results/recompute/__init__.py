"""From pending work to stored answers, findings and suggested grades."""

from results.recompute.classes import refresh_classes
from results.recompute.effects import refresh_effects
from results.recompute.grades import refresh_grades
from results.recompute.pending import (
    common_now,
    enqueue,
    enqueue_new,
    retry_parked,
)
from results.recompute.work import forget_batches, work_off

__all__ = [
    "common_now",
    "enqueue",
    "enqueue_new",
    "forget_batches",
    "refresh_classes",
    "refresh_effects",
    "refresh_grades",
    "retry_parked",
    "work_off",
]
