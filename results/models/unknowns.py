"""Issued unknowns: lots with their assigned values, vials, and who holds them.

No text form of these records carries an assigned value: texts end in logs,
in the administration's history and in error pages.
"""

from collections.abc import Mapping
from datetime import datetime

from django.conf import settings
from django.db import models
from django.db.models import Q

from results.models.course import Course, Group


class Retirable(models.Model):
    """Something that is given out no more from a moment on."""

    retired_at = models.DateTimeField(null=True, blank=True)
    retired_reason = models.CharField(max_length=240, blank=True)
    retired_by_name = models.CharField(max_length=160, blank=True)

    class Meta:
        abstract = True


class Lot(Retirable):
    """A batch of unknown material."""

    course = models.ForeignKey(Course, models.CASCADE, related_name="lots")
    code = models.CharField(max_length=40)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(retired_at__isnull=True) | ~Q(retired_reason=""),
                name="lot_retired_for_a_reason",
            ),
            models.UniqueConstraint(
                fields=["course", "code"], name="lot_code_once_per_course"
            ),
        ]

    def __str__(self) -> str:
        return self.code


class AssignedValue(models.Model):
    """The iron content assigned to a lot from a moment on (ISO 13528)."""

    lot = models.ForeignKey(Lot, models.CASCADE, related_name="assigned_values")
    iron_percent = models.FloatField("iron content, % by mass")
    u_iron_percent = models.FloatField("standard uncertainty, % by mass", default=0)
    valid_from = models.DateTimeField()
    reason = models.CharField(max_length=240, blank=True)
    # Nobody in particular for values that came with a table of vials.
    assigned_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
    )
    assigned_at = models.DateTimeField(null=True, blank=True)
    # What it rests on; nothing where it was typed.
    assay = models.ForeignKey(
        "Assay", models.RESTRICT, null=True, blank=True, related_name="values"
    )
    homogeneity = models.ForeignKey(
        "Assay", models.RESTRICT, null=True, blank=True, related_name="+"
    )

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(assigned_by__isnull=True)
                | Q(assigned_at__isnull=False) & ~Q(reason=""),
                name="assigned_by_somebody_then_and_for_a_reason",
            ),
            models.CheckConstraint(
                condition=Q(iron_percent__gt=0, iron_percent__lte=100),
                name="assigned_iron_percent_above_0_to_100",
            ),
            models.CheckConstraint(
                condition=Q(u_iron_percent__gte=0),
                name="assigned_u_iron_percent_not_negative",
            ),
            models.UniqueConstraint(
                fields=["lot", "valid_from"], name="assigned_value_once_per_moment"
            ),
        ]

    def __str__(self) -> str:
        return f"from {self.valid_from:%Y-%m-%d}"


class VialQuerySet(models.QuerySet["Vial"]):
    """Vials by whether they can be given out."""

    def free(self) -> "VialQuerySet":
        """Return the vials that nobody ever had and that are not retired."""
        return self.filter(
            issues__isnull=True, retired_at__isnull=True, lot__retired_at__isnull=True
        )


class Vial(Retirable):
    """One numbered portion of a lot."""

    course = models.ForeignKey(Course, models.CASCADE, related_name="vials")
    lot = models.ForeignKey(Lot, models.CASCADE, related_name="vials")
    code = models.CharField(max_length=40)

    objects = VialQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(retired_at__isnull=True) | ~Q(retired_reason=""),
                name="vial_retired_for_a_reason",
            ),
            models.UniqueConstraint(
                fields=["course", "code"], name="vial_code_once_per_course"
            ),
        ]

    def __str__(self) -> str:
        return self.code


class IssueQuerySet(models.QuerySet["Issue"]):
    """Issues, and the one way in which a vial changes hands."""

    def live(self) -> "IssueQuerySet":
        """Return the issues that have not ended."""
        return self.filter(ended_at__isnull=True)

    def hand_over(
        self,
        *,
        vial_id: int,
        group_id: int,
        now: datetime,
        reason: str = "",
        by_id: int | None = None,
        by_name: str = "",
    ) -> bool:
        """Put a vial into a group's hands; return whether anything changed.

        Whoever held the vial, and whatever the group held, is ended at the same
        moment. To be called within a transaction.
        """
        if self.live().filter(vial_id=vial_id, group_id=group_id).exists():
            return False
        self.live().filter(Q(vial_id=vial_id) | Q(group_id=group_id)).update(
            ended_at=now
        )
        self.create(
            vial_id=vial_id,
            group_id=group_id,
            issued_at=now,
            reason=reason,
            by_id=by_id,
            by_name=by_name,
        )
        return True

    def hand_over_all(
        self,
        vials: Mapping[int, int],
        *,
        now: datetime,
        reason: str,
        by_id: int | None,
        by_name: str,
    ) -> None:
        """Put many vials, by group, into hands at one moment; as `hand_over` does.

        Two queries. To be called within a transaction, with vials and groups locked.
        """
        if not vials:
            return
        self.live().filter(
            Q(vial_id__in=vials.values()) | Q(group_id__in=vials.keys())
        ).update(ended_at=now)
        self.bulk_create(
            self.model(
                vial_id=vial,
                group_id=group,
                issued_at=now,
                reason=reason,
                by_id=by_id,
                by_name=by_name,
            )
            for group, vial in vials.items()
        )


class Issue(models.Model):
    """One vial in the hands of one group, until it is given back or replaced."""

    vial = models.ForeignKey(Vial, models.CASCADE, related_name="issues")
    group = models.ForeignKey(Group, models.CASCADE, related_name="issues")
    issued_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)
    reason = models.CharField(max_length=240, blank=True)
    # Nobody in particular for vials that came with a table.
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
    )
    by_name = models.CharField(max_length=160, blank=True)

    objects = IssueQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["vial"],
                condition=Q(ended_at__isnull=True),
                name="vial_with_one_group_at_a_time",
            ),
            models.UniqueConstraint(
                fields=["group"],
                condition=Q(ended_at__isnull=True),
                name="group_holds_one_vial_at_a_time",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.vial} to {self.group}"
