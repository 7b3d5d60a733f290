"""Background work in the administration: what waits, what was set aside, and why."""

from django.contrib import admin, messages
from django.db.models import QuerySet
from django.http import HttpRequest
from django.utils import timezone

from results import recompute, tasks
from results.admin.submissions import ReadOnly
from results.models import PendingRecompute


class ParkedFilter(admin.SimpleListFilter):
    """Set aside with an error, or still to come."""

    title = "state"
    parameter_name = "state"

    def lookups(
        self, request: HttpRequest, model_admin: object
    ) -> tuple[tuple[str, str], ...]:
        """Return the two states."""
        return (("parked", "set aside"), ("waiting", "waiting"))

    def queryset(
        self, request: HttpRequest, queryset: QuerySet[PendingRecompute]
    ) -> QuerySet[PendingRecompute]:
        """Keep the rows of the chosen state."""
        if self.value() is None:
            return queryset
        return queryset.filter(parked_at__isnull=self.value() == "waiting")


@admin.register(PendingRecompute)
class PendingRecomputeAdmin(ReadOnly, admin.ModelAdmin):
    """The queue of record."""

    list_display = (
        "submission",
        "reason",
        "available_at",
        "claimed_at",
        "attempts",
        "parked_at",
        "last_error",
    )
    list_filter = (ParkedFilter, "reason")
    list_select_related = ("submission",)
    actions = ("try_again",)

    @admin.action(description="Try again what was set aside", permissions=["view"])
    def try_again(self, request: HttpRequest, rows: QuerySet[PendingRecompute]) -> None:
        """Put parked rows back in the queue and wake a worker."""
        count = recompute.retry_parked(
            rows.values_list("pk", flat=True), now=timezone.now()
        )
        tasks.wake_worker()
        messages.info(request, f"{count} put back in the queue.")
