"""Everything printed for a course: labels of vials, slips, stickers of stations."""

from collections.abc import Callable, Sequence
from functools import wraps

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone, translation
from django.views.decorators.cache import cache_control, never_cache
from django.views.decorators.http import require_http_methods, require_safe

from frontend.doors import for_staff
from frontend.preparing.calibration import calibration
from frontend.preparing.label_layouts import LAYOUTS, read_layout
from frontend.preparing.label_runs import Label, LabelRun, carried, copies_of, lay_out
from frontend.preparing.label_sizes import label_sizes, read_content, stylesheet
from frontend.preparing.paper_forms import (
    SHEET_BOXES,
    LabelForm,
    chosen_groups,
    marks_seen,
    read_label_form,
    read_language,
    row_numbers,
)
from frontend.preparing.paper_labels import (
    blank_codes,
    by_hand_words,
    labels_of_slips,
    labels_of_stations,
    labels_of_vials,
)
from results.policy.access import Rights
from results.policy.refusals import NotAdmitted, NothingChosen, Problem, SlipsChanged
from results.rosters import issue_course_slips
from results.summaries.course import check_coordinated
from results.summaries.paper import SectionSlips, course_stickers
from results.summaries.preparing.paper import course_slips, paper_choices, vial_labels

View = Callable[[HttpRequest, Rights, str], HttpResponse]


def _mended_where_chosen(view: View) -> View:
    """Show the choices again, with what is wrong, where a view refuses them."""

    @wraps(view)
    def inner(request: HttpRequest, rights: Rights, course_code: str) -> HttpResponse:
        try:
            return view(request, rights, course_code)
        except NotAdmitted as refusal:
            return choices_page(request, rights, course_code, refusal.problems)

    return inner


def choices_page(
    request: HttpRequest,
    rights: Rights,
    course_code: str,
    problems: Sequence[Problem] = (),
) -> HttpResponse:
    """Show what can be printed, with what was typed and what is wrong with it."""
    typed = request.GET if request.method != "POST" else request.POST
    context = {
        "course": paper_choices(course_code, rights=rights),
        "layouts": LAYOUTS,
        "typed": typed.dict(),
        "sections": set(typed.getlist("section")),
        "lots": set(typed.getlist("lot")),
        "wrong": {str(one.where[0]): one.message for one in problems},
    }
    status = 422 if problems else 200
    return render(request, "frontend/preparing/paper.html", context, status=status)


@never_cache
@require_safe
@for_staff
def choose(request: HttpRequest, rights: Rights, course_code: str) -> HttpResponse:
    """Show everything that can be printed for a course."""
    return choices_page(request, rights, course_code)


@never_cache
@require_safe
@for_staff
@_mended_where_chosen
def vials(request: HttpRequest, rights: Rights, course_code: str) -> HttpResponse:
    """Show labels of vials, to be printed."""
    form = read_label_form(request.GET.dict())
    found = vial_labels(course_code, row_numbers(request.GET, "lot"), rights=rights)
    with translation.override(form.language):
        labels = copies_of(labels_of_vials(found, form.supplied_g), form.copies)
    run = lay_out(labels, form.layout, start=form.start)
    return _run_page(request, found.course, run, "vials", {"lots": found.lots})


@never_cache
@require_safe
@for_staff
@_mended_where_chosen
def stickers(request: HttpRequest, rights: Rights, course_code: str) -> HttpResponse:
    """Show stickers of stations on a sheet of labels, to be printed."""
    check_coordinated(course_code, rights=rights)
    form = read_label_form(request.GET.dict())
    found = course_stickers(course_code, rights=rights)
    with translation.override(form.language):
        labels = labels_of_stations(request, found)
    run = lay_out(labels, form.layout, start=form.start)
    return _run_page(request, found.course, run, "stickers", {})


def _run_page(
    request: HttpRequest,
    course_code: str,
    run: LabelRun,
    kind: str,
    more: dict[str, object],
) -> HttpResponse:
    context = {"code": course_code, "run": run, "kind": kind, "lots": (), **more}
    with translation.override(read_language(request.POST.dict())):
        context["by_hand"] = by_hand_words()
    return render(request, "frontend/preparing/labels.html", context)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@for_staff
@_mended_where_chosen
def slips(request: HttpRequest, rights: Rights, course_code: str) -> HttpResponse:
    """Ask which groups need a slip; make these and show them to be printed once."""
    if request.method == "POST":
        return _new_slips(request, rights, course_code)
    form = read_label_form(request.GET.dict())
    found = course_slips(
        course_code, row_numbers(request.GET, "section"), rights=rights
    )
    everybody = {row.group_id for section in found for row in section.rows}
    _laid_out(request, found, blank_codes(everybody), form)
    return _ask(request, course_code, found, request.GET.dict())


def _ask(
    request: HttpRequest,
    course_code: str,
    found: Sequence[SectionSlips],
    typed: dict[str, str],
    problem: str = "",
) -> HttpResponse:
    context = {
        "code": course_code,
        "sections": found,
        "n_groups": sum(len(one.rows) for one in found),
        "carried": carried(typed, SHEET_BOXES),
        "problem": problem,
    }
    status = 422 if problem else 200
    return render(request, "frontend/preparing/slips.html", context, status=status)


def _new_slips(request: HttpRequest, rights: Rights, course_code: str) -> HttpResponse:
    form = read_label_form(request.POST.dict())
    asked = row_numbers(request.POST, "section")
    found = course_slips(course_code, asked, rights=rights)
    groups = chosen_groups(request.POST, found)
    # Before any code is made: one that fits no label would be lost.
    _laid_out(request, found, blank_codes(set().union(*groups.values())), form)
    try:
        codes = issue_course_slips(
            groups, rights=rights, seen=marks_seen(request.POST), now=timezone.now()
        )
    except (NothingChosen, SlipsChanged) as refusal:
        again = course_slips(course_code, asked, rights=rights)
        return _ask(request, course_code, again, request.POST.dict(), refusal.sentence)
    run = _laid_out(request, found, codes, form)
    return _run_page(request, course_code, run, "slips", {})


def _laid_out(
    request: HttpRequest,
    found: Sequence[SectionSlips],
    codes: dict[int, str],
    form: LabelForm,
) -> LabelRun:
    with translation.override(form.language):
        labels: list[Label] = labels_of_slips(request, found, codes, timezone.now())
    return lay_out(labels, form.layout, start=form.start, by_hand=True)


@never_cache
@require_safe
@for_staff
@_mended_where_chosen
def calibrate(request: HttpRequest, rights: Rights, course_code: str) -> HttpResponse:
    """Show rulers in mm and the outlines of labels, to be printed and laid over."""
    check_coordinated(course_code, rights=rights)
    layout = read_label_form(request.GET.dict()).layout
    run = lay_out([], layout, start=1)
    context = {"code": course_code, "run": run, "drawing": calibration(layout)}
    return render(request, "frontend/preparing/calibration.html", context)


@require_safe
@cache_control(private=True, max_age=3600)
@for_staff
def geometry(request: HttpRequest, rights: Rights, course_code: str) -> HttpResponse:
    """Hand over the rules that put labels in their places, for one geometry."""
    check_coordinated(course_code, rights=rights)
    typed = request.GET.dict()
    layout = read_layout(typed)
    rules = stylesheet(layout, label_sizes(layout, read_content(typed)))
    return HttpResponse(rules, content_type="text/css; charset=utf-8")
