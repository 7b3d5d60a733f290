"""The page of the background work of a course."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from frontend.doors import for_staff
from frontend.working import work_page
from results.policy.access import Rights
from results.summaries.work import course_work


@never_cache
@require_safe
@for_staff
def work(request: HttpRequest, rights: Rights, course_code: str) -> HttpResponse:
    """Show what waits, what is set aside and how fast it goes."""
    return _page(request, rights, course_code, "frontend/work.html")


@never_cache
@require_safe
@for_staff
def now(request: HttpRequest, rights: Rights, course_code: str) -> HttpResponse:
    """Show the part of the page that changes."""
    return _page(request, rights, course_code, "frontend/_work.html")


def _page(
    request: HttpRequest, rights: Rights, course_code: str, template: str
) -> HttpResponse:
    found = course_work(course_code, rights=rights, now=timezone.now())
    return render(request, template, {"course": found, "page": work_page(found)})
