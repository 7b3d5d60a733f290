"""A page of coordinators: groups of a section along its benches."""

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from frontend.doors import for_staff
from frontend.preparing.groups_form import (
    filling_choices,
    read_places,
    typed_wish,
)
from frontend.pressed import is_number, row_number
from frontend.views.grading import actor_of
from results import rosters
from results.policy.access import Actor, Rights
from results.policy.refusals import NothingChosen
from results.policy.roster.filling import Order
from results.policy.roster.refusals import CannotRoster, RosterChanged
from results.summaries.preparing.groups import (
    FillingPreview,
    course_groups,
    filling_preview,
)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@for_staff
def groups(request: HttpRequest, rights: Rights, course_code: str) -> HttpResponse:
    """Show the groups of a section; change them by hand, or fill them."""
    if request.method != "POST":
        return _page(request, rights, course_code)
    act, _, number = request.POST.get("act", "").partition(":")
    try:
        if act == "preview":
            return _page(request, rights, course_code, wants_preview=True)
        deed = _DEEDS.get(act, _nothing)
        done = deed(request, course_code, row_number(number), actor_of(request, rights))
    except RosterChanged as refusal:
        return _page(
            request, rights, course_code, refused=refusal.sentence, wants_preview=True
        )
    except (CannotRoster, NothingChosen) as refusal:
        return _page(request, rights, course_code, refused=refusal.sentence)
    messages.success(request, done)
    address = reverse("prepare-groups", args=[course_code])
    return redirect(f"{address}?section={_section(request)}")


def _nothing(
    request: HttpRequest,  # noqa: ARG001
    course_code: str,  # noqa: ARG001
    number: int,  # noqa: ARG001
    actor: Actor,  # noqa: ARG001
) -> str:
    message = "Press one of the buttons of the page."
    raise NothingChosen(message)


def _move(request: HttpRequest, course_code: str, number: int, actor: Actor) -> str:  # noqa: ARG001
    to = request.POST.get("to", "")
    if to == "new":
        return _make(request, course_code, 0, actor)
    if not to:
        message = "Choose the group to which they go."
        raise NothingChosen(message)
    n = rosters.move_to_group(
        course_code,
        _section(request),
        _ticked(request),
        group_id=None if to == "none" else row_number(to),
        actor=actor,
        now=timezone.now(),
    )
    return "One person moved." if n == 1 else f"{n} people moved."


def _make(request: HttpRequest, course_code: str, number: int, actor: Actor) -> str:  # noqa: ARG001
    code = rosters.make_group(
        course_code,
        _section(request),
        code=request.POST.get("code", ""),
        student_ids=_ticked(request),
        actor=actor,
        now=timezone.now(),
    )
    return f"Group {code} is made."


def _dissolve(request: HttpRequest, course_code: str, number: int, actor: Actor) -> str:
    code = rosters.dissolve_group(course_code, _section(request), number, actor=actor)
    return f"Group {code} is dissolved."


def _places(request: HttpRequest, course_code: str, number: int, actor: Actor) -> str:  # noqa: ARG001
    places = read_places(request.POST)
    rosters.set_places(course_code, _section(request), places, actor=actor)
    return "The places are kept."


def _fill(request: HttpRequest, course_code: str, number: int, actor: Actor) -> str:  # noqa: ARG001
    wish = typed_wish(request.POST)
    done = rosters.fill_groups(
        course_code,
        wish,
        section_id=_scope(request),
        seen=request.POST.get("seen", ""),
        actor=actor,
        now=timezone.now(),
    )
    n = sum(len(one.groups) for one in done)
    by_seed = f" by the seed {wish.seed}" if wish.order is Order.RANDOM else ""
    return f"Carried out: {n} group{'' if n == 1 else 's'}, as listed{by_seed}."


_DEEDS: dict[str, Callable[[HttpRequest, str, int, Actor], str]] = {
    "move": _move,
    "make": _make,
    "dissolve": _dissolve,
    "places": _places,
    "fill": _fill,
}


def _section(request: HttpRequest) -> int:
    return row_number(request.POST.get("section", request.GET.get("section", "")))


def _scope(request: HttpRequest) -> int | None:
    """Return the section to be filled; None for all of the course."""
    return None if request.POST.get("scope") == "all" else _section(request)


def _ticked(request: HttpRequest) -> set[int]:
    return {row_number(one) for one in request.POST.getlist("person") if is_number(one)}


def _page(
    request: HttpRequest,
    rights: Rights,
    course_code: str,
    *,
    refused: str = "",
    wants_preview: bool = False,
) -> HttpResponse:
    asked = request.POST.get("section") or request.GET.get("section")
    found = course_groups(
        course_code, rights=rights, section_id=_section(request) if asked else None
    )
    preview: FillingPreview | None = None
    if wants_preview:
        wish = typed_wish(request.POST)
        preview = filling_preview(
            course_code, wish, rights=rights, section_id=_scope(request)
        )
    context = {
        "course": found,
        "shown": found.shown,
        "form": filling_choices(request.POST),
        "preview": preview,
        "typed": request.POST.dict(),
        "refused": refused,
        "now": timezone.now(),
    }
    status = 422 if refused and not preview else 409 if refused else 200
    template = "frontend/preparing/groups.html"
    return render(request, template, context, status=status)
