"""Groups sign in and out."""

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from frontend import doors
from results import intake
from results.policy.language import tell
from results.policy.refusals import NotAdmitted
from results.summaries.group import group_label


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def home(request: HttpRequest) -> HttpResponse:
    """Sign a group in with the code on its slip."""
    if request.method == "POST":
        return _sign_in(request)
    if doors.signed_in_group(request) is not None:
        return redirect("bench-sheet")
    return render(request, "frontend/home.html", {"typed": "", "problem": ""})


def _sign_in(request: HttpRequest) -> HttpResponse:
    now, address = timezone.now(), doors.address_of(request)
    typed = request.POST.get("slip_code", "")
    if intake.seconds_to_wait(address, now=now):
        return _again(request, typed, tell(intake.TOO_MANY), status=429)
    try:
        signed_in = intake.sign_in_group(typed)
    except NotAdmitted as refusal:
        intake.count_wrong_try(address, now=now)
        return _again(request, typed, refusal.problems[0].message, status=422)
    doors.sign_in(request, signed_in)
    if doors.wants_json(request):
        return JsonResponse({"group": str(group_label(signed_in.group_id))})
    return redirect("bench-sheet")


def _again(
    request: HttpRequest, typed: str, problem: str, *, status: int
) -> HttpResponse:
    if doors.wants_json(request):
        return JsonResponse({"sentence": problem}, status=status)
    context = {"typed": typed, "problem": problem}
    return render(request, "frontend/home.html", context, status=status)


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    """Sign the group out."""
    request.session.flush()
    return redirect("home")
