"""Pages on which lots are made, measured, given their value, and retired."""

from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from frontend.doors import for_staff
from frontend.preparing.lot_page import LotAnswer, lot_page, sigma_typed
from frontend.pressed import row_number
from frontend.views.grading import actor_of
from results import grading, issuing
from results.grading import Actor
from results.policy.access import Rights
from results.policy.marking.refusals import CannotGrade
from results.policy.moments import read_moment
from results.policy.refusals import NotAdmitted, Problem
from results.summaries.preparing.lots import lot_sheet, prepared_lots
from results.summaries.value_preview import value_preview


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@for_staff
def lots(request: HttpRequest, rights: Rights, course_code: str) -> HttpResponse:
    """Show the lots of a course, or make some."""
    wrong, typed = "", request.POST.get("codes", "")
    if request.method == "POST":
        try:
            made = issuing.make_lots(
                course_code, typed, actor=actor_of(request, rights)
            )
        except NotAdmitted as refusal:
            wrong = refusal.problems[0].message
        else:
            messages.success(request, f"Made: {', '.join(made)}.")
            return redirect("prepare-lots", course_code)
    context = {
        "course": prepared_lots(course_code, rights=rights),
        "typed": typed,
        "wrong": wrong,
        "now": timezone.now(),
    }
    status = 422 if wrong else 200
    return render(request, "frontend/preparing/lots.html", context, status=status)


@dataclass(frozen=True, slots=True)
class _Asked:
    """What a press on the page of a lot asks for."""

    course: str
    lot_id: int
    typed: Mapping[str, str]
    actor: Actor
    now: datetime

    @property
    def assay_id(self) -> int:
        return row_number(self.typed.get("assay", ""))

    @property
    def reason(self) -> str:
        return self.typed.get("reason", "")


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@for_staff
def lot(
    request: HttpRequest, rights: Rights, course_code: str, lot_id: int
) -> HttpResponse:
    """Show all that is known of a lot, or do one thing to it."""
    typed = request.POST.dict() or request.GET.dict()
    answer = LotAnswer()
    if request.method == "POST":
        who, now = actor_of(request, rights), timezone.now()
        asked = _Asked(course_code, lot_id, typed, who, now)
        try:
            if typed.get("deed") != "preview":
                messages.success(request, _DEEDS[typed.get("deed", "")](asked))
                return redirect("prepare-lot", course_code, lot_id)
            answer = _preview(asked)
        except KeyError:
            answer = LotAnswer(refused="Press one of the buttons of this page.")
        except NotAdmitted as refusal:
            answer = LotAnswer(problems=refusal.problems)
        except CannotGrade as refusal:
            answer = LotAnswer(refused=refusal.sentence)
    return _lot_page(request, rights, (course_code, lot_id), typed, answer)


def _lot_page(
    request: HttpRequest,
    rights: Rights,
    place: tuple[str, int],
    typed: Mapping[str, str],
    answer: LotAnswer,
) -> HttpResponse:
    course_code, lot_id = place
    now = timezone.now()
    sigma = sigma_typed(typed)
    sheet = lot_sheet(course_code, lot_id, sigma_percent=sigma.percent, rights=rights)
    context = {"page": lot_page(sheet, sigma, typed, answer, now=now), "now": now}
    return render(request, "frontend/preparing/lot.html", context, status=answer.status)


def _wanted(asked: _Asked) -> grading.FromRecord:
    """Return which record is to give the value, from when on.

    Raises
    ------
    NotAdmitted
        There is no moment.
    """
    moment = None
    with suppress(ValueError):
        zone = timezone.get_current_timezone()
        moment = read_moment(asked.typed.get("valid_from", ""), zone)
    if moment is None:
        said = "Give the day and time from which it holds, as 2025-03-04T14:00."
        raise NotAdmitted([Problem(("valid_from",), said)])
    return grading.FromRecord(
        asked.lot_id,
        asked.assay_id,
        moment,
        with_vials="with_vials" in asked.typed,
    )


def _preview(asked: _Asked) -> LotAnswer:
    rights = asked.actor.rights
    value = grading.value_of_record(asked.course, _wanted(asked), rights=rights)
    preview = value_preview(asked.course, value, rights=rights)
    return LotAnswer(value=value, preview=preview)


def _assign(asked: _Asked) -> str:
    done = grading.assign_from_record(
        asked.course,
        _wanted(asked),
        reason=asked.reason,
        seen=asked.typed.get("seen", ""),
        actor=asked.actor,
        now=asked.now,
    )
    return (
        f"Assigned; {done.n_grades} grades follow or wait as proposals, "
        f"{done.n_submissions} submissions are being computed anew."
    )


def _set_aside(asked: _Asked) -> str:
    counts = asked.typed.get("deed") == "count"
    issuing.set_aside_result(
        asked.course,
        (asked.assay_id, row_number(asked.typed.get("place", ""))),
        counts=counts,
        why=asked.typed.get("why", ""),
        actor=asked.actor,
        now=asked.now,
    )
    return "It counts again." if counts else "Set aside; the former record is kept."


def _withdraw(asked: _Asked) -> str:
    issuing.withdraw_assay(
        asked.course,
        asked.assay_id,
        reason=asked.reason,
        actor=asked.actor,
        now=asked.now,
    )
    return "Withdrawn; it is kept among the former records."


def _retire(asked: _Asked) -> str:
    issuing.retire_lot(
        asked.course,
        asked.lot_id,
        reason=asked.reason,
        actor=asked.actor,
        now=asked.now,
    )
    return "Retired. No vial of it is given out any more; what groups have counts on."


def _use_again(asked: _Asked) -> str:
    issuing.use_lot_again(asked.course, asked.lot_id, actor=asked.actor)
    return "In use again."


_DEEDS: Mapping[str, Callable[[_Asked], str]] = {
    "assign": _assign,
    "aside": _set_aside,
    "count": _set_aside,
    "withdraw": _withdraw,
    "retire": _retire,
    "again": _use_again,
}
