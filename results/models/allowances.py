"""Allowances: a coordinator's word that a fault shall not cost students points."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from results.models.course import Course, Section, Station
from results.models.unknowns import Lot
from results.policy.marking import AllowanceKind

_WITH_AMOUNT = [kind.value for kind in AllowanceKind if kind.needs_amount]


class Allowance(models.Model):
    """What was granted for a lot, a station or a section; it can only raise grades.

    It is not withdrawn: that would lower a grade. `changes` keeps the list that the
    coordinator saw: `[{"section", "group", "before", "after", "waits"}]`.
    """

    course = models.ForeignKey(Course, models.CASCADE, related_name="allowances")
    lot = models.ForeignKey(Lot, models.CASCADE, null=True, blank=True)
    station = models.ForeignKey(Station, models.CASCADE, null=True, blank=True)
    section = models.ForeignKey(Section, models.CASCADE, null=True, blank=True)
    kind = models.CharField(
        max_length=16, choices=[(kind.value, kind.label) for kind in AllowanceKind]
    )
    amount = models.FloatField(
        null=True, blank=True, help_text="Percent, or % iron by mass; by the kind."
    )
    reason = models.TextField()
    granted_at = models.DateTimeField()
    granted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )
    changes = models.JSONField(default=list)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    lot__isnull=False, station__isnull=True, section__isnull=True
                )
                | Q(lot__isnull=True, station__isnull=False, section__isnull=True)
                | Q(lot__isnull=True, station__isnull=True, section__isnull=False),
                name="allowance_for_one_lot_station_or_section",
            ),
            models.CheckConstraint(
                condition=~Q(reason=""), name="allowance_has_a_reason"
            ),
            models.CheckConstraint(
                condition=Q(kind__in=[kind.value for kind in AllowanceKind]),
                name="allowance_kind_known",
            ),
            models.CheckConstraint(
                condition=Q(
                    kind__in=_WITH_AMOUNT,
                    amount__isnull=False,
                    amount__gt=0,
                    amount__lte=100,
                )
                | (~Q(kind__in=_WITH_AMOUNT) & Q(amount__isnull=True)),
                name="allowance_amount_fits_its_kind",
            ),
        ]

    def __str__(self) -> str:
        return f"allowance of {self.granted_at:%Y-%m-%d}"

    @property
    def label(self) -> str:
        """What it was granted for; needs lot, station and section at hand."""
        if self.lot is not None:
            return f"lot {self.lot.code}"
        if self.station is not None:
            return f"station {self.station.code}"
        assert self.section is not None  # noqa: S101 - a constraint holds it
        return f"section {self.section.code}"
