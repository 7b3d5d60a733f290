"""The page on which the sections of a course are made, timed and filled."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from frontend.doors import for_staff
from frontend.preparing.sections_form import (
    read_weekly,
    section_rows,
    typed_rows,
    usual_weekly,
    weekly_form,
)
from frontend.preparing.steps import some
from frontend.pressed import row_number
from frontend.views.grading import actor_of
from results import rosters
from results.policy.access import Actor, Rights
from results.policy.refusals import NotAdmitted, Problem
from results.policy.timetable import SectionTimes
from results.summaries.preparing.sections import PreparedSections, prepared_sections

_WEEKLY = "weekly"
Typed = Mapping[str, str]


@dataclass(frozen=True, slots=True)
class _Pressed:
    """What came of a press: what is planned, or what stood in its way."""

    typed: Typed
    planned: tuple[SectionTimes, ...] = ()
    problems: tuple[Problem, ...] = ()


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@for_staff
def sections(request: HttpRequest, rights: Rights, course_code: str) -> HttpResponse:
    """Show the sections of a course, or make, change or take away some."""
    course = prepared_sections(course_code, rights=rights)
    typed = {key: str(value) for key, value in request.POST.items()}
    if request.method != "POST":
        return _page(request, course, _Pressed(usual_weekly(len(course.sections))))
    try:
        if "look" in typed:
            planned = _planned(typed)[0]
            return _page(request, course, _Pressed(typed, planned=planned))
        deed = next((act for key, act in _DEEDS.items() if key in typed), _keep)
        actor = actor_of(request, rights)
        messages.success(request, deed(course, typed, request, actor))
    except NotAdmitted as refusal:
        return _page(request, course, _Pressed(typed, problems=refusal.problems))
    return redirect("prepare-sections", course_code)


def _planned(typed: Typed) -> tuple[tuple[SectionTimes, ...], int]:
    pattern, n_groups = read_weekly(typed)
    return pattern.sections(timezone.get_current_timezone()), n_groups


def _make(course: PreparedSections, typed: Typed, _: HttpRequest, actor: Actor) -> str:
    planned, n_groups = _planned(typed)
    rosters.make_sections(course.course, planned, groups_each=n_groups, actor=actor)
    told = some(len(planned), "section")
    return f"Made {told}, each with {some(n_groups, 'group')}."


def _keep(course: PreparedSections, typed: Typed, _: HttpRequest, actor: Actor) -> str:
    kept = rosters.keep_sections(
        course.course,
        typed_rows(course.sections, typed),
        actor=actor,
        now=timezone.now(),
        zone=timezone.get_current_timezone(),
    )
    if not (kept.n_made or kept.n_changed):
        return "Nothing was changed."
    told = f"{kept.n_made} made, {kept.n_changed} changed."
    if kept.n_grades:
        told += f" {some(kept.n_grades, 'grade').capitalize()} follow."
    return told


def _fill(
    course: PreparedSections, typed: Typed, request: HttpRequest, actor: Actor
) -> str:
    chosen = [row_number(one) for one in request.POST.getlist("section")]
    n = row_number(typed.get("fill_with", ""))
    made = rosters.make_groups(course.course, chosen, n=n, actor=actor)
    return f"Made {some(made, 'group')}."


def _remove(
    course: PreparedSections, typed: Typed, _: HttpRequest, actor: Actor
) -> str:
    number = row_number(typed["remove"])
    code = rosters.remove_section(course.course, number, actor=actor)
    return f"Section {code} is taken away; it held nothing yet."


_DEEDS: Mapping[str, Callable[[PreparedSections, Typed, HttpRequest, Actor], str]] = {
    "make": _make,
    "fill": _fill,
    "remove": _remove,
}


def _page(
    request: HttpRequest, course: PreparedSections, pressed: _Pressed
) -> HttpResponse:
    typed, problems = pressed.typed, pressed.problems
    in_table = typed if "keep" in typed else None
    wrong = {str(one.where[0]): one.message for one in problems}
    bare = [one for one in course.sections if not one.n_groups]
    context = {
        "course": course,
        "weekly": weekly_form(
            typed
            if "first_week" in typed
            else usual_weekly(len(course.sections)) | {**typed},
            problems if "fill" not in typed else (),
        ),
        "planned": pressed.planned,
        "rows": section_rows(course.sections, in_table, problems),
        "bare": bare,
        "fill_with": typed.get("fill_with", "12"),
        "fill_problem": " ".join(
            wrong[key]
            for key in ("groups", "sections")
            if "fill" in typed and key in wrong
        ),
        "remove_problem": wrong.get("remove", ""),
        "n_problems": len(problems),
        "now": timezone.now(),
    }
    template = "frontend/preparing/sections.html"
    return render(request, template, context, status=422 if problems else 200)
