"""Grades that leave the page: on paper, as tables, as a package of the standard."""

from dataclasses import replace

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from frontend.doors import for_staff
from frontend.grading_page import grading_page
from results.exports import (
    grade_rows,
    grades_csv,
    grades_workbook,
    oneroster_package,
)
from results.policy.access import Rights
from results.summaries.entries import section_entry
from results.summaries.grading import by_code, grading_board

_XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def _named(section_id: int, rights: Rights, ending: str) -> dict[str, str]:
    entry = section_entry(section_id, rights=rights)
    safe = "".join(c if c.isalnum() else "-" for c in f"{entry.course}-{entry.section}")
    name = safe.encode("ascii", "replace").decode().replace("?", "-")
    return {"Content-Disposition": f'attachment; filename="{name}-{ending}"'}


@never_cache
@require_safe
@for_staff
def as_csv(
    request: HttpRequest,  # noqa: ARG001
    rights: Rights,
    section_id: int,
) -> HttpResponse:
    """Hand a section's grades over as CSV."""
    headers = _named(section_id, rights, "grades.csv")
    content = grades_csv(grade_rows(section_id, rights=rights))
    return HttpResponse(
        content, content_type="text/csv; charset=utf-8", headers=headers
    )


@never_cache
@require_safe
@for_staff
def as_xlsx(
    request: HttpRequest,  # noqa: ARG001
    rights: Rights,
    section_id: int,
) -> HttpResponse:
    """Hand a section's grades over as a workbook."""
    headers = _named(section_id, rights, "grades.xlsx")
    content = grades_workbook(grade_rows(section_id, rights=rights))
    return HttpResponse(content, content_type=_XLSX, headers=headers)


@never_cache
@require_safe
@for_staff
def as_oneroster(
    request: HttpRequest,  # noqa: ARG001
    rights: Rights,
    section_id: int,
) -> HttpResponse:
    """Hand a section's released grades over as a OneRoster package."""
    headers = _named(section_id, rights, "oneroster.zip")
    content = oneroster_package(section_id, rights=rights, now=timezone.now())
    return HttpResponse(content, content_type="application/zip", headers=headers)


@never_cache
@require_safe
@for_staff
def report(request: HttpRequest, rights: Rights, section_id: int) -> HttpResponse:
    """Show a section's grades as they go on paper."""
    board, now = grading_board(section_id, rights=rights), timezone.now()
    board = replace(board, rows=tuple(sorted(board.rows, key=by_code)))
    page = grading_page(board, show="all", now=now)
    context = {"board": board, "page": page, "now": now}
    return render(request, "frontend/grading_report.html", context)
