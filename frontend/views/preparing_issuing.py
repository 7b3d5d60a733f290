"""Pages on which vials are planned, issued, and listed for the benches."""

import secrets

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from frontend.doors import for_staff
from frontend.preparing.issuing import PlanPage, plan_page
from frontend.preparing.issuing_form import issuing_form, wish_of
from frontend.views.grading import actor_of
from results.issuing import issue_by_plan, preview_plan
from results.policy.access import Rights
from results.policy.issuing import MOST_SEED, CannotIssue, IssuingWish, PlanChanged
from results.policy.refusals import NotAdmitted, NothingChosen
from results.summaries.course import check_coordinated
from results.summaries.preparing.issue_book import issue_book


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@for_staff
def issuing(request: HttpRequest, rights: Rights, course_code: str) -> HttpResponse:
    """Ask for a plan, show it, or issue by it."""
    if request.method != "POST":
        return _page(request, rights, course_code)
    check_coordinated(course_code, rights=rights)
    try:
        wish = wish_of(request.POST)
        if "issue" in request.POST:
            return _issue(request, rights, course_code, wish)
        plan = preview_plan(course_code, wish, rights=rights, now=timezone.now())
    except NotAdmitted as refusal:
        wrong = {str(one.where[0]): one.message for one in refusal.problems}
        return _page(request, rights, course_code, wrong=wrong)
    except (PlanChanged, CannotIssue, NothingChosen) as refusal:
        return _page(request, rights, course_code, refused=refusal.sentence)
    return _page(request, rights, course_code, plan=plan_page(plan))


def _issue(
    request: HttpRequest, rights: Rights, course_code: str, wish: IssuingWish
) -> HttpResponse:
    done = issue_by_plan(
        course_code,
        wish,
        seen=request.POST.get("seen", ""),
        actor=actor_of(request, rights),
        now=timezone.now(),
    )
    messages.success(
        request,
        f"Issued {done.n_vials} vials with seed {wish.seed}; {done.n_sent} groups are "
        "sent to a station.",
    )
    return redirect("prepare-issue-list", course_code)


def _page(
    request: HttpRequest,
    rights: Rights,
    course_code: str,
    *,
    plan: PlanPage | None = None,
    wrong: dict[str, str] | None = None,
    refused: str = "",
) -> HttpResponse:
    book = issue_book(course_code, rights=rights, now=timezone.now())
    typed = request.POST if request.method == "POST" else request.GET
    context = {
        "book": book,
        "form": issuing_form(
            book, typed, seed=secrets.randbelow(MOST_SEED), wrong=wrong or {}
        ),
        "page": plan,
        "refused": refused,
        "now": timezone.now(),
    }
    status = 422 if wrong else 409 if refused else 200
    return render(request, "frontend/preparing/issuing.html", context, status=status)


@never_cache
@require_safe
@for_staff
def issue_list(request: HttpRequest, rights: Rights, course_code: str) -> HttpResponse:
    """Show who holds which vial, ready to be printed for the benches."""
    now = timezone.now()
    book = issue_book(course_code, rights=rights, now=now)
    context = {"book": book, "now": now}
    return render(request, "frontend/preparing/issue_list.html", context)
