"""A page of coordinators: the people of a course, one by one."""

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from frontend.doors import for_staff
from frontend.pressed import is_number, row_number
from frontend.views.grading import actor_of
from results import rosters
from results.policy.access import Actor, Rights
from results.policy.refusals import NotAdmitted, NothingChosen, Problem
from results.policy.roster.grid import LARGEST_MB
from results.policy.roster.refusals import NotARoster
from results.summaries.preparing.rosters import course_roster


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@for_staff
def roster(request: HttpRequest, rights: Rights, course_code: str) -> HttpResponse:
    """Show the people of a course; add one, or change, end or renew their place."""
    if request.method != "POST":
        return people_page(request, rights, course_code)
    deed = _DEEDS.get(request.POST.get("act", ""), _nothing)
    try:
        done = deed(request, course_code, actor_of(request, rights))
    except NotAdmitted as refusal:
        return people_page(request, rights, course_code, problems=refusal.problems)
    except NothingChosen as refusal:
        return people_page(request, rights, course_code, refused=refusal.sentence)
    messages.success(request, done)
    return redirect(request.get_full_path())


def _nothing(request: HttpRequest, course_code: str, actor: Actor) -> str:  # noqa: ARG001
    message = "Press one of the buttons of the page."
    raise NothingChosen(message)


def _add(request: HttpRequest, course_code: str, actor: Actor) -> str:
    name = rosters.add_person(
        course_code,
        row_number(request.POST.get("section", "")),
        name=request.POST.get("name", ""),
        number=request.POST.get("number", ""),
        actor=actor,
        now=timezone.now(),
    )
    return f"{name} is on the roster, in no group yet."


def _move(request: HttpRequest, course_code: str, actor: Actor) -> str:
    n = rosters.move_to_section(
        course_code,
        _ticked(request),
        row_number(request.POST.get("to", "")),
        actor=actor,
        now=timezone.now(),
    )
    return f"{_people(n)} changed section and left their groups, whose work stays."


def _leave(request: HttpRequest, course_code: str, actor: Actor) -> str:
    n = rosters.let_leave(
        course_code, _ticked(request), actor=actor, now=timezone.now()
    )
    return f"{_people(n)} left the course; the work of their groups stays."


def _return(request: HttpRequest, course_code: str, actor: Actor) -> str:
    n = rosters.let_return(
        course_code, _ticked(request), actor=actor, now=timezone.now()
    )
    return f"{_people(n)} came back, in no group yet."


_DEEDS: dict[str, Callable[[HttpRequest, str, Actor], str]] = {
    "add": _add,
    "move": _move,
    "leave": _leave,
    "return": _return,
}


def _ticked(request: HttpRequest) -> set[int]:
    return {row_number(one) for one in request.POST.getlist("person") if is_number(one)}


def _people(n: int) -> str:
    return "One person" if n == 1 else f"{n} people"


def people_page(
    request: HttpRequest,
    rights: Rights,
    course_code: str,
    *,
    problems: tuple[Problem, ...] = (),
    refused: str = "",
    unread: NotARoster | None = None,
) -> HttpResponse:
    """Show the people who were asked for, and what stood in the way of a press."""
    section, name = request.GET.get("section", ""), request.GET.get("name", "").strip()
    name = name.replace("\x00", "")[:120]
    typed = request.POST.dict()
    context = {
        "course": course_roster(
            course_code,
            rights=rights,
            section_id=row_number(section) if section else None,
            name=name,
        ),
        "asked": {"section": row_number(section), "name": name},
        "typed": {
            "name": typed.get("name", ""),
            "number": typed.get("number", ""),
            "section": row_number(typed.get("section", "")),
        },
        "wrong": {str(one.where[0]): one.message for one in problems},
        "refused": refused,
        "unread": unread,
        "largest_mb": LARGEST_MB,
        "now": timezone.now(),
    }
    status = 422 if problems or refused or unread else 200
    template = "frontend/preparing/roster.html"
    return render(request, template, context, status=status)
