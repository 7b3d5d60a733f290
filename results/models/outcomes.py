"""What is to be computed, and what was: pending work, answers, findings."""

from datetime import datetime, timedelta

from django.conf import settings
from django.db import models
from django.db.models import Q

from results.models.course import Protocol
from results.models.submissions import Submission
from results.policy.visits import State


class PendingRecompute(models.Model):
    """One submission that waits for its answer; the queue of record.

    `requests` counts the reasons that came since the row was made. A worker
    deletes the row only if the count is still the one it saw when it claimed,
    so a reason that comes while the worker computes is not lost.
    """

    submission = models.OneToOneField(
        Submission, models.CASCADE, related_name="pending"
    )
    reason = models.CharField(max_length=60)
    requests = models.PositiveIntegerField(default=1)
    attempts = models.PositiveIntegerField(default=0)
    available_at = models.DateTimeField()
    claimed_at = models.DateTimeField(null=True, blank=True)
    claimed_by = models.UUIDField(null=True, blank=True)
    parked_at = models.DateTimeField(null=True, blank=True)
    last_error = models.TextField(blank=True)

    class Meta:
        verbose_name = "pending recompute"
        constraints = [
            models.CheckConstraint(
                condition=Q(claimed_at__isnull=True, claimed_by__isnull=True)
                | Q(claimed_at__isnull=False, claimed_by__isnull=False),
                name="pending_claim_has_owner_and_time",
            ),
            models.CheckConstraint(
                condition=Q(parked_at__isnull=True) | Q(claimed_at__isnull=True),
                name="pending_parked_is_not_claimed",
            ),
        ]
        indexes = [
            models.Index(
                fields=["available_at"],
                condition=Q(parked_at__isnull=True),
                name="pending_waiting",
            ),
            models.Index(fields=["claimed_by"], name="pending_claimed_by"),
        ]

    def __str__(self) -> str:
        return f"pending since {self.available_at:%H:%M:%S}"


class Answer(models.Model):
    """What Benchwide computed from one submission, or why it could not."""

    submission = models.OneToOneField(Submission, models.CASCADE, related_name="answer")
    computed_at = models.DateTimeField()
    computations = models.PositiveIntegerField(default=1)
    method = models.CharField(max_length=30)
    reason = models.CharField(max_length=40, blank=True)
    n_standards = models.PositiveSmallIntegerField()
    n_unknowns = models.PositiveSmallIntegerField()
    slope = models.FloatField("slope, L/mg", null=True, blank=True)
    slope_se = models.FloatField(null=True, blank=True)
    intercept = models.FloatField(null=True, blank=True)
    intercept_se = models.FloatField(null=True, blank=True)
    residual_sd = models.FloatField(null=True, blank=True)
    r_squared = models.FloatField(null=True, blank=True)
    unknown_mg_L = models.FloatField(null=True, blank=True)
    unknown_mg_L_se = models.FloatField(null=True, blank=True)
    iron_percent = models.FloatField(null=True, blank=True)
    standard_uncertainty = models.FloatField(null=True, blank=True)
    low = models.FloatField(null=True, blank=True)
    high = models.FloatField(null=True, blank=True)
    # The group's own weighted residual variance and its degrees of freedom: what a
    # class scale is fitted to.
    phi = models.FloatField(null=True, blank=True)
    df = models.FloatField(null=True, blank=True)
    # One number and a few shares a group, of which a class's context is made.
    log_absorptivity = models.FloatField(null=True, blank=True)
    care = models.JSONField(default=list)
    # Equal for groups whose readings are the same value for value.
    readings_digest = models.CharField(max_length=64, blank=True)
    uses_fieller = models.BooleanField(default=False)
    # Budget by source, tests of the line, limits: shown for one answer at a time.
    details = models.JSONField(default=dict)
    # [{"tube", "kind", "mg_L", "absorbance"}]: what a picture of the line needs.
    points = models.JSONField(default=list)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(reason="", iron_percent__isnull=False)
                | (~Q(reason="") & Q(iron_percent__isnull=True)),
                name="answer_has_iron_or_a_reason",
            ),
            models.CheckConstraint(
                condition=Q(low__isnull=True) | Q(low__lte=models.F("high")),
                name="answer_interval_in_order",
            ),
        ]
        indexes = [
            models.Index(fields=["readings_digest"], name="answer_readings_digest")
        ]

    def __str__(self) -> str:
        return self.reason or "computed"


def is_unclaimed(now: datetime) -> Q:
    """Tell which rows no worker holds: never claimed, or further than a lease off.

    A claim from the future is as old: it was made before the clock was set back.
    """
    lease = timedelta(seconds=settings.CLAIM_LEASE_S)
    return (
        Q(claimed_at__isnull=True)
        | Q(claimed_at__lt=now - lease)
        | Q(claimed_at__gt=now + lease)
    )


def state_of(answer: Answer | None, pending: PendingRecompute | None) -> State:
    """Return how far a submission has come, from what is stored beside it."""
    return state_from(
        is_parked=pending is not None and pending.parked_at is not None,
        is_computed=answer is not None,
        reason=answer.reason if answer else "",
    )


def state_from(*, is_parked: bool, is_computed: bool, reason: str) -> State:
    """Return how far a submission has come."""
    if is_parked:
        return State.PARKED
    if not is_computed:
        return State.WAITING
    return State.NO_ANSWER if reason else State.COMPUTED


class ClassFit(models.Model):
    """How much the class under a protocol scatters, as fitted to its current answers.

    `d0` is how many degrees of freedom knowing the class is worth; 0 where it has
    too few groups.
    """

    protocol = models.OneToOneField(Protocol, models.CASCADE, related_name="class_fit")
    fitted_at = models.DateTimeField()
    n_groups = models.PositiveIntegerField()
    s0_sq = models.FloatField("residual variance of a usual group")
    d0 = models.FloatField("degrees of freedom of the class")

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(s0_sq__gt=0), name="class_fit_variance_above_0"
            ),
            models.CheckConstraint(
                condition=Q(d0__gte=0), name="class_fit_df_not_negative"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.n_groups} groups"


class Audience(models.TextChoices):
    """For whom a finding was made.

    What a group is told is found without any assigned value; what staff are told
    may use it. So these are two diagnoses, not one with parts left out.
    """

    GROUP = "group", "the group"
    STAFF = "staff", "staff"


class Finding(models.Model):
    """One thing noticed about a submission."""

    submission = models.ForeignKey(Submission, models.CASCADE, related_name="findings")
    audience = models.CharField(max_length=6, choices=Audience.choices)
    code = models.CharField(max_length=40)
    tube = models.CharField(max_length=40, blank=True)
    # Of a worked answer: the first number that the slip spoils.
    stage = models.CharField(max_length=12, blank=True)
    harmless = models.BooleanField(
        default=False, help_text="The worked answer is what it would be without it."
    )
    probability = models.FloatField()
    # Deeds that would look alike, most usual first.
    members = models.JSONField(default=list)
    numbers = models.JSONField(default=dict)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["submission", "audience", "code", "tube", "stage"],
                name="finding_once_per_audience_code_tube_and_stage",
            ),
            models.CheckConstraint(
                condition=Q(probability__gte=0, probability__lte=1),
                name="finding_probability_between_0_and_1",
            ),
            models.CheckConstraint(
                condition=Q(audience__in=Audience.values),
                name="finding_audience_known",
            ),
        ]

    def __str__(self) -> str:
        return self.code
