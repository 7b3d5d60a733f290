"""Which station was taken out of service or put back, by whom and why."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from results.models.append_only import AppendOnlyModel
from results.models.course import Station


class StationNote(AppendOnlyModel):
    """One time that a station's service was decided; the newest is what holds.

    The database refuses updates by itself. `Station.in_service` and `Station.note`
    repeat the newest, so that the bench sheet reads one row.
    """

    kept = "What was noted about a station is kept as it is; add a note instead."

    station = models.ForeignKey(Station, models.CASCADE, related_name="notes")
    in_service = models.BooleanField()
    note = models.CharField(max_length=240)
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    # Names stay readable when accounts are renamed.
    by_name = models.CharField(max_length=160)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=~Q(note="") | Q(in_service=True),
                name="station_out_of_service_says_why",
            ),
            models.CheckConstraint(
                condition=~Q(by_name=""), name="station_note_by_somebody"
            ),
            models.UniqueConstraint(
                fields=["station", "at"], name="station_note_once_per_moment"
            ),
        ]

    def __str__(self) -> str:
        return f"{'in' if self.in_service else 'out of'} service, {self.at:%Y-%m-%d}"
