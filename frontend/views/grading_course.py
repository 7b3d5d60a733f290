"""Pages of coordinators: the grading scheme, and allowances."""

from collections.abc import Mapping
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from frontend.doors import for_staff
from frontend.pressed import Answered, row_number
from frontend.scheme_form import from_document, scheme_form, to_document
from frontend.views.grading import actor_of
from results import grading
from results.policy.access import Rights
from results.policy.marking import DEFAULT_DOCUMENT, AllowanceKind, read_points
from results.policy.marking.refusals import BadGrade, CannotGrade
from results.policy.refusals import NotAdmitted, NotFound, Refusal
from results.summaries.grading_course import course_allowances, course_scheme
from results.summaries.previews import (
    Draft,
    Preview,
    allowance_preview,
    scheme_preview,
)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@for_staff
def scheme(request: HttpRequest, rights: Rights, course_code: str) -> HttpResponse:
    """Show the grading scheme, who would move under another one, or adopt it."""
    if request.method != "POST":
        found = course_scheme(course_code, rights=rights)
        values = from_document(found.document or DEFAULT_DOCUMENT)
        return _scheme_page(request, rights, course_code, values, Answered())
    if "show" in request.POST:
        shown, actor = "error_shown" in request.POST, actor_of(request, rights)
        grading.show_errors(course_code, shown=shown, actor=actor)
        messages.success(request, "Kept.")
        return redirect("grading-scheme", course_code)
    values = {key: str(value) for key, value in request.POST.items()}
    document = to_document(values)
    try:
        if "adopt" in request.POST:
            return _adopt(request, rights, course_code, document)
        preview = scheme_preview(course_code, document, rights=rights)
        answered = Answered(preview=preview)
    except NotAdmitted as refusal:
        answered = Answered(problems=refusal.problems)
    except CannotGrade as refusal:
        answered = Answered(refused=refusal.sentence)
    return _scheme_page(request, rights, course_code, values, answered)


def _adopt(
    request: HttpRequest, rights: Rights, course_code: str, document: dict[str, Any]
) -> HttpResponse:
    adopted = grading.adopt_grading_scheme(
        course_code,
        document,
        seen_version=row_number(request.POST.get("seen", "")),
        actor=actor_of(request, rights),
        now=timezone.now(),
    )
    messages.success(
        request,
        f"Version {adopted.version} is in force; {adopted.n_changed} grades are "
        "suggested or proposed anew.",
    )
    return redirect("grading-scheme", course_code)


def _scheme_page(
    request: HttpRequest,
    rights: Rights,
    course_code: str,
    values: Mapping[str, str],
    answered: Answered,
) -> HttpResponse:
    context = {
        "course": course_scheme(course_code, rights=rights),
        "form": scheme_form(values, answered.problems),
        "preview": answered.preview,
        "n_problems": len(answered.problems),
        "refused": answered.refused,
        "now": timezone.now(),
    }
    return render(
        request, "frontend/grading_scheme.html", context, status=answered.status
    )


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@for_staff
def allowances(request: HttpRequest, rights: Rights, course_code: str) -> HttpResponse:
    """Show what was allowed, who would change by one more, or grant it."""
    if request.method != "POST":
        return _allowances_page(request, rights, course_code, {})
    typed = request.POST.dict()
    draft = _draft(typed)
    try:
        if "grant" in request.POST:
            return _grant(request, rights, course_code, draft)
        preview = allowance_preview(course_code, draft, rights=rights)
    except (BadGrade, CannotGrade, NotFound) as refusal:
        course_allowances(course_code, rights=rights)
        return _allowances_page(request, rights, course_code, typed, refusal=refusal)
    return _allowances_page(request, rights, course_code, typed, preview=preview)


def _draft(typed: Mapping[str, str]) -> Draft:
    for_what, _, number = typed.get("target", "").partition(":")
    amount = read_points(typed.get("amount", ""))
    return Draft(
        for_what=for_what,
        target_id=row_number(number),
        kind=typed.get("kind", ""),
        amount=None if amount is None else float(amount),
        reason=typed.get("reason", "").strip(),
    )


def _grant(
    request: HttpRequest, rights: Rights, course_code: str, draft: Draft
) -> HttpResponse:
    granted = grading.grant_allowance(
        course_code,
        draft,
        seen=request.POST.get("seen", ""),
        actor=actor_of(request, rights),
        now=timezone.now(),
    )
    messages.success(request, f"Granted; {granted.n_changed} grades change.")
    return redirect("allowances", course_code)


def _allowances_page(
    request: HttpRequest,
    rights: Rights,
    course_code: str,
    typed: Mapping[str, str],
    *,
    preview: Preview | None = None,
    refusal: Refusal | None = None,
) -> HttpResponse:
    names = ("target", "kind", "amount", "reason")
    context = {
        "course": course_allowances(course_code, rights=rights),
        "kinds": [(kind.value, kind.label) for kind in AllowanceKind],
        "typed": {name: typed.get(name, "") for name in names},
        "preview": preview,
        "refused": refusal.sentence if refusal else "",
        "now": timezone.now(),
    }
    status = 409 if isinstance(refusal, CannotGrade) else 422 if refusal else 200
    return render(request, "frontend/allowances.html", context, status=status)
