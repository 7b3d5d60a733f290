"""The prep room's worksheet with the plan behind it, and the class handout."""

from collections.abc import Mapping

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone, translation
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from frontend.cautions import with_usual_cautions
from frontend.doors import for_staff
from frontend.preparing.handout_chain import ChainDrawing, draw_chain
from frontend.preparing.paper_forms import read_language, row_numbers
from frontend.preparing.prep_form import prep_form, typed_of
from frontend.pressed import row_number
from frontend.templatetags.printed import delivered
from frontend.views.grading import actor_of
from results.policy import hazards
from results.policy.access import Rights
from results.policy.language import tell
from results.policy.prep_plan import UNITS, read_plan
from results.policy.preparing_refusals import PrepPlanChanged
from results.policy.refusals import NotAdmitted
from results.rosters import keep_prep_plan
from results.summaries.preparing.handout import Chain, course_handout
from results.summaries.preparing.prep_plan import PrepPage, prep_page
from results.summaries.preparing.worksheet import prep_worksheet


@never_cache
@require_safe
@for_staff
def worksheet(request: HttpRequest, rights: Rights, course_code: str) -> HttpResponse:
    """Show what the prep room makes up for some sections, to be printed."""
    found = prep_worksheet(
        course_code,
        section_ids=row_numbers(request.GET, "section"),
        week=request.GET.get("week", ""),
        rights=rights,
    )
    context = {"sheet": found, "hazards": hazards, "now": timezone.now()}
    return render(request, "frontend/preparing/worksheet.html", context)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@for_staff
def plan(request: HttpRequest, rights: Rights, course_code: str) -> HttpResponse:
    """Show what the prep room goes by, or keep another version of it."""
    page = prep_page(course_code, rights=rights)
    if request.method != "POST":
        return _plan_page(request, page, typed_of(page.in_force.plan, page.reagents))
    typed = request.POST.dict()
    try:
        return _keep(request, rights, page, typed)
    except NotAdmitted as refusal:
        wrong = {str(one.where[0]): one.message for one in refusal.problems}
        return _plan_page(request, page, typed, wrong)
    except PrepPlanChanged as refusal:
        page = prep_page(course_code, rights=rights)
        return _plan_page(request, page, typed, refused=refusal.sentence)


def _keep(
    request: HttpRequest, rights: Rights, page: PrepPage, typed: Mapping[str, str]
) -> HttpResponse:
    version = keep_prep_plan(
        page.course,
        read_plan(typed, [one.name for one in page.reagents]),
        seen=row_number(typed.get("seen", "")),
        actor=actor_of(request, rights),
        now=timezone.now(),
    )
    said = f"Kept as version {version}." if version else "It says so already."
    messages.success(request, said)
    return redirect("paper-prep-room", page.course)


def _plan_page(
    request: HttpRequest,
    page: PrepPage,
    typed: Mapping[str, str],
    wrong: Mapping[str, str] | None = None,
    refused: str = "",
) -> HttpResponse:
    context = {
        "page": page,
        "form": prep_form(page.reagents, typed, wrong or {}),
        "wrong": wrong or {},
        "refused": refused,
        "units": UNITS,
    }
    status = 422 if wrong else 409 if refused else 200
    return render(request, "frontend/preparing/prep_room.html", context, status=status)


@never_cache
@require_safe
@for_staff
def handout(request: HttpRequest, rights: Rights, course_code: str) -> HttpResponse:
    """Show the scheme on one page for students, in their language, to be printed."""
    found = course_handout(course_code, rights=rights)
    with translation.override(read_language(request.GET.dict())):
        context = {
            "handout": found,
            "standards": _drawn(found.standards, tell("standard")),
            "unknown": _drawn(found.unknown, tell("unknown")),
            "cautions": with_usual_cautions(found.cautions),
        }
        return render(request, "frontend/preparing/handout.html", context)


def _drawn(chain: Chain, what: str) -> ChainDrawing:
    used = {one.delivery for one in chain.steps}
    used |= {one.delivery for one in chain.tubes}
    return draw_chain(chain, what, {name: delivered(name) for name in used})
