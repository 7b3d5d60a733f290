"""Submissions and their readings: written once, superseded, never edited."""

from django.db import models
from django.db.models import Q

from results.models.course import Group, Protocol, Station
from results.models.unknowns import Vial
from results.policy.typed import Scale


class Source(models.TextChoices):
    """The door through which a submission came."""

    PAGE = "page", "bench sheet"
    API = "api", "API"
    TABLE = "table", "imported table"


class Submission(models.Model):
    """One revision of a group's readings, masses and own worked answers."""

    group = models.ForeignKey(Group, models.CASCADE, related_name="submissions")
    protocol = models.ForeignKey(Protocol, models.PROTECT, related_name="submissions")
    station = models.ForeignKey(Station, models.PROTECT, related_name="submissions")
    vial = models.ForeignKey(
        Vial, models.PROTECT, null=True, blank=True, related_name="submissions"
    )
    revision = models.PositiveIntegerField()
    is_current = models.BooleanField(default=True)
    received_at = models.DateTimeField()
    is_late = models.BooleanField(default=False)
    source = models.CharField(max_length=8, choices=Source.choices)
    idempotency_key = models.CharField(max_length=120)
    # Tells a repeated request from another one under the same key.
    content_digest = models.CharField(max_length=64)
    scale = models.CharField(
        max_length=12, choices=[(scale.value, scale.label) for scale in Scale]
    )
    standard_mass_g = models.FloatField()
    unknown_mass_g = models.FloatField()
    # Worked answers keep the digits as reported: "12.0" and "12.00" promise
    # different things, and a number column would forget which it was.
    own_slope = models.CharField(max_length=30, blank=True)
    own_intercept = models.CharField(max_length=30, blank=True)
    own_unknown_mg_L = models.CharField(max_length=30, blank=True)
    own_iron_percent = models.CharField(max_length=30, blank=True)
    own_iron_mg = models.CharField(max_length=30, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["group", "revision"], name="submission_revision_once_per_group"
            ),
            models.UniqueConstraint(
                fields=["group"],
                condition=Q(is_current=True),
                name="submission_current_one_per_group",
            ),
            models.UniqueConstraint(
                fields=["group", "idempotency_key"],
                name="submission_idempotency_key_once_per_group",
            ),
            models.CheckConstraint(
                condition=Q(revision__gte=1), name="submission_revision_from_1"
            ),
            models.CheckConstraint(
                condition=Q(standard_mass_g__gt=0, unknown_mass_g__gt=0),
                name="submission_masses_above_0",
            ),
            models.CheckConstraint(
                condition=Q(source__in=Source.values), name="submission_source_known"
            ),
            models.CheckConstraint(
                condition=Q(scale__in=[scale.value for scale in Scale]),
                name="submission_scale_known",
            ),
        ]

    def __str__(self) -> str:
        return f"revision {self.revision}"


class Reading(models.Model):
    """One meter value of one tube, on the scale of its submission."""

    submission = models.ForeignKey(Submission, models.CASCADE, related_name="readings")
    position = models.PositiveSmallIntegerField()
    tube = models.CharField(max_length=20)
    replicate = models.PositiveSmallIntegerField(default=1)
    value = models.FloatField()
    taken_mL = models.FloatField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["submission", "tube", "replicate"],
                name="reading_once_per_tube_and_replicate",
            ),
            models.UniqueConstraint(
                fields=["submission", "position"],
                name="reading_position_once_per_submission",
            ),
            models.CheckConstraint(
                condition=Q(replicate__gte=1), name="reading_replicate_from_1"
            ),
            models.CheckConstraint(
                condition=Q(taken_mL__isnull=True) | Q(taken_mL__gt=0),
                name="reading_taken_mL_above_0",
            ),
            # Either scale: no meter shows less than -1 A or more than 200 %T.
            models.CheckConstraint(
                condition=Q(value__gte=-1, value__lte=200),
                name="reading_value_on_a_scale",
            ),
        ]

    def __str__(self) -> str:
        return f"tube {self.tube}"
