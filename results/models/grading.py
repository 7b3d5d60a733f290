"""Grades: the scheme they are suggested by, and the number that a person set."""

from decimal import Decimal

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from results.models.append_only import AppendOnlyModel
from results.models.course import Course, Group
from results.models.submissions import Submission

_USER = settings.AUTH_USER_MODEL


def _points(
    verbose_name: str,
) -> "models.DecimalField[Decimal | None, Decimal | None]":
    """Return a column of points, exact to the hundredth, or empty."""
    return models.DecimalField(
        verbose_name, max_digits=6, decimal_places=2, null=True, blank=True
    )


def _between_0_and_max(column: str, name: str) -> models.CheckConstraint:
    within = Q(**{f"{column}__gte": 0, f"{column}__lte": F("max_points")})
    return models.CheckConstraint(
        condition=Q(**{f"{column}__isnull": True}) | within, name=name
    )


class GradingScheme(models.Model):
    """How a course grades; a version stays as it is, the newest is in force."""

    course = models.ForeignKey(
        Course, models.CASCADE, related_name="grading_schemes", db_index=False
    )
    version = models.PositiveIntegerField()
    document = models.JSONField()
    adopted_at = models.DateTimeField()
    adopted_by = models.ForeignKey(
        _USER, models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["course", "version"],
                name="grading_scheme_version_once_per_course",
            ),
            models.CheckConstraint(
                condition=Q(version__gte=1), name="grading_scheme_version_from_1"
            ),
        ]

    def __str__(self) -> str:
        return f"version {self.version}"


class GradeState(models.TextChoices):
    """Who has the word on a grade."""

    DRAFT = "draft", "suggested"
    ACCEPTED = "accepted", "accepted"
    RELEASED = "released", "released"


class Grade(models.Model):
    """A group's grade: suggested by the scheme, set by a person, shown on release.

    `version` rises with every change that a person could overlook; whoever writes
    says which one they saw. What would change a grade that a person has set waits
    in the `proposed` columns until a person decides.
    """

    group = models.OneToOneField(Group, models.CASCADE, related_name="grade")
    scheme = models.ForeignKey(GradingScheme, models.RESTRICT, related_name="grades")
    submission = models.ForeignKey(
        Submission, models.SET_NULL, null=True, blank=True, related_name="+"
    )
    version = models.PositiveIntegerField(default=0)
    state = models.CharField(
        max_length=8, choices=GradeState.choices, default=GradeState.DRAFT
    )
    max_points = models.DecimalField("most points", max_digits=6, decimal_places=2)
    # {"parts": [...], "look": [...]} as `policy.marking.Suggestion` writes it.
    suggested = models.JSONField()
    suggested_points = _points("suggested")
    final_points = _points("final")
    # The parts that the final number rests on, as they were when it was set.
    final_parts = models.JSONField(default=list)
    is_override = models.BooleanField(default=False)
    reason = models.TextField("why it differs from the suggestion", blank=True)
    comment = models.TextField(blank=True)
    accepted_by = models.ForeignKey(
        _USER, models.PROTECT, null=True, blank=True, related_name="+"
    )
    accepted_at = models.DateTimeField(null=True, blank=True)
    seen_by = models.ForeignKey(
        _USER, models.PROTECT, null=True, blank=True, related_name="+"
    )
    seen_at = models.DateTimeField(null=True, blank=True)
    released_at = models.DateTimeField(null=True, blank=True)
    proposed = models.JSONField(default=dict, blank=True)
    proposed_scheme = models.ForeignKey(
        GradingScheme, models.RESTRICT, null=True, blank=True, related_name="+"
    )
    proposed_points = _points("proposed")
    proposed_why = models.TextField(blank=True)
    proposed_at = models.DateTimeField(null=True, blank=True)
    # The proposal that a person declined: it is not made a second time.
    declined = models.JSONField(default=dict, blank=True)

    class Meta:
        constraints = [
            _between_0_and_max("final_points", "grade_between_0_and_max"),
            _between_0_and_max("suggested_points", "grade_suggested_between_0_and_max"),
            models.CheckConstraint(
                condition=Q(proposed_points__isnull=True) | Q(proposed_points__gte=0),
                name="grade_proposed_not_negative",
            ),
            models.CheckConstraint(
                condition=Q(state__in=GradeState.values), name="grade_state_known"
            ),
            models.CheckConstraint(
                condition=Q(state=GradeState.DRAFT, final_points__isnull=True)
                | (~Q(state=GradeState.DRAFT) & Q(final_points__isnull=False)),
                name="grade_has_points_once_accepted",
            ),
            models.CheckConstraint(
                condition=Q(is_override=False) | ~Q(reason=""),
                name="grade_override_has_a_reason",
            ),
            models.CheckConstraint(
                condition=Q(state=GradeState.RELEASED, released_at__isnull=False)
                | (~Q(state=GradeState.RELEASED) & Q(released_at__isnull=True)),
                name="grade_released_at_a_time",
            ),
            models.CheckConstraint(
                condition=Q(proposed_at__isnull=True)
                | (~Q(state=GradeState.DRAFT) & Q(proposed_scheme__isnull=False)),
                name="grade_proposal_only_once_accepted",
            ),
            models.CheckConstraint(
                condition=Q(seen_at__isnull=True) | Q(seen_by__isnull=False),
                name="grade_seen_by_somebody",
            ),
        ]

    def __str__(self) -> str:
        return f"grade of group {self.group_id}"


