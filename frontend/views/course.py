"""Pages of coordinators: a whole course, its repairs and its imports."""

from collections.abc import Callable
from typing import TypeVar, cast

from csp.constants import SELF, UNSAFE_INLINE
from csp.decorators import csp_update
from django.contrib import messages
from django.http import (
    HttpRequest,
    HttpResponse,
    HttpResponseBase,
    StreamingHttpResponse,
)
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from frontend.answers_csv import csv_lines
from frontend.comparison import compare, furthest_off, furthest_slopes
from frontend.doors import for_staff
from frontend.figures import findings_figure, recovery_figure, slopes_figure
from frontend.pressed import row_number
from results import intake
from results.exports import answer_rows
from results.intake import TableReport
from results.policy.access import Rights
from results.policy.refusals import Refusal
from results.policy.tables import LARGEST_BYTES
from results.summaries.course import CourseSummary, check_coordinated, course_summary

ViewT = TypeVar("ViewT", bound=Callable[..., HttpResponseBase])


def drawn_page(view: ViewT) -> ViewT:
    """Let the drawing library write its style sheet into a view's page."""
    return cast("ViewT", csp_update({"style-src": [SELF, UNSAFE_INLINE]})(view))


@never_cache
@require_safe
@drawn_page
@for_staff
def course(request: HttpRequest, rights: Rights, course_code: str) -> HttpResponse:
    """Show a course as its coordinator sees it."""
    return _page(request, course_summary(course_code, rights=rights))


@never_cache
@require_safe
@for_staff
def answers(
    request: HttpRequest,  # noqa: ARG001
    rights: Rights,
    course_code: str,
) -> StreamingHttpResponse:
    """Hand the answers of a course over as a file."""
    check_coordinated(course_code, rights=rights)
    return StreamingHttpResponse(
        csv_lines(answer_rows(course_code)),
        content_type="text/csv; charset=utf-8",
        headers={
            "Content-Disposition": f'attachment; filename="{course_code}-answers.csv"'
        },
    )


@never_cache
@require_POST
@for_staff
def retry(request: HttpRequest, rights: Rights, course_code: str) -> HttpResponse:
    """Put submissions that were set aside back in the queue."""
    check_coordinated(course_code, rights=rights)
    ids = [row_number(pk) for pk in request.POST.getlist("pending")]
    count = intake.retry(ids, rights=rights, now=timezone.now())
    noun = "submission is" if count == 1 else "submissions are"
    messages.success(request, f"{count} {noun} being tried again.")
    return redirect("course", course_code)


@never_cache
@require_POST
@drawn_page
@for_staff
def import_table(
    request: HttpRequest, rights: Rights, course_code: str
) -> HttpResponseBase:
    """Take a table of readings."""
    summary = course_summary(course_code, rights=rights)
    table = request.FILES.get("table")
    if table is None:
        return _page(request, summary, refused="Choose a file first.", status=422)
    try:
        report = intake.import_readings(
            course_code=course_code,
            # One byte more than is allowed tells that there is more.
            text=table.read(LARGEST_BYTES + 1),
            create="create" in request.POST,
            keep_good="keep_good" in request.POST,
            now=timezone.now(),
        )
    except Refusal as refusal:
        return _page(request, summary, refused=refusal.sentence, status=422)
    if report.problems:
        status = 200 if report.imported else 422
        return _page(request, summary, report=report, status=status)
    messages.success(
        request,
        f"Received {report.n_readings} readings of {report.n_groups} groups.",
    )
    return redirect("course", course_code)


def _page(
    request: HttpRequest,
    summary: CourseSummary,
    *,
    report: TableReport | None = None,
    refused: str = "",
    status: int = 200,
) -> HttpResponse:
    comparison = compare(summary)
    context = {
        "course": summary,
        "comparison": comparison,
        "slopes_figure": slopes_figure(summary),
        "recovery_figure": recovery_figure(summary, comparison),
        "recoveries": furthest_off(summary.recoveries),
        "slopes": furthest_slopes(summary),
        "bench_figure": findings_figure(summary.at_the_bench),
        "paper_figure": findings_figure(summary.on_paper),
        "report": report,
        "refused": refused,
        "now": timezone.now(),
    }
    return render(request, "frontend/course.html", context, status=status)
