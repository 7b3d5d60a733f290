"""Staff beyond their duties: the history of these, links, and who is who elsewhere."""

from collections.abc import Collection

from django.conf import settings
from django.db import models
from django.db.models import Q

from results.models.append_only import AppendOnlyModel
from results.models.course import Course, Duty
from results.policy.access import Role
from results.policy.staffing import Deed


class DutyNote(AppendOnlyModel):
    """One time that a duty was given or taken, or a link made, used or withdrawn.

    The database refuses updates by itself. A section stands here by its code, for
    it may be gone when the history is read.
    """

    kept = "What was noted about staff is kept as it is."

    course = models.ForeignKey(Course, models.CASCADE, related_name="duty_notes")
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )
    person_name = models.CharField(max_length=160)
    deed = models.CharField(
        max_length=16, choices=[(deed.value, deed.label) for deed in Deed]
    )
    role = models.CharField(
        max_length=12,
        blank=True,
        choices=[
            (Role.COORDINATOR.value, "coordinator"),
            (Role.ASSISTANT.value, "assistant"),
        ],
    )
    section_code = models.CharField(max_length=40, blank=True)
    at = models.DateTimeField()
    # Nobody: whoever keeps the server, by a command.
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+"
    )
    by_name = models.CharField(max_length=160)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(deed__in=[deed.value for deed in Deed]),
                name="duty_note_deed_known",
            ),
            models.CheckConstraint(
                condition=Q(role=Role.ASSISTANT.value) & ~Q(section_code="")
                | ~Q(role=Role.ASSISTANT.value) & Q(section_code=""),
                name="duty_note_section_fits_role",
            ),
            models.CheckConstraint(
                condition=~Q(by_name="") & ~Q(person_name=""),
                name="duty_note_names_people",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person_name} {self.get_deed_display()}, {self.at:%Y-%m-%d}"


class Invitation(models.Model):
    """A link with which a person sets a password; of its token, only a digest."""

    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.CASCADE, related_name="invitations"
    )
    # None: made by a command, for no course.
    course = models.ForeignKey(
        Course, models.CASCADE, null=True, related_name="invitations"
    )
    digest = models.CharField(max_length=64, editable=False)
    made_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True)
    withdrawn_at = models.DateTimeField(null=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["digest"], name="invitation_digest_once"),
            models.UniqueConstraint(
                fields=["user"],
                condition=Q(used_at__isnull=True, withdrawn_at__isnull=True),
                name="invitation_open_once_per_person",
            ),
            models.CheckConstraint(
                condition=Q(used_at__isnull=True) | Q(withdrawn_at__isnull=True),
                name="invitation_used_or_withdrawn",
            ),
            models.CheckConstraint(
                condition=Q(expires_at__gt=models.F("made_at")),
                name="invitation_expires_after_it_was_made",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.user}, until {self.expires_at:%Y-%m-%d}"


class OutsideIdentity(models.Model):
    """Who a person is at the college: the pair that no other person has there."""

    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.CASCADE, related_name="outside_identities"
    )
    issuer = models.CharField(max_length=255)
    subject = models.CharField(max_length=255)
    linked_at = models.DateTimeField()

    class Meta:
        verbose_name_plural = "outside identities"
        constraints = [
            models.UniqueConstraint(
                fields=["issuer", "subject"], name="identity_subject_once_per_issuer"
            ),
            models.UniqueConstraint(
                fields=["issuer", "user"], name="identity_person_once_per_issuer"
            ),
            models.CheckConstraint(
                condition=~Q(subject="") & ~Q(issuer=""), name="identity_names_somebody"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.user} at {self.issuer}"


def with_other_duties(
    people: Collection[int], *, coordinated: Collection[int]
) -> set[int]:
    """Return who of these has a duty outside these courses; one query."""
    return set(
        Duty.objects.filter(user__in=people)
        .exclude(course__in=coordinated)
        .values_list("user_id", flat=True)
    )


def linked_outside(people: Collection[int]) -> set[int]:
    """Return who of these signs in at the college; one query."""
    return set(
        OutsideIdentity.objects.filter(user__in=people).values_list(
            "user_id", flat=True
        )
    )
