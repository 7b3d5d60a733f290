"""How the contents of lots became known: records that are only added to."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from results.models.append_only import AppendOnlyModel
from results.models.unknowns import Lot
from results.policy.assay_boxes import AssayKind
from results.policy.assays import AssayRecord, AssayRow


class Assay(AppendOnlyModel):
    """One record of a lot's content; a correction is another one that replaces it.

    The database refuses updates by itself. `basis` holds what all results share,
    by the names of `results.policy.assays`.
    """

    kept = "What was measured is kept as it is; enter a record that replaces it."

    lot = models.ForeignKey(Lot, models.CASCADE, related_name="assays")
    kind = models.CharField(
        max_length=12, choices=[(kind.value, kind.label) for kind in AssayKind]
    )
    basis = models.JSONField()
    made_at = models.DateTimeField()
    note = models.CharField(max_length=240, blank=True)
    replaces = models.OneToOneField(
        "self", models.CASCADE, null=True, blank=True, related_name="replaced_by"
    )
    reason = models.CharField(max_length=240, blank=True)
    entered_at = models.DateTimeField()
    # Nobody in particular for records that came by a command.
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
    )
    by_name = models.CharField(max_length=160)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(kind__in=[kind.value for kind in AssayKind]),
                name="assay_kind_known",
            ),
            models.CheckConstraint(condition=~Q(by_name=""), name="assay_by_somebody"),
            models.CheckConstraint(
                condition=Q(replaces__isnull=True) | ~Q(reason=""),
                name="assay_that_replaces_says_why",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} of {self.made_at:%Y-%m-%d}"

    @property
    def record(self) -> AssayRecord:
        """The record with its results; one query unless they were fetched."""
        results = sorted(self.results.all(), key=lambda result: result.place)
        return AssayRecord(
            AssayKind(self.kind),
            self.basis,
            tuple(
                AssayRow(
                    one.vial,
                    one.iron_percent,
                    one.mass_g,
                    one.titre_mL,
                    one.set_aside,
                )
                for one in results
            ),
            self.made_at,
            self.note,
        )


class AssayResult(AppendOnlyModel):
    """One result of an assay: in % iron, or as it was titrated.

    `set_aside` says why a person does not count it; empty if it counts.
    """

    kept = "Results are kept as they are; enter a record that replaces theirs."

    assay = models.ForeignKey(Assay, models.CASCADE, related_name="results")
    place = models.PositiveIntegerField("place in the record, from 1")
    vial = models.CharField("label of the vial", max_length=40, blank=True)
    replicate = models.PositiveIntegerField("number among the vial's results")
    iron_percent = models.FloatField("iron content, % by mass", null=True, blank=True)
    mass_g = models.FloatField(null=True, blank=True)
    titre_mL = models.FloatField(null=True, blank=True)
    set_aside = models.CharField(max_length=240, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["assay", "place"], name="assay_result_place_once"
            ),
            models.UniqueConstraint(
                fields=["assay", "vial", "replicate"],
                name="assay_result_replicate_once_per_vial",
            ),
            models.CheckConstraint(
                # A comparison with nothing would hold in the database.
                condition=Q(
                    iron_percent__isnull=False,
                    iron_percent__gt=0,
                    iron_percent__lte=100,
                    mass_g__isnull=True,
                    titre_mL__isnull=True,
                )
                | Q(
                    iron_percent__isnull=True,
                    mass_g__isnull=False,
                    mass_g__gt=0,
                    titre_mL__isnull=False,
                    titre_mL__gt=0,
                ),
                name="assay_result_in_percent_or_titrated",
            ),
        ]

    def __str__(self) -> str:
        return f"result {self.place}"
