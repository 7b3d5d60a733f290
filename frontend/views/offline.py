"""What the bench sheet needs to work without a network, and with two phones."""

import hashlib
import json
from dataclasses import replace
from datetime import datetime
from functools import lru_cache
from importlib.resources import files

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.templatetags.static import static
from django.urls import reverse
from django.utils import timezone
from django.utils.cache import patch_cache_control
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from frontend.doors import for_groups
from frontend.scripts import BENCH, Bundle
from results import intake
from results.policy.refusals import Refusal
from results.summaries.drafts import DraftBox, DraftSheet, draft_sheet, with_sent
from results.summaries.signed_in import SignedIn

# A sheet with every box typed in is a tenth of this.
_LARGEST_BYTES = 64 * 1024
# What the sheet refers to beside its scripts. Files of other pages would cost every
# phone a dozen requests in the minute in which a whole section signs in.
_HELD = ("benchwide.css", "mark.svg")
_NO_CONTENT = 204
_A_YEAR_S = 31_536_000


def held_files() -> list[str]:
    """Return the addresses of the files that a phone keeps for the bench sheet."""
    return [BENCH.address, *(static(f"frontend/{name}") for name in _HELD)]


@require_safe
def scripts(request: HttpRequest, bundle: Bundle) -> HttpResponse:
    """Serve the scripts of a page in one file."""
    answer = HttpResponse(bundle.content, content_type="text/javascript; charset=utf-8")
    if request.get_full_path() == bundle.address:
        patch_cache_control(answer, public=True, max_age=_A_YEAR_S, immutable=True)
    else:
        patch_cache_control(answer, no_cache=True)
    return answer


@lru_cache(maxsize=1)
def _worker_source() -> str:
    source = files("frontend") / "workers" / "bench-worker.js"
    return source.read_text(encoding="utf-8")


@require_safe
def worker(_request: HttpRequest) -> HttpResponse:
    """Serve the service worker, with the files it holds and a mark of them all."""
    source, held = _worker_source(), held_files()
    mark = hashlib.sha256("\n".join([source, *held]).encode()).hexdigest()[:12]
    settings = {
        "version": mark,
        "files": held,
        "sheet": reverse("bench-sheet"),
        "home": reverse("home"),
        "results": reverse("bench-result-current"),
        "stations": reverse("station-door", args=["-"]).removesuffix("-/"),
        "signOut": reverse("sign-out"),
        "language": reverse("set-language"),
    }
    answer = HttpResponse(
        f"const HELD = {json.dumps(settings)};\n{source}",
        content_type="text/javascript; charset=utf-8",
    )
    answer["Service-Worker-Allowed"] = reverse("home")
    answer["Cache-Control"] = "no-cache"
    return answer


@never_cache
@require_http_methods(["GET", "POST"])
@for_groups
def draft(request: HttpRequest, who: SignedIn) -> HttpResponse:
    """Take what one phone typed, and answer with the group's sheet as it stands."""
    now = timezone.now()
    if request.method == "POST":
        return _take(request, who, now)
    if request.GET.get("seen") == str(who.sheet):
        return HttpResponse(status=_NO_CONTENT)
    return _standing(request, who, draft_sheet(who.group_id), now)


def _take(request: HttpRequest, who: SignedIn, now: datetime) -> HttpResponse:
    if len(request.body) > _LARGEST_BYTES:
        sentence = f"A sheet has at most {_LARGEST_BYTES // 1024} kB."
        return JsonResponse({"sentence": sentence}, status=413)
    label = str(who.label)
    try:
        document = json.loads(request.body)
        if isinstance(document, dict) and document.get("group") != label:
            return JsonResponse({"group": label}, status=409)
        sheet = intake.take_edits(
            group_id=who.group_id, document=document, received_at=now
        )
    except (ValueError, RecursionError):
        return JsonResponse({"sentence": "This is not JSON."}, status=400)
    except Refusal as refusal:
        return JsonResponse({"sentence": refusal.sentence}, status=422)
    return _standing(request, who, sheet, now)


def _standing(
    request: HttpRequest, who: SignedIn, sheet: DraftSheet, now: datetime
) -> HttpResponse:
    # A revision that came in between has another mark: the phone asks again.
    mark = replace(who.sheet, version=sheet.version)
    if mark.revision:
        sheet = with_sent(sheet, who.group_id)
    return JsonResponse(
        {
            "group": str(who.label),
            "seen": str(mark),
            "now_ms": _ms(now),
            "revision": mark.revision,
            "received_ms": _ms(mark.received_at) if mark.received_at else None,
            "csrf": get_token(request),
            "boxes": {name: _box(box) for name, box in sheet.boxes.items()},
        }
    )


def _box(box: DraftBox) -> dict[str, object]:
    return {
        "value": box.value,
        "at_ms": _ms(box.edited_at),
        "phone": box.phone,
        "sent": box.is_sent,
        "earlier": [
            {"value": one.value, "at_ms": _ms(one.edited_at), "phone": one.phone}
            for one in box.earlier
        ],
    }


def _ms(moment: datetime) -> int:
    return round(moment.timestamp() * 1000)
