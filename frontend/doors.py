"""Who is at the door: a signed-in group, a member of staff, or nobody."""

from collections.abc import Callable
from datetime import timedelta
from functools import wraps
from typing import Any, Concatenate, ParamSpec

from django.contrib import messages
from django.contrib.auth import login
from django.contrib.auth.decorators import login_required
from django.contrib.auth.models import User
from django.http import HttpRequest, HttpResponse, HttpResponseBase, JsonResponse
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from rest_framework.throttling import BaseThrottle

from results import intake
from results.policy.access import Rights
from results.policy.language import marked, tell
from results.policy.refusals import NotFound, Refusal
from results.summaries.rights import rights_of
from results.summaries.signed_in import SignedIn, signed_in

P = ParamSpec("P")
View = Callable[Concatenate[HttpRequest, P], HttpResponseBase]
_GROUP, _SLIP = "group_id", "slip"
# A working day and its evening: staff see grades and assigned values, and rooms have
# computers that many use.
_STAFF_STAY = timedelta(hours=12)
_BACKEND = "django.contrib.auth.backends.ModelBackend"
SIGN_IN = marked("Sign in with the code on your newest slip.")


def wants_json(request: HttpRequest) -> bool:
    """Whether a script of the page asks, which shows pages to nobody."""
    return request.headers.get("Accept") == "application/json"


def sign_in(request: HttpRequest, by_slip: intake.SignedInBySlip) -> None:
    """Remember the group in a session of its own."""
    # Who brings no key is given a new one anyway, when the session is stored.
    if request.session.session_key:
        request.session.cycle_key()
    request.session[_GROUP] = by_slip.group_id
    request.session[_SLIP] = by_slip.mark


def sign_staff_in(request: HttpRequest, user: User) -> None:
    """Remember a member of staff until the day is over, in a session of its own."""
    login(request, user, backend=_BACKEND)
    request.session.set_expiry(_STAFF_STAY)


def is_ours(request: HttpRequest, wanted: str) -> bool:
    """Whether an address that somebody asks to be sent to is one of this site."""
    return url_has_allowed_host_and_scheme(
        wanted,
        allowed_hosts={request.get_host()},
        require_https=request.is_secure(),
    )


def address_of(request: HttpRequest) -> str:
    """Return the network address of a caller, by the rule that the API goes by."""
    return str(BaseThrottle().get_ident(request))  # type: ignore[arg-type]


def signed_in_group(request: HttpRequest) -> SignedIn | None:
    """Return the group whose slip is still in use; one query if there is one."""
    group_id, slip = request.session.get(_GROUP), request.session.get(_SLIP)
    return signed_in(group_id, slip) if group_id and slip else None


def for_groups(
    view: Callable[Concatenate[HttpRequest, SignedIn, P], HttpResponseBase],
) -> View[P]:
    """Hand the signed-in group to a view, or ask for a slip code."""

    @wraps(view)
    def inner(
        request: HttpRequest, /, *args: P.args, **kwargs: P.kwargs
    ) -> HttpResponseBase:
        who = signed_in_group(request)
        if who is None:
            if wants_json(request):
                return JsonResponse({"sentence": tell(SIGN_IN)}, status=401)
            if _GROUP in request.session:
                request.session.flush()
                messages.info(request, tell(SIGN_IN))
            return redirect("home")
        return refusing(view)(request, who, *args, **kwargs)

    return inner


def for_staff(
    view: Callable[Concatenate[HttpRequest, Rights, P], HttpResponseBase],
) -> View[P]:
    """Hand a member of staff's rights to a view, or ask to sign in."""

    @wraps(view)
    def inner(
        request: HttpRequest, /, *args: P.args, **kwargs: P.kwargs
    ) -> HttpResponseBase:
        # Nobody without a number comes past login_required.
        rights = rights_of(request.user.pk or 0)
        return refusing(view)(request, rights, *args, **kwargs)

    return login_required(inner)


def refusing(view: Callable[..., HttpResponseBase]) -> Callable[..., HttpResponseBase]:
    """Turn a refusal that a view does not handle into a page with its sentence."""

    @wraps(view)
    def inner(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        try:
            return view(request, *args, **kwargs)
        except NotFound as refusal:
            return _refusal_page(request, refusal, status=404)
        except Refusal as refusal:
            return _refusal_page(request, refusal, status=422)

    return inner


def _refusal_page(
    request: HttpRequest, refusal: Refusal, *, status: int
) -> HttpResponse:
    return render(
        request, "frontend/refusal.html", {"sentence": refusal.sentence}, status=status
    )
