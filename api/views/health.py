"""For whoever watches the service: is it alive, is it ready, how is its work."""

import hmac
from secrets import token_hex

from django.conf import settings
from django.core.cache import cache
from django.db import DatabaseError
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe
from prometheus_client import CollectorRegistry
from prometheus_client.exposition import CONTENT_TYPE_LATEST, generate_latest

from api.measured import WorkMeasured
from results.summaries.work import is_ready

_SHEET_BYTES = 16_000


@never_cache
@require_safe
def live(request: HttpRequest) -> JsonResponse:  # noqa: ARG001
    """Answer at all: restart a process that does not."""
    return JsonResponse({"alive": True})


@never_cache
@require_safe
def ready(request: HttpRequest) -> JsonResponse:  # noqa: ARG001
    """Answer whether requests can be served: the database is migrated and has room."""
    try:
        is_served = is_ready() and _can_store()
    except DatabaseError:
        is_served = False
    return JsonResponse({"ready": is_served}, status=200 if is_served else 503)


def _can_store() -> bool:
    """Store something as large as a sheet, and take it away again."""
    name = f"room-for-a-sheet:{token_hex(8)}"
    cache.set(name, token_hex(_SHEET_BYTES // 2), timeout=60)
    return bool(cache.delete(name))


@never_cache
@require_safe
def metrics(request: HttpRequest) -> HttpResponse:
    """Answer what is measured to who brings the token; nobody else learns of it.

    The text format of Prometheus, version 0.0.4.
    """
    if not _may_measure(request):
        return HttpResponse(status=404)
    registry = CollectorRegistry()
    registry.register(WorkMeasured(timezone.now()))
    return HttpResponse(generate_latest(registry), content_type=CONTENT_TYPE_LATEST)


def _may_measure(request: HttpRequest) -> bool:
    token = settings.METRICS_TOKEN
    brought = request.headers.get("Authorization", "")
    return bool(token) and hmac.compare_digest(
        brought.encode(), f"Bearer {token}".encode()
    )
