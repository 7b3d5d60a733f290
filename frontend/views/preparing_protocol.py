"""The page on which a protocol is written, looked at and adopted."""

from collections.abc import Mapping
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from frontend.doors import for_staff
from frontend.preparing.chain_drawing import chain_drawings
from frontend.preparing.landing import landing
from frontend.preparing.protocol_boxes import closed_up, from_document, to_document
from frontend.preparing.protocol_form import protocol_form, read_range
from frontend.pressed import row_number
from frontend.views.grading import actor_of
from results import rosters
from results.policy.access import Rights
from results.policy.preparing_refusals import ProtocolChanged
from results.policy.refusals import NotAdmitted, Problem
from results.summaries.preparing.protocol import CourseProtocols, course_protocols
from results.summaries.preparing.protocol_look import USUAL_PERCENT, protocol_look

_PAGE = "frontend/preparing/protocol.html"
_PART = "frontend/preparing/_protocol_look.html"


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@for_staff
def protocol(request: HttpRequest, rights: Rights, course_code: str) -> HttpResponse:
    """Show a protocol as boxes with what it promises, or adopt it."""
    sent = request.POST if request.method == "POST" else request.GET
    version = row_number(sent.get("version", ""))
    course = course_protocols(course_code, rights=rights, version=version)
    if request.method != "POST":
        values = from_document(course.start, title=course.start_title)
        return _page(request, rights, course, closed_up(values))
    values = closed_up({key: str(value) for key, value in request.POST.items()})
    if "adopt" not in request.POST:
        return _page(request, rights, course, values)
    try:
        return _adopt(request, rights, course, values)
    except ProtocolChanged as refusal:
        return _page(request, rights, course, values, refused=refusal.sentence)
    except NotAdmitted as refusal:
        problems = refusal.problems
        return _page(request, rights, course, values, problems=problems)


def _adopt(
    request: HttpRequest,
    rights: Rights,
    course: CourseProtocols,
    values: Mapping[str, str],
) -> HttpResponse:
    adopted = rosters.adopt_protocol_seen(
        course.course,
        to_document(values, base=course.start),
        title=values.get("title", "").strip(),
        seen_version=row_number(values.get("seen", "")),
        actor=actor_of(request, rights),
        now=timezone.now(),
    )
    told = "is in force" if adopted.created else "is in force already; nothing changed"
    messages.success(request, f"Version {adopted.version} {told}.")
    return redirect("prepare-protocol", course.course)


def _page(
    request: HttpRequest,
    rights: Rights,
    course: CourseProtocols,
    values: Mapping[str, str],
    *,
    problems: tuple[Problem, ...] = (),
    refused: str = "",
) -> HttpResponse:
    """Show the page, or, where a script asks, the part of it that is drawn."""
    drawn, wrong = _drawn(course, values, rights)
    problems = (*problems, *(one for one in wrong if one not in problems))
    form = protocol_form({**_usual_range(), **values}, problems)
    context = {
        "course": course,
        "form": form,
        "looked": request.method == "POST",
        "refused": refused,
        "now": timezone.now(),
        "drawn": drawn,
    }
    status = 422 if problems else 409 if refused else 200
    template = _PART if "part" in request.POST else _PAGE
    return render(request, template, context, status=status)


def _usual_range() -> dict[str, str]:
    low, high = USUAL_PERCENT
    return {"from_percent": f"{low:g}", "to_percent": f"{high:g}"}


def _drawn(
    course: CourseProtocols, values: Mapping[str, str], rights: Rights
) -> tuple[dict[str, Any], tuple[Problem, ...]]:
    """Return what is drawn, or everything that stands in its way."""
    problems: tuple[Problem, ...] = ()
    assumed = USUAL_PERCENT
    try:
        assumed = read_range(values, otherwise=USUAL_PERCENT)
    except NotAdmitted as refusal:
        problems = refusal.problems
    try:
        look = protocol_look(
            course.course,
            to_document(values, base=course.start),
            assumed_percent=assumed,
            rights=rights,
            now=timezone.now(),
        )
    except NotAdmitted as refusal:
        return {}, (*problems, *refusal.problems)
    drawn = {"look": look, "chains": chain_drawings(look), "landing": landing(look)}
    return drawn, problems
