"""Somebody with a link sets a password."""

import re

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_safe

from frontend import doors
from results import intake
from results.policy.language import tell
from results.policy.refusals import NotAdmitted, Problem
from results.policy.staffing import LinkNotGood
from results.rosters.staff import open_link, take_up

# A cookie, signed and short, so that neither the address bar nor the table of
# sessions keeps what lets somebody in.
_COOKIE, _COOKIE_S, _PATH = "welcome", 3600, "/staff/"
_TOKEN = re.compile(r"[A-Za-z0-9_-]{1,100}")


def link_in_hand(request: HttpRequest) -> str:
    """Return the token of the link by which a browser came; nothing if by none."""
    return request.get_signed_cookie(_COOKIE, default="", max_age=_COOKIE_S) or ""


def forget_link(response: HttpResponse) -> HttpResponse:
    """Let the browser forget the link."""
    response.delete_cookie(_COOKIE, path=_PATH, samesite="Lax")
    return response


@never_cache
@require_safe
def arrive(_: HttpRequest, token: str) -> HttpResponse:
    """Take the token out of the address."""
    response = redirect("welcome")
    response.set_signed_cookie(
        _COOKIE,
        # Whatever else stands in the address opens nothing; no header could hold it.
        token if _TOKEN.fullmatch(token) else "",
        max_age=_COOKIE_S,
        path=_PATH,
        secure=settings.SESSION_COOKIE_SECURE,
        httponly=True,
        samesite="Lax",
    )
    return response


@never_cache
@sensitive_post_parameters()
@require_http_methods(["GET", "HEAD", "POST"])
def welcome(request: HttpRequest) -> HttpResponse:
    """Ask whoever has a link for a password, and let them in."""
    address, now = doors.address_of(request), timezone.now()
    if intake.seconds_to_wait(address, now=now):
        return _refuse(request, tell(intake.TOO_MANY), status=429)
    try:
        if request.method == "POST":
            return _take_up(request)
        return _page(request)
    except LinkNotGood as refusal:
        intake.count_wrong_try(address, now=now)
        return _refuse(request, refusal.sentence, status=422)


def _take_up(request: HttpRequest) -> HttpResponse:
    password = request.POST.get("password", "")
    if password != request.POST.get("again", ""):
        message = "The two are not the same. Type the password once more in both."
        return _page(request, (Problem(("again",), message),))
    try:
        user = take_up(link_in_hand(request), password=password, now=timezone.now())
    except NotAdmitted as refusal:
        return _page(request, refusal.problems)
    doors.sign_staff_in(request, user)
    messages.success(request, "Your password is set. Sign in with it from now on.")
    return forget_link(redirect("staff-home"))


def _page(request: HttpRequest, problems: tuple[Problem, ...] = ()) -> HttpResponse:
    context = {
        "username": open_link(link_in_hand(request), now=timezone.now()),
        "problems": [problem.message for problem in problems],
        "college": settings.SIGN_ON.name if settings.SIGN_ON else "",
    }
    status = 422 if problems else 200
    return render(request, "frontend/welcome.html", context, status=status)


def _refuse(request: HttpRequest, sentence: str, *, status: int) -> HttpResponse:
    context = {"sentence": sentence}
    return forget_link(render(request, "frontend/refusal.html", context, status=status))
