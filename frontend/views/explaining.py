"""Pages that show how one answer came about, and what all answers rest on."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from frontend.budgets import budget_picture
from frontend.doors import for_staff
from frontend.explained import facts_of, headline
from frontend.histograms import histogram, verdict
from results.explaining import check_answer, explain_answer, tolerances_of_course
from results.policy.access import Rights


@never_cache
@require_safe
@for_staff
def computation(request: HttpRequest, rights: Rights, group_id: int) -> HttpResponse:
    """Show how a group's answer came about."""
    explanation = explain_answer(group_id, rights=rights)
    context = {
        "answer": explanation,
        "headline": headline(explanation),
        "budget": budget_picture(explanation.sources),
        "facts": facts_of(explanation),
        "now": timezone.now(),
    }
    return render(request, "frontend/computation.html", context)


@never_cache
@require_safe
@for_staff
def check(request: HttpRequest, rights: Rights, group_id: int) -> HttpResponse:
    """Show what drawing everything an answer rests on comes to."""
    explanation = explain_answer(group_id, rights=rights)
    drawn = check_answer(group_id, rights=rights)
    context = {
        "answer": explanation,
        "drawn": drawn,
        "histogram": histogram(explanation, drawn),
        "verdict": verdict(drawn),
        "now": timezone.now(),
    }
    return render(request, "frontend/computation_check.html", context)


@never_cache
@require_safe
@for_staff
def tolerances(request: HttpRequest, rights: Rights, course_code: str) -> HttpResponse:
    """Show every tolerance that a course's answers rest on."""
    found = tolerances_of_course(course_code, rights=rights)
    from_memory = sum("memory" in one.provenance for one in found.tolerances)
    context = {"found": found, "n_from_memory": from_memory, "now": timezone.now()}
    return render(request, "frontend/tolerances.html", context)
