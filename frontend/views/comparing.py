"""Pages of coordinators: what is wrong with a course rather than with its students."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from frontend.comparing.lots import lots_page
from frontend.comparing.report import report_page
from frontend.comparing.sections import sections_page
from frontend.comparing.slips import slips_page
from frontend.comparing.slopes import slopes_page
from frontend.comparing.stations import stations_page
from frontend.doors import for_staff
from frontend.views.course import drawn_page
from results.policy.access import Rights
from results.policy.claims import Response
from results.summaries.effects import (
    CourseEffects,
    RefusedContrast,
    course_effects,
    lots_summary,
    sections_summary,
    set_aside_groups,
    slope_cloud,
    stations_summary,
    whole_course,
)
from results.summaries.frequencies import slip_frequencies


@never_cache
@require_safe
@drawn_page
@for_staff
def stations(request: HttpRequest, rights: Rights, course_code: str) -> HttpResponse:
    """Show which stations read unlike the others or unlike themselves."""
    summary = stations_summary(course_code, rights=rights)
    return _page(
        request,
        "stations",
        course=summary,
        page=stations_page(summary, chosen=request.GET.get("station", "")),
        aside=set_aside_groups(course_code, Response.SLOPE, rights=rights),
        refused=_refused(summary.effects, "slope", "station"),
    )


@never_cache
@require_safe
@drawn_page
@for_staff
def lots(request: HttpRequest, rights: Rights, course_code: str) -> HttpResponse:
    """Show whether the class finds what the lots' keys say."""
    summary = lots_summary(course_code, rights=rights, now=timezone.now())
    return _page(
        request,
        "lots",
        course=summary,
        page=lots_page(summary),
        refused=_refused(summary.effects, "recovery", "lot"),
    )


@never_cache
@require_safe
@drawn_page
@for_staff
def sections(request: HttpRequest, rights: Rights, course_code: str) -> HttpResponse:
    """Show which sections stand out, and where each of them worked."""
    summary = sections_summary(course_code, rights=rights)
    return _page(
        request,
        "sections",
        course=summary,
        page=sections_page(summary, shows=request.GET.get("map", "")),
        aside=set_aside_groups(course_code, Response.RECOVERY, rights=rights),
        refused=_refused(summary.effects, "recovery", "section"),
    )


@never_cache
@require_safe
@drawn_page
@for_staff
def slopes(request: HttpRequest, rights: Rights, course_code: str) -> HttpResponse:
    """Show every group's line as a point, with the region of the class."""
    cloud = slope_cloud(course_code, rights=rights)
    effects = course_effects(course_code, rights=rights)
    return _page(
        request,
        "slopes",
        course=cloud,
        page=slopes_page(cloud, effects, shows=request.GET.get("show", "")),
    )


@never_cache
@require_safe
@drawn_page
@for_staff
def slips(request: HttpRequest, rights: Rights, course_code: str) -> HttpResponse:
    """Show the slips by frequency, and those that a handout may have taught."""
    summary = slip_frequencies(course_code, rights=rights)
    return _page(request, "slips", course=summary, page=slips_page(summary))


@never_cache
@require_safe
@drawn_page
@for_staff
def report(request: HttpRequest, rights: Rights, course_code: str) -> HttpResponse:
    """Show the course on one sheet, for the weekly meeting."""
    whole = whole_course(course_code, rights=rights, now=timezone.now())
    page = report_page(whole, slip_frequencies(course_code, rights=rights))
    return _page(request, "report", course=whole.stations, page=page)


def _refused(
    effects: CourseEffects, response: str, factor: str
) -> list[RefusedContrast]:
    return [
        one
        for one in effects.refused
        if (one.response, one.factor) == (response, factor)
    ]


def _page(request: HttpRequest, name: str, **context: Any) -> HttpResponse:
    return render(
        request,
        f"frontend/comparing/{name}.html",
        {"here": name, "now": timezone.now(), **context},
    )
