"""A group takes away what is kept about it."""

from django.http import HttpRequest, JsonResponse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from frontend.doors import for_groups
from results.exports.own import own_data
from results.summaries.signed_in import SignedIn


@never_cache
@require_safe
@for_groups
def take(request: HttpRequest, who: SignedIn) -> JsonResponse:  # noqa: ARG001
    """Hand everything over as a file."""
    return JsonResponse(
        own_data(who.group_id, now=timezone.now()),
        json_dumps_params={"indent": 1, "ensure_ascii": False},
        headers={"Content-Disposition": 'attachment; filename="benchwide.json"'},
    )