class GradeEvent(AppendOnlyModel):
    """One change of a grade: who, when, what, why.

    The database refuses updates by itself, PostgreSQL deletions too; a grade with
    a history protects its group from being deleted.
    """

    kept = "The history of grades is kept as it is; add an event instead."

    class Kind(models.TextChoices):
        """What was done."""

        SUGGESTED = "suggested", "suggestion changed"
        ACCEPTED = "accepted", "accepted"
        OVERRIDDEN = "overridden", "set by hand"
        REOPENED = "reopened", "taken back"
        COMMENTED = "commented", "comment changed"
        SEEN = "seen", "seen"
        RELEASED = "released", "released"
        UNRELEASED = "unreleased", "release undone"
        PROPOSED = "proposed", "change proposed"
        TAKEN = "taken", "proposed change taken"
        DECLINED = "declined", "proposed change declined"
        ALLOWED = "allowed", "raised by an allowance"
        ASKED = "asked", "re-check asked for"
        ANSWERED = "answered", "re-check answered"

    grade = models.ForeignKey(Grade, models.PROTECT, related_name="events")
    kind = models.CharField(max_length=10, choices=Kind.choices)
    at = models.DateTimeField()
    by = models.ForeignKey(
        _USER, models.PROTECT, null=True, blank=True, related_name="+"
    )
    # Names stay readable when accounts are renamed; groups and workers have none.
    by_name = models.CharField(max_length=160)
    before = _points("before")
    after = _points("after")
    why = models.TextField(blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    kind__in=[
                        "suggested",
                        "accepted",
                        "overridden",
                        "reopened",
                        "commented",
                        "seen",
                        "released",
                        "unreleased",
                        "proposed",
                        "taken",
                        "declined",
                        "allowed",
                        "asked",
                        "answered",
                    ]
                ),
                name="grade_event_kind_known",
            ),
            models.CheckConstraint(
                condition=~Q(by_name=""), name="grade_event_by_somebody"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} by {self.by_name}"


class RecheckRequest(models.Model):
    """A group's request to look at its grade again, and the answer."""

    grade = models.ForeignKey(Grade, models.CASCADE, related_name="rechecks")
    asked_at = models.DateTimeField()
    text = models.TextField()
    answered_at = models.DateTimeField(null=True, blank=True)
    answered_by = models.ForeignKey(
        _USER, models.PROTECT, null=True, blank=True, related_name="+"
    )
    answer = models.TextField(blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=~Q(text=""), name="recheck_says_what_for"),
            models.CheckConstraint(
                condition=Q(answered_at__isnull=True, answer="")
                | (
                    Q(answered_at__isnull=False, answered_by__isnull=False)
                    & ~Q(answer="")
                ),
                name="recheck_answer_has_person_time_and_reason",
            ),
            models.UniqueConstraint(
                fields=["grade"],
                condition=Q(answered_at__isnull=True),
                name="recheck_open_once_per_grade",
            ),
        ]

    def __str__(self) -> str:
        return f"asked {self.asked_at:%Y-%m-%d}"
