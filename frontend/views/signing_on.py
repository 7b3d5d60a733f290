"""Staff sign in at the college, and come back from there."""

import logging
from datetime import datetime

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from frontend import doors
from frontend.single_sign_on import (
    CollegeAway,
    SignOnFailed,
    end_session_address,
    from_college,
    sign_on_settings,
    to_college,
)
from frontend.views.signing_in import SIGNED_ON
from frontend.views.welcome import forget_link, link_in_hand
from results import intake
from results.policy.language import tell
from results.policy.staffing import Person, UnknownPerson
from results.rosters.staff import sign_on

logger = logging.getLogger(__name__)
_WANTED = "sign_on_wanted"


# A link leads here, not a form: a form's answer may send a browser only where the
# page's policy says, and a provider sends people on to wherever it likes.
@never_cache
@require_safe
@doors.refusing
def start(request: HttpRequest) -> HttpResponse:
    """Send a person to the college."""
    name, now = sign_on_settings().name, timezone.now()
    if intake.seconds_to_wait(doors.address_of(request), now=now):
        return _again(request, tell(intake.TOO_MANY), status=429)
    wanted = request.GET.get("next", "")
    request.session[_WANTED] = wanted if doors.is_ours(request, wanted) else ""
    try:
        return to_college(request, back=_back(request), now=now)
    except CollegeAway as error:
        logger.warning("The college cannot be asked: %s", error)
        return _away(request, name)


def _back(request: HttpRequest) -> str:
    return request.build_absolute_uri(reverse("sign-on-back"))


@never_cache
@require_safe
@doors.refusing
def back(request: HttpRequest) -> HttpResponse:
    """Take in a person whom the college sends back."""
    name, now = sign_on_settings().name, timezone.now()
    if intake.seconds_to_wait(doors.address_of(request), now=now):
        return _again(request, tell(intake.TOO_MANY), status=429)
    try:
        return _let_in(request, from_college(request, now=now), now)
    except CollegeAway as error:
        logger.warning("The college cannot be asked: %s", error)
        return _away(request, name)
    except SignOnFailed as error:
        logger.warning("A sign-in at the college was not good: %s", error)
        intake.count_wrong_try(doors.address_of(request), now=now)
        sentence = f"The sign-in with {name} did not come to its end"
        return _again(request, sentence, status=422)


def _let_in(request: HttpRequest, person: Person, now: datetime) -> HttpResponse:
    settings = sign_on_settings()
    try:
        user = sign_on(
            person,
            token=link_in_hand(request),
            domains=settings.email_domains,
            make_accounts=settings.make_accounts,
            now=now,
        )
    except UnknownPerson as refusal:
        context = {"person": refusal, "college": settings.name}
        return render(request, "frontend/sign_on_unknown.html", context, status=403)
    wanted = request.session.get(_WANTED, "")
    doors.sign_staff_in(request, user)
    request.session[SIGNED_ON] = True
    answer = redirect(wanted if doors.is_ours(request, wanted) else "staff-home")
    return forget_link(answer)


def _away(request: HttpRequest, name: str) -> HttpResponse:
    return _again(request, f"The sign-in of {name} does not answer", status=503)


def _again(request: HttpRequest, sentence: str, *, status: int) -> HttpResponse:
    context = {"sentence": sentence, "college": sign_on_settings().name}
    return render(request, "frontend/sign_on_failed.html", context, status=status)


@never_cache
@require_safe
@doors.refusing
def signed_out(request: HttpRequest) -> HttpResponse:
    """Tell somebody who has signed out that the college may still know them."""
    context = {
        "college": sign_on_settings().name,
        "address": end_session_address(timezone.now()),
    }
    return render(request, "frontend/signed_out.html", context)
