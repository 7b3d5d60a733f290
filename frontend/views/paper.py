"""Pages to be printed: slips with which groups sign in, stickers of stations."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from frontend.doors import for_staff
from frontend.pressed import is_number, row_number
from frontend.printed_codes import slips_to_print, stickers_to_print
from results.policy.access import Rights
from results.policy.refusals import NothingChosen, SlipsChanged
from results.rosters import issue_section_slips
from results.summaries.paper import course_stickers, section_slips


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@for_staff
def slips(request: HttpRequest, rights: Rights, section_id: int) -> HttpResponse:
    """Ask which groups need a slip; make these and show them to be printed once."""
    if request.method == "POST":
        return _new_slips(request, rights, section_id)
    return _ask(request, rights, section_id)


def _ask(
    request: HttpRequest, rights: Rights, section_id: int, problem: str = ""
) -> HttpResponse:
    found = section_slips(section_id, rights=rights)
    return render(
        request,
        "frontend/slips.html",
        {"section": found, "problem": problem},
        status=422 if problem else 200,
    )


def _new_slips(request: HttpRequest, rights: Rights, section_id: int) -> HttpResponse:
    chosen = {
        row_number(one) for one in request.POST.getlist("group") if is_number(one)
    }
    now = timezone.now()
    try:
        codes = issue_section_slips(
            section_id,
            group_ids=chosen,
            rights=rights,
            seen=request.POST.get("seen", ""),
            now=now,
        )
    except (NothingChosen, SlipsChanged) as refusal:
        return _ask(request, rights, section_id, refusal.sentence)
    found = section_slips(section_id, rights=rights)
    context = {
        "section": found,
        "slips": slips_to_print(request, found, codes),
        "address": request.build_absolute_uri(reverse("home")),
        "now": now,
    }
    return render(request, "frontend/slips_to_print.html", context)


@never_cache
@require_safe
@for_staff
def stickers(request: HttpRequest, rights: Rights, course_code: str) -> HttpResponse:
    """Show a sticker for each station, to be printed."""
    found = course_stickers(course_code, rights=rights)
    context = {
        "course": found,
        "stickers": stickers_to_print(request, found),
        "now": timezone.now(),
    }
    return render(request, "frontend/stickers.html", context)
