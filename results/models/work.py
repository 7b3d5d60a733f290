"""What workers did, batch by batch: kept for some days, for whoever watches."""

from django.db import models
from django.db.models import Q


class WorkBatch(models.Model):
    """One batch of submissions that a worker tried.

    Rows are only added, so that workers never wait for one another here.
    """

    finished_at = models.DateTimeField()
    seconds = models.FloatField()
    size = models.PositiveIntegerField("submissions tried")
    failed = models.PositiveIntegerField("of these, with an error", default=0)

    class Meta:
        verbose_name_plural = "work batches"
        constraints = [
            models.CheckConstraint(
                condition=Q(size__gte=1), name="work_batch_not_empty"
            ),
            models.CheckConstraint(
                condition=Q(seconds__gte=0), name="work_batch_seconds_not_negative"
            ),
            models.CheckConstraint(
                condition=Q(failed__lte=models.F("size")),
                name="work_batch_failed_at_most_all",
            ),
        ]
        indexes = [models.Index(fields=["finished_at"], name="work_batch_finished")]

    def __str__(self) -> str:
        return f"{self.size} in {self.seconds:.2f} s"
