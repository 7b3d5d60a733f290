"""What the prep room of a course goes by, each version as it was."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from results.models.append_only import AppendOnlyModel
from results.models.course import Course


class PrepSheet(AppendOnlyModel):
    """One version of a course's prep plan; the newest is in force.

    Apart from the protocol: another bottle or another overage changes what the prep
    room does, not what the class computes by. The database refuses updates by itself.
    """

    kept = "A version of the prep plan is kept as it is; save another instead."

    course = models.ForeignKey(
        Course, models.CASCADE, related_name="prep_sheets", db_index=False
    )
    version = models.PositiveIntegerField()
    # As `policy.prep_plan.PrepPlan.as_document` writes it.
    document = models.JSONField()
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    # Names stay readable when accounts are renamed.
    by_name = models.CharField(max_length=160)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["course", "version"], name="prep_sheet_version_once_per_course"
            ),
            models.CheckConstraint(
                condition=Q(version__gte=1), name="prep_sheet_version_from_1"
            ),
            models.CheckConstraint(
                condition=~Q(by_name=""), name="prep_sheet_by_somebody"
            ),
        ]

    def __str__(self) -> str:
        return f"version {self.version}"
