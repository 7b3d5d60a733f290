"""Pages on which a course is made, and the hub from which it is prepared."""

from collections.abc import Iterable, Mapping

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import (
    require_http_methods,
    require_POST,
    require_safe,
)

from frontend.doors import for_staff
from frontend.preparing.course_form import (
    first_day,
    from_policies,
    new_course_form,
    policies_form,
    to_policies,
)
from frontend.preparing.steps import steps_of
from frontend.views.grading import actor_of
from results import rosters
from results.policy.access import Rights
from results.policy.preparing_refusals import CourseChanged, MayNotMakeCourses
from results.policy.refusals import NotAdmitted, NotFound, Problem
from results.rosters import Like, NewCourse
from results.summaries.preparing.courses import (
    CopyPlan,
    copy_plan,
    courses_to_copy,
    courses_without_coordinator,
)
from results.summaries.preparing.hub import prepared_course
from results.summaries.preparing.policies import course_policies
from results.summaries.rights import keeps_the_site, may_make_courses

_NO_DAY = "Give the first day of the new term, as 2026-09-07."


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@for_staff
def new_course(request: HttpRequest, rights: Rights) -> HttpResponse:
    """Ask what a new course is to be, show what it would take over, or make it."""
    if not may_make_courses(request.user.pk or 0, rights=rights):
        raise MayNotMakeCourses
    if request.method != "POST":
        return _new_course_page(request, rights, {})
    typed = {key: str(value) for key, value in request.POST.items()}
    new = _new_course(typed)
    plan: CopyPlan | None = None
    problems: tuple[Problem, ...] = ()
    refused = ""
    try:
        if "make" in typed:
            return _make(request, rights, new, typed)
        rosters.check_new_course(new)
        plan = _plan(typed, rights)
    except NotAdmitted as refusal:
        problems = refusal.problems
    except NotFound as refusal:
        problems = (Problem(("like",), refusal.sentence),)
    except CourseChanged as refusal:
        refused, plan = refusal.sentence, _plan(typed, rights)
    return _new_course_page(
        request, rights, typed, plan=plan, problems=problems, refused=refused
    )


def _new_course(typed: Mapping[str, str]) -> NewCourse:
    names = ("code", "title", "term", "college")
    clean = {name: typed.get(name, "").replace("\x00", "").strip() for name in names}
    return NewCourse(**clean)


def _make(
    request: HttpRequest, rights: Rights, new: NewCourse, typed: Mapping[str, str]
) -> HttpResponse:
    rosters.begin_course(
        new,
        like=_like(typed),
        actor=actor_of(request, rights),
        now=timezone.now(),
    )
    messages.success(request, f"Course {new.code} is made; you coordinate it.")
    return redirect("prepare", new.code)


def _like(typed: Mapping[str, str]) -> Like | None:
    if not typed.get("like"):
        return None
    starts = first_day(typed.get("starts", ""))
    if starts is None:
        raise NotAdmitted([Problem(("starts",), _NO_DAY)])
    return Like(
        course=typed["like"],
        starts=starts,
        lots="lots" in typed,
        seen=typed.get("seen", ""),
        zone=timezone.get_current_timezone(),
    )


def _plan(typed: Mapping[str, str], rights: Rights) -> CopyPlan | None:
    like = _like(typed)
    if like is None:
        return None
    return copy_plan(
        like.course,
        starts=like.starts,
        lots=like.lots,
        rights=rights,
        now=timezone.now(),
        zone=like.zone,
    )


def _new_course_page(
    request: HttpRequest,
    rights: Rights,
    typed: Mapping[str, str],
    *,
    plan: CopyPlan | None = None,
    problems: Iterable[Problem] = (),
    refused: str = "",
) -> HttpResponse:
    problems = tuple(problems)
    keeper = keeps_the_site(request.user.pk or 0)
    context = {
        "form": new_course_form(typed, courses_to_copy(rights), problems),
        "plan": plan,
        "n_problems": len(problems),
        "refused": refused,
        "looked": "look" in typed and not problems,
        "alone": courses_without_coordinator() if keeper else (),
    }
    status = 422 if problems else 409 if refused else 200
    template = "frontend/preparing/new_course.html"
    return render(request, template, context, status=status)


@never_cache
@require_POST
@for_staff
def coordinate(request: HttpRequest, rights: Rights) -> HttpResponse:
    """Make who keeps the site the coordinator of a course that has none."""
    code = request.POST.get("course", "")
    actor = actor_of(request, rights)
    rosters.coordinate_alone(code, actor=actor, now=timezone.now())
    messages.success(request, f"You coordinate course {code} now.")
    return redirect("prepare", code)


@never_cache
@require_safe
@for_staff
def hub(request: HttpRequest, rights: Rights, course_code: str) -> HttpResponse:
    """Show how far a course is prepared, step by step."""
    course = prepared_course(course_code, rights=rights)
    steps = steps_of(course)
    missing = [step for step in steps if step.state.missing]
    context = {
        "course": course,
        "steps": steps,
        "missing": missing,
        "now": timezone.now(),
    }
    return render(request, "frontend/preparing/hub.html", context)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@for_staff
def policies(request: HttpRequest, rights: Rights, course_code: str) -> HttpResponse:
    """Show the policies of a course with what each means, or set them."""
    found = course_policies(course_code, rights=rights)
    values = from_policies(found.policies)
    problems: tuple[Problem, ...] = ()
    if request.method == "POST":
        values = {key: str(value) for key, value in request.POST.items()}
        try:
            chosen = to_policies(values)
            actor = actor_of(request, rights)
            rosters.keep_policies(course_code, chosen, actor=actor)
        except NotAdmitted as refusal:
            problems = refusal.problems
        else:
            messages.success(request, "Kept; it holds from now on.")
            return redirect("prepare-policies", course_code)
    context = {"course": found, "boxes": policies_form(values, problems)}
    template = "frontend/preparing/policies.html"
    return render(request, template, context, status=422 if problems else 200)
