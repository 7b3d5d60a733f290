"""A group's pages: the bench sheet and its results."""

from uuid import uuid4

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from frontend.cautions import with_usual_cautions
from frontend.doors import for_groups
from frontend.pictures import PLATE, common_extent, draw
from frontend.sheet_form import READINGS_ANCHOR, sheet_form
from frontend.stickers import follow_sticker, noted_address
from frontend.typed_sheet import TypedSheet, from_form, from_record, to_raw
from results import intake
from results.policy.language import marked, tell
from results.policy.refusals import KeyReused, NotAdmitted, Problem, Refusal
from results.summaries.bench import BenchSheet, bench_sheet
from results.summaries.concentrations import standard_factors
from results.summaries.group import (
    GroupResult,
    group_label,
    own_result,
    own_submissions,
)

_SENT_ALREADY = marked(
    "This sheet was received once already, with other numbers. Look it through, then "
    "send it again: it will count as your next revision.",
)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@for_groups
def bench(request: HttpRequest, group_id: int) -> HttpResponse:
    """Show the sheet, or take what was typed on it."""
    if request.method == "POST":
        return _take(request, group_id)
    if noted := noted_address(request):
        return redirect(noted)
    sheet = bench_sheet(group_id, now=timezone.now())
    if sheet is None:
        return render(request, "frontend/no_protocol.html", status=503)
    typed = follow_sticker(request, sheet, from_record(sheet))
    return _sheet_page(request, sheet, typed, key=str(uuid4()))


def _take(request: HttpRequest, group_id: int) -> HttpResponse:
    typed, key = from_form(request.POST), request.POST.get("key") or str(uuid4())
    try:
        accepted = intake.accept_submission(
            group_id=group_id,
            raw=to_raw(typed),
            source="page",
            idempotency_key=key[:120],
            received_at=timezone.now(),
        )
    except Refusal as refusal:
        return _sheet_again(request, group_id, typed, refusal)
    url = reverse("bench-result", args=[accepted.revision])
    if request.headers.get("Accept") == "application/json":
        return JsonResponse({"revision": accepted.revision, "url": url}, status=201)
    return redirect(url)


def _sheet_again(
    request: HttpRequest, group_id: int, typed: TypedSheet, refusal: Refusal
) -> HttpResponse:
    sheet = bench_sheet(group_id, now=timezone.now())
    if sheet is None:
        raise refusal
    key = request.POST.get("key") or str(uuid4())
    problems: tuple[Problem, ...] = (Problem((READINGS_ANCHOR,), refusal.sentence),)
    if isinstance(refusal, NotAdmitted):
        problems = refusal.problems
    elif isinstance(refusal, KeyReused):
        problems = (Problem((READINGS_ANCHOR,), tell(_SENT_ALREADY)),)
        key = str(uuid4())
    return _sheet_page(request, sheet, typed, key=key, problems=problems, status=422)


def _sheet_page(
    request: HttpRequest,
    sheet: BenchSheet,
    typed: TypedSheet,
    *,
    key: str,
    problems: tuple[Problem, ...] = (),
    status: int = 200,
) -> HttpResponse:
    form = sheet_form(
        sheet,
        typed,
        key=key,
        factors=standard_factors(sheet.course),
        problems=problems,
    )
    revision = sheet.typed_before.revision + 1 if sheet.typed_before else 1
    context = {
        "sheet": sheet,
        "form": form,
        "revision": revision,
        "cautions": with_usual_cautions(sheet.cautions),
    }
    return render(request, "frontend/bench.html", context, status=status)


@never_cache
@require_safe
@for_groups
def result(
    request: HttpRequest, group_id: int, revision: int | None = None
) -> HttpResponse:
    """Show what became of a submission."""
    found = own_result(group_id, now=timezone.now(), revision=revision)
    if found is None:
        return redirect("bench-sheet")
    context = _result_context(found) | {
        "label": group_label(group_id),
        "submissions": own_submissions(group_id),
    }
    return render(request, "frontend/result.html", context)


@never_cache
@require_safe
@for_groups
def result_state(request: HttpRequest, group_id: int, revision: int) -> HttpResponse:
    """Show the part of the result page that changes."""
    found = own_result(group_id, now=timezone.now(), revision=revision)
    if found is None:
        return redirect("bench-sheet")
    return render(request, "frontend/_result.html", _result_context(found))


def _result_context(found: GroupResult) -> dict[str, object]:
    line = found.line
    return {
        "result": found,
        "drawing": draw(line, common_extent([line]), PLATE) if line else None,
    }
