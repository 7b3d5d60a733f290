"""A group's pages: the bench sheet and its results."""

from collections.abc import Mapping
from dataclasses import asdict
from uuid import uuid4

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import (
    require_http_methods,
    require_POST,
    require_safe,
)

from frontend.cautions import with_usual_cautions
from frontend.doors import for_groups, wants_json
from frontend.pictures import PLATE, common_extent, draw
from frontend.sheet_form import READINGS_ANCHOR, SheetForm, own_boxes, sheet_form
from frontend.stickers import follow_sticker, noted_address
from frontend.typed_sheet import (
    TypedSheet,
    from_form,
    from_record,
    to_raw,
    with_draft,
)
from results import intake
from results.policy.drafts import read_pressed
from results.policy.language import marked, tell
from results.policy.refusals import KeyReused, NotAdmitted, Problem, Refusal
from results.policy.typed import OWN_FIELDS
from results.summaries.bench import BenchSheet, bench_sheet
from results.summaries.concentrations import line_rules
from results.summaries.drafts import unsent_values
from results.summaries.group import GroupResult, own_result, own_submissions
from results.summaries.signed_in import SignedIn

_SENT_ALREADY = marked(
    "This sheet was received once already, with other numbers. Look it through, then "
    "send it again: it will count as your next revision.",
)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@for_groups
def bench(request: HttpRequest, who: SignedIn) -> HttpResponse:
    """Show the sheet, or take what was typed on it."""
    if request.method == "POST":
        return _take(request, who)
    if noted := noted_address(request):
        return redirect(noted)
    sheet = bench_sheet(who.group_id, now=timezone.now())
    if sheet is None:
        return render(request, "frontend/no_protocol.html", status=503)
    typed = with_draft(from_record(sheet), unsent_values(who.group_id))
    typed = follow_sticker(request, sheet, typed)
    page = _sheet_page(request, who, sheet, typed, key=str(uuid4()))
    # The phone holds this page, and no other, for when there is no network.
    page["Bench-Sheet"] = "1"
    return page


def _take(request: HttpRequest, who: SignedIn) -> HttpResponse:
    label = str(who.label)
    if request.POST.get("for_group", label) != label:
        return _of_another_group(request, label)
    typed, key = from_form(request.POST), request.POST.get("key") or str(uuid4())
    try:
        accepted = intake.accept_submission(
            group_id=who.group_id,
            raw=to_raw(typed),
            source="page",
            idempotency_key=key[:120],
            received_at=timezone.now(),
            pressed=read_pressed(typed.get("phone"), typed.get("pressed_ms")),
        )
    except Refusal as refusal:
        return _sheet_again(request, who, typed, refusal)
    url = reverse("bench-result", args=[accepted.revision])
    if wants_json(request):
        return JsonResponse({"revision": accepted.revision, "url": url}, status=201)
    return redirect(url)


def _of_another_group(request: HttpRequest, label: str) -> HttpResponse:
    if wants_json(request):
        return JsonResponse({"group": label}, status=409)
    sentence = tell(
        "Somebody else is signed in on this phone by now. Sign in with your own slip, "
        "then send again."
    )
    return render(request, "frontend/refusal.html", {"sentence": sentence}, status=409)


def _sheet_again(
    request: HttpRequest, who: SignedIn, typed: TypedSheet, refusal: Refusal
) -> HttpResponse:
    sheet = bench_sheet(who.group_id, now=timezone.now())
    if sheet is None:
        raise refusal
    key = request.POST.get("key") or str(uuid4())
    problems: tuple[Problem, ...] = (Problem((READINGS_ANCHOR,), refusal.sentence),)
    if isinstance(refusal, NotAdmitted):
        problems = refusal.problems
    elif isinstance(refusal, KeyReused):
        problems = (Problem((READINGS_ANCHOR,), tell(_SENT_ALREADY)),)
        key = str(uuid4())
    return _sheet_page(request, who, sheet, typed, key=key, problems=problems)


def _sheet_page(
    request: HttpRequest,
    who: SignedIn,
    sheet: BenchSheet,
    typed: TypedSheet,
    *,
    key: str,
    problems: tuple[Problem, ...] = (),
) -> HttpResponse:
    rules = line_rules(sheet.course)
    form = sheet_form(
        sheet,
        typed,
        key=key,
        factors={tube: one.factor for tube, one in rules.standards.items()},
        problems=problems,
    )
    if problems and wants_json(request):
        return _problems_for_the_script(request, form)
    revision = sheet.typed_before.revision + 1 if sheet.typed_before else 1
    context = {
        "sheet": sheet,
        "form": form,
        "revision": revision,
        "line_rules": asdict(rules),
        "seen": str(who.sheet),
        "cautions": with_usual_cautions(sheet.cautions),
    }
    status = 422 if problems else 200
    return render(request, "frontend/bench.html", context, status=status)


def _problems_for_the_script(request: HttpRequest, form: SheetForm) -> HttpResponse:
    html = render_to_string("frontend/_problems.html", {"form": form}, request)
    problems = [asdict(problem) for problem in form.problems]
    return JsonResponse({"html": html, "problems": problems}, status=422)


@never_cache
@require_safe
@for_groups
def result(
    request: HttpRequest, who: SignedIn, revision: int | None = None
) -> HttpResponse:
    """Show what became of a submission."""
    found = own_result(who.group_id, now=timezone.now(), revision=revision)
    if found is None:
        return redirect("bench-sheet")
    return _result_page(request, who, found)


@never_cache
@require_POST
@for_groups
def own_answer(request: HttpRequest, who: SignedIn) -> HttpResponse:
    """Take the group's own worked answer for readings that it sent before."""
    own = {name: request.POST.get(name, "") for name in OWN_FIELDS}
    now = timezone.now()
    try:
        accepted = intake.add_worked_answer(
            group_id=who.group_id,
            own=own,
            idempotency_key=(request.POST.get("key") or str(uuid4()))[:120],
            received_at=now,
        )
    except (NotAdmitted, KeyReused) as refusal:
        found = own_result(who.group_id, now=now)
        if found is None:
            raise
        return _result_page(request, who, found, own, refusal)
    return redirect("bench-result", accepted.revision)


def _result_page(
    request: HttpRequest,
    who: SignedIn,
    found: GroupResult,
    own: Mapping[str, str] | None = None,
    refusal: Refusal | None = None,
) -> HttpResponse:
    context = _result_context(found, own, refusal) | {
        "label": who.label,
        "submissions": own_submissions(who.group_id),
    }
    status = 422 if refusal else 200
    return render(request, "frontend/result.html", context, status=status)


@never_cache
@require_safe
@for_groups
def result_state(request: HttpRequest, who: SignedIn, revision: int) -> HttpResponse:
    """Show the part of the result page that changes."""
    found = own_result(who.group_id, now=timezone.now(), revision=revision)
    if found is None:
        return redirect("bench-sheet")
    return render(request, "frontend/_result.html", _result_context(found))


def _result_context(
    found: GroupResult,
    own: Mapping[str, str] | None = None,
    refusal: Refusal | None = None,
) -> dict[str, object]:
    line = found.line
    problems = refusal.problems if isinstance(refusal, NotAdmitted) else ()
    return {
        "result": found,
        "own": own_boxes(own or {}, problems),
        "own_refused": refusal.sentence if refusal else "",
        "key": str(uuid4()),
        "drawing": draw(line, common_extent([line]), PLATE) if line else None,
    }
