"""Pages of coordinators: values of lots, stations in service, the whole course."""

from collections.abc import Mapping

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from frontend.doors import for_staff
from frontend.pressed import Answered, row_number
from frontend.views.grading import actor_of
from results import grading
from results.exports import course_package
from results.policy.access import Rights
from results.policy.marking.refusals import CannotGrade
from results.policy.refusals import NotAdmitted, NotFound, Problem
from results.policy.values import NewValue, read_new_value
from results.rosters import note_station
from results.summaries.course import check_coordinated
from results.summaries.station_notes import station_services
from results.summaries.value_preview import lot_histories, value_preview

_VALUE_BOXES = ("lot", "iron_percent", "u_iron_percent", "valid_from", "reason")


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@for_staff
def lot_value(request: HttpRequest, rights: Rights, course_code: str) -> HttpResponse:
    """Show the values of lots, who would change by another one, or assign it."""
    if request.method != "POST":
        return _value_page(request, rights, course_code, request.GET.dict(), Answered())
    check_coordinated(course_code, rights=rights)
    typed = request.POST.dict()
    zone = timezone.get_current_timezone()
    try:
        value = read_new_value(row_number(typed.get("lot", "")), typed, zone=zone)
        if "assign" in typed:
            return _assign(request, rights, course_code, value)
        answered = Answered(value_preview(course_code, value, rights=rights))
    except NotAdmitted as refusal:
        answered = Answered(problems=refusal.problems)
    except NotFound as refusal:
        answered = Answered(problems=(Problem(("lot",), refusal.sentence),))
    except CannotGrade as refusal:
        answered = Answered(refused=refusal.sentence)
    return _value_page(request, rights, course_code, typed, answered)


def _assign(
    request: HttpRequest, rights: Rights, course_code: str, value: NewValue
) -> HttpResponse:
    done = grading.revalue_lot(
        course_code,
        value,
        reason=request.POST.get("reason", ""),
        seen=request.POST.get("seen", ""),
        actor=actor_of(request, rights),
        now=timezone.now(),
    )
    messages.success(
        request,
        f"Assigned; {done.n_grades} grades follow or wait as proposals, "
        f"{done.n_submissions} submissions are being computed anew.",
    )
    return redirect("lot-value", course_code)


def _value_page(
    request: HttpRequest,
    rights: Rights,
    course_code: str,
    typed: Mapping[str, str],
    answered: Answered,
) -> HttpResponse:
    wrong = {str(one.where[0]): one.message for one in answered.problems}
    context = {
        "course": lot_histories(course_code, rights=rights),
        "typed": {name: typed.get(name, "") for name in _VALUE_BOXES},
        "preview": answered.preview,
        "wrong": wrong,
        "refused": answered.refused,
        "now": timezone.now(),
    }
    status = answered.status
    return render(request, "frontend/lot_value.html", context, status=status)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@for_staff
def station_service(
    request: HttpRequest, rights: Rights, course_code: str
) -> HttpResponse:
    """Show which stations are in service, or take one out or put it back."""
    typed, wrong = request.POST.dict(), ""
    if request.method == "POST":
        try:
            changed = note_station(
                course_code,
                row_number(typed.get("station", "")),
                in_service=typed.get("service") == "in",
                note=typed.get("note", ""),
                actor=actor_of(request, rights),
                now=timezone.now(),
            )
        except NotAdmitted as refusal:
            wrong = refusal.problems[0].message
        else:
            messages.success(request, "Noted." if changed else "It says so already.")
            return redirect("station-service", course_code)
    context = {
        "course": station_services(course_code, rights=rights),
        "typed_station": row_number(typed.get("station", "")),
        "typed_note": typed.get("note", ""),
        "wrong": wrong,
        "now": timezone.now(),
    }
    status = 422 if wrong else 200
    return render(request, "frontend/station_service.html", context, status=status)


@never_cache
@require_safe
@for_staff
def package(request: HttpRequest, rights: Rights, course_code: str) -> HttpResponse:
    """Hand a course over as a Data Package, with names only if asked for."""
    check_coordinated(course_code, rights=rights)
    names = request.GET.get("names") == "yes"
    content = course_package(course_code, names=names, now=timezone.now())
    name = f'attachment; filename="{course_code}.zip"'
    return HttpResponse(
        content,
        content_type="application/zip",
        headers={"Content-Disposition": name},
    )
