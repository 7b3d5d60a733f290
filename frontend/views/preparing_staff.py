"""The page on which a coordinator says who works in a course."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from frontend.doors import for_staff
from frontend.pressed import row_number
from frontend.staff_page import StaffPage, Typed, made_link
from frontend.views.grading import actor_of
from results.policy.access import Actor, Rights
from results.policy.refusals import NotAdmitted, NotFound, Refusal
from results.policy.staffing import Link
from results.rosters.staff import (
    give_duty,
    invite,
    renew_link,
    take_duty,
    withdraw_link,
)
from results.summaries.preparing.staff import course_staff


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@for_staff
def staff(request: HttpRequest, rights: Rights, course_code: str) -> HttpResponse:
    """Show who works in a course; give and take duties, make and withdraw links."""
    actor = actor_of(request, rights)
    if request.method != "POST":
        return _page(request, actor, course_code, StaffPage())
    typed = Typed.read(request.POST)
    try:
        link, said = _do(course_code, typed, actor=actor)
    except NotFound:
        raise
    except Refusal as refusal:
        return _page(request, actor, course_code, _refused(typed, refusal))
    if link is not None:
        return _page(request, actor, course_code, StaffPage(made_link(request, link)))
    messages.success(request, said)
    return redirect("prepare-staff", course_code)


def _do(course_code: str, typed: Typed, *, actor: Actor) -> tuple[Link | None, str]:
    """Do what a button asks for; return a link if one was made, or what to say."""
    now, person = timezone.now(), typed.person
    match typed.deed:
        case "link":
            user_id = row_number(person)
            return renew_link(course_code, user_id, actor=actor, now=now), ""
        case "withdraw":
            user_id = row_number(person)
            ended = withdraw_link(course_code, user_id, actor=actor, now=now)
            return None, "The link is withdrawn." if ended else "There is no open link."
        case "invite":
            return _invite(course_code, typed, actor=actor), ""
        case "take":
            place = typed.section
            had_it = take_duty(course_code, person, section=place, actor=actor, now=now)
            return None, "The duty is taken." if had_it else "Nobody has this duty."
    section = typed.section
    is_new = give_duty(course_code, person, section=section, actor=actor, now=now)
    return None, "The duty is given." if is_new else "The person has it already."


def _invite(course_code: str, typed: Typed, *, actor: Actor) -> Link:
    return invite(
        course_code,
        typed.person,
        name=typed.name,
        section=typed.section,
        actor=actor,
        now=timezone.now(),
    )


def _refused(typed: Typed, refusal: Refusal) -> StaffPage:
    if isinstance(refusal, NotAdmitted):
        return StaffPage(None, typed, [one.message for one in refusal.problems])
    return StaffPage(None, typed, [refusal.sentence])


def _page(
    request: HttpRequest, actor: Actor, course_code: str, page: StaffPage
) -> HttpResponse:
    now = timezone.now()
    context = {
        "course": course_staff(course_code, actor=actor, now=now),
        "page": page,
        "now": now,
    }
    template = "frontend/preparing/staff.html"
    return render(request, template, context, status=page.status)
