"""The page on which the stations of a course are made and described."""

from collections.abc import Callable, Mapping

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from frontend.doors import for_staff
from frontend.preparing.stations_form import (
    USUAL,
    bulk_form,
    station_rows,
    typed_stations,
)
from frontend.preparing.steps import some
from frontend.pressed import row_number
from frontend.views.grading import actor_of
from results import rosters
from results.policy.access import Actor, Rights
from results.policy.refusals import NotAdmitted, Problem
from results.summaries.preparing.stations import PreparedStations, prepared_stations

Typed = Mapping[str, str]


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@for_staff
def stations(request: HttpRequest, rights: Rights, course_code: str) -> HttpResponse:
    """Show the stations of a course, or make, change or take away some."""
    course = prepared_stations(course_code, rights=rights)
    if request.method != "POST":
        return _page(request, course, {})
    typed = {key: str(value) for key, value in request.POST.items()}
    deed = next((act for key, act in _DEEDS.items() if key in typed), _keep)
    try:
        messages.success(request, deed(course, typed, actor_of(request, rights)))
    except NotAdmitted as refusal:
        return _page(request, course, typed, problems=refusal.problems)
    return redirect("prepare-stations", course_code)


def _make(course: PreparedStations, typed: Typed, actor: Actor) -> str:
    codes = typed.get("codes", "")
    n = rosters.make_stations(course.course, codes, typed, actor=actor)
    return f"Made {some(n, 'station')}."


def _keep(course: PreparedStations, typed: Typed, actor: Actor) -> str:
    rows = typed_stations(course.stations, typed)
    kept = rosters.keep_stations(course.course, rows, actor=actor, now=timezone.now())
    if not kept.n_changed:
        return "Nothing was changed."
    told = f"{some(kept.n_changed, 'station')} changed."
    if kept.n_submissions:
        told += f" {some(kept.n_submissions, 'submission')} being computed anew."
    return told


def _remove(course: PreparedStations, typed: Typed, actor: Actor) -> str:
    number = row_number(typed["remove"])
    code = rosters.remove_station(course.course, number, actor=actor)
    return f"Station {code} is taken away; nothing was read at it."


_DEEDS: Mapping[str, Callable[[PreparedStations, Typed, Actor], str]] = {
    "make": _make,
    "remove": _remove,
}


def _page(
    request: HttpRequest,
    course: PreparedStations,
    typed: Typed,
    *,
    problems: tuple[Problem, ...] = (),
) -> HttpResponse:
    wrong = {str(one.where[0]): one.message for one in problems}
    context = {
        "course": course,
        "bulk": bulk_form(typed if "make" in typed else USUAL, problems),
        "rows": station_rows(course.stations, typed, problems),
        "remove_problem": wrong.get("remove", ""),
        "n_problems": len(problems),
        "n_out": sum(not one.in_service for one in course.stations),
        "now": timezone.now(),
    }
    template = "frontend/preparing/stations.html"
    return render(request, template, context, status=422 if problems else 200)
