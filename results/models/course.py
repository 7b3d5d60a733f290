"""A course in one term: its sections, groups, stations, protocols and staff."""

from django.conf import settings
from django.db import connection, models
from django.db.models import F, Q

from results.policy.access import IronShown, Role
from results.policy.typed import Scale

_LOCK = "SELECT 1 FROM results_group WHERE id = %s FOR UPDATE"


class Course(models.Model):
    """One course in one term."""

    code = models.SlugField(max_length=40)
    title = models.CharField(max_length=120)
    term = models.CharField(max_length=60, blank=True)
    college = models.CharField(max_length=120, blank=True)
    iron_shown = models.CharField(
        "when a group sees its recomputed iron content",
        max_length=12,
        choices=[(shown.value, shown.label) for shown in IronShown],
        default=IronShown.AFTER_DUE.value,
    )
    own_answer_first = models.BooleanField(
        "a group gives its own worked answer before it sees ours",
        default=True,
    )
    assistants_see_assigned = models.BooleanField(
        "assistants see assigned values and recoveries of their sections",
        default=True,
    )
    error_shown = models.BooleanField(
        "groups see how far off they were, once grades are released",
        default=False,
    )

    vial_labels_checked = models.BooleanField(
        "vial labels end in a check sign",
        default=False,
        help_text="Leave it off for labels of the course’s own making.",
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["code"], name="course_code_once"),
            models.CheckConstraint(
                condition=Q(iron_shown__in=[shown.value for shown in IronShown]),
                name="course_iron_shown_known",
            ),
        ]

    def __str__(self) -> str:
        return self.code


class Section(models.Model):
    """One class meeting with its opening and due times."""

    course = models.ForeignKey(Course, models.CASCADE, related_name="sections")
    code = models.CharField(max_length=40)
    title = models.CharField(max_length=120, blank=True)
    opens_at = models.DateTimeField(
        null=True, blank=True, help_text="Empty: open from the start."
    )
    due_at = models.DateTimeField(
        null=True, blank=True, help_text="Later submissions are marked late."
    )
    closes_at = models.DateTimeField(
        null=True, blank=True, help_text="Nothing is accepted afterwards."
    )
    released_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["course", "code"], name="section_code_once_per_course"
            ),
            models.CheckConstraint(
                condition=Q(opens_at__isnull=True)
                | Q(due_at__isnull=True)
                | Q(due_at__gt=F("opens_at")),
                name="section_due_after_opening",
            ),
            models.CheckConstraint(
                condition=Q(closes_at__isnull=True)
                | Q(due_at__isnull=True)
                | Q(closes_at__gte=F("due_at")),
                name="section_closes_not_before_due",
            ),
        ]

    def __str__(self) -> str:
        return self.code


class Duty(models.Model):
    """What a member of staff does in a course: coordinate it, or assist a section."""

    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.CASCADE, related_name="duties"
    )
    course = models.ForeignKey(Course, models.CASCADE, related_name="duties")
    role = models.CharField(
        max_length=12,
        choices=[
            (Role.COORDINATOR.value, "coordinator"),
            (Role.ASSISTANT.value, "assistant"),
        ],
    )
    section = models.ForeignKey(
        Section, models.CASCADE, null=True, blank=True, related_name="duties"
    )

    class Meta:
        verbose_name_plural = "duties"
        constraints = [
            models.CheckConstraint(
                condition=Q(role=Role.COORDINATOR.value, section__isnull=True)
                | Q(role=Role.ASSISTANT.value, section__isnull=False),
                name="duty_section_fits_role",
                violation_error_message="An assistant has a section, "
                "a coordinator has none.",
            ),
            models.UniqueConstraint(
                fields=["user", "course"],
                condition=Q(section__isnull=True),
                name="duty_coordinator_once_per_course",
            ),
            models.UniqueConstraint(
                fields=["user", "section"],
                condition=Q(section__isnull=False),
                name="duty_assistant_once_per_section",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.role} {self.user}"


class Station(models.Model):
    """One meter at one place."""

    course = models.ForeignKey(Course, models.CASCADE, related_name="stations")
    code = models.CharField(max_length=40)
    place = models.CharField(max_length=120, blank=True)
    scale = models.CharField(
        max_length=12,
        choices=[(scale.value, scale.label) for scale in Scale],
        default=Scale.PERCENT_T.value,
    )
    step = models.FloatField(
        "smallest step of the scale", default=0.5, help_text="in %T or in absorbance"
    )
    in_service = models.BooleanField(default=True)
    note = models.CharField(max_length=240, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["course", "code"], name="station_code_once_per_course"
            ),
            models.CheckConstraint(
                condition=Q(scale__in=[scale.value for scale in Scale]),
                name="station_scale_known",
            ),
            models.CheckConstraint(
                condition=Q(step__gt=0), name="station_step_above_0"
            ),
        ]

    def __str__(self) -> str:
        return self.code


class Protocol(models.Model):
    """The experiment as a course runs it; a version that was used stays as it is."""

    course = models.ForeignKey(Course, models.CASCADE, related_name="protocols")
    version = models.PositiveIntegerField()
    title = models.CharField(max_length=120, blank=True)
    document = models.JSONField()
    adopted_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["course", "version"], name="protocol_version_once_per_course"
            ),
            models.CheckConstraint(
                condition=Q(version__gte=1), name="protocol_version_from_1"
            ),
        ]

    def __str__(self) -> str:
        return f"version {self.version}"

    @property
    def is_frozen(self) -> bool:
        """Whether a submission was made under this version."""
        return self.submissions.exists()


class Groups(models.Manager["Group"]):
    """Groups, and the lock under which what is a group's changes."""

    def lock(self, group_id: int) -> None:
        """Hold a group's row until the transaction ends; to be called within one.

        On SQLite the transaction itself is the lock.
        """
        if connection.features.has_select_for_update:
            with connection.cursor() as cursor:
                cursor.execute(_LOCK, [group_id])


class Group(models.Model):
    """The students who share one set of readings."""

    section = models.ForeignKey(Section, models.CASCADE, related_name="groups")
    code = models.CharField(max_length=40)
    slip_digest = models.CharField(  # noqa: DJ001 - groups without a slip differ
        max_length=64,
        null=True,
        blank=True,
        editable=False,
    )
    slip_issued_at = models.DateTimeField(null=True, blank=True, editable=False)
    # Who stands at the next place can see the vial: neighbours get other lots.
    place = models.PositiveIntegerField(
        "place along the benches", null=True, blank=True
    )
    # Where the group is sent; it may read elsewhere, its submission says where.
    planned_station = models.ForeignKey(
        Station, models.SET_NULL, null=True, blank=True, related_name="planned_groups"
    )

    objects = Groups()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["section", "code"], name="group_code_once_per_section"
            ),
            models.UniqueConstraint(
                fields=["section", "place"], name="group_place_once_per_section"
            ),
            models.UniqueConstraint(
                fields=["slip_digest"], name="group_slip_digest_once"
            ),
        ]

    def __str__(self) -> str:
        return self.code
