"""The page on which vials are drawn, taken into the book, and retired."""

import secrets
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from frontend.doors import for_staff
from frontend.pressed import row_number
from frontend.views.grading import actor_of
from results import issuing
from results.grading import Actor
from results.policy.access import Rights
from results.policy.refusals import NotAdmitted, NotFound, Problem
from results.policy.tables import RowProblem
from results.summaries.course import check_coordinated
from results.summaries.preparing.vials import prepared_vials

_MOST_SHOWN = 48
_BOXES = ("lot", "n", "pasted", "labels", "reason")


class _RowsWrong(Exception):
    """A table of vials has problems; nothing was imported."""

    def __init__(self, problems: tuple[RowProblem, ...]) -> None:
        super().__init__()
        self.problems = problems


@dataclass(frozen=True, slots=True)
class _Asked:
    """What a press on the page asks for."""

    course: str
    typed: Mapping[str, str]
    actor: Actor
    now: datetime


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@for_staff
def vials(request: HttpRequest, rights: Rights, course_code: str) -> HttpResponse:
    """Show the vials of a course, or do one thing to some of them."""
    problems: tuple[Problem, ...] = ()
    rows: tuple[RowProblem, ...] = ()
    if request.method == "POST":
        check_coordinated(course_code, rights=rights)
        typed, who = request.POST.dict(), actor_of(request, rights)
        try:
            deed = _DEEDS.get(typed.get("deed", ""), _nothing)
            said = deed(_Asked(course_code, typed, who, timezone.now()))
            messages.success(request, said)
            return redirect("prepare-vials", course_code)
        except NotAdmitted as refusal:
            problems = refusal.problems
        except _RowsWrong as refusal:
            rows = refusal.problems
        except NotFound as refusal:
            problems = (Problem(("lot",), refusal.sentence),)
    context = {
        "course": prepared_vials(course_code, rights=rights),
        "typed": {name: request.POST.get(name, "") for name in _BOXES},
        "wrong": {str(one.where[0]): one.message for one in problems},
        "rows": rows,
        "now": timezone.now(),
    }
    status = 422 if problems or rows else 200
    return render(request, "frontend/preparing/vials.html", context, status=status)


def _draw(asked: _Asked) -> str:
    labels = issuing.draw_vials(
        asked.course,
        row_number(asked.typed.get("lot", "")),
        row_number(asked.typed.get("n", "").strip()),
        actor=asked.actor,
        draw_below=secrets.randbelow,
    )
    shown = f": {', '.join(labels)}" if len(labels) <= _MOST_SHOWN else ""
    return f"{len(labels)} vials drawn{shown}."


def _paste(asked: _Asked) -> str:
    text = asked.typed.get("pasted", "").encode()
    report = issuing.import_vials(
        course_code=asked.course, text=text, now=asked.now, revalue=False
    )
    if report.problems:
        raise _RowsWrong(report.problems)
    return (
        f"{report.n_vials} new vials, {report.n_lots} new lots, {report.n_values} "
        "new assigned values."
    )


def _retire(asked: _Asked) -> str:
    labels = issuing.retire_vials(
        asked.course,
        asked.typed.get("labels", ""),
        reason=asked.typed.get("reason", ""),
        actor=asked.actor,
        now=asked.now,
    )
    return f"Retired: {', '.join(labels)}."


def _use_again(asked: _Asked) -> str:
    labels = issuing.use_vials_again(
        asked.course, asked.typed.get("labels", ""), actor=asked.actor
    )
    return f"In use again: {', '.join(labels)}."


def _nothing(asked: _Asked) -> str:  # noqa: ARG001
    message = "Press one of the buttons of this page."
    raise NotAdmitted([Problem(("deed",), message)])


_DEEDS: Mapping[str, Callable[[_Asked], str]] = {
    "draw": _draw,
    "paste": _paste,
    "retire": _retire,
    "again": _use_again,
}
