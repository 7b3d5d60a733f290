"""Grading a section: every button of the page is one action."""

from collections.abc import Callable, Mapping
from datetime import datetime
from functools import partial

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from frontend.doors import for_staff
from frontend.grading_page import Typed, grading_page
from frontend.pressed import is_number, row_number
from results import grading
from results.grading import Actor
from results.policy.access import Rights
from results.policy.marking.refusals import BadGrade, CannotGrade, StaleGrade
from results.policy.refusals import NotFound, Refusal
from results.summaries.grade_history import grade_history
from results.summaries.grading import grading_board

_KEPT = ("points", "reason", "comment", "answer")


def actor_of(request: HttpRequest, rights: Rights) -> Actor:
    """Return who acts."""
    return Actor(request.user.pk or 0, request.user.get_username(), rights)


def versions_seen(text: str) -> dict[int, int]:
    """Return the versions that a page handed back, by group.

    Examples
    --------
    >>> versions_seen("12:0 13:4 nonsense")
    {12: 0, 13: 4}
    """
    pairs = (pair.partition(":") for pair in text.split())
    return {
        int(group): int(version)
        for group, _, version in pairs
        if is_number(group) and is_number(version)
    }


@never_cache
@require_safe
@for_staff
def board(request: HttpRequest, rights: Rights, section_id: int) -> HttpResponse:
    """Show a section's grades."""
    return _page(request, rights, section_id)


def _page(
    request: HttpRequest,
    rights: Rights,
    section_id: int,
    *,
    typed: Typed | None = None,
    status: int = 200,
) -> HttpResponse:
    found, now = grading_board(section_id, rights=rights), timezone.now()
    show = request.POST.get("show") or request.GET.get("show", "all")
    page = grading_page(found, show=show, now=now, typed=typed)
    context = {
        "board": found,
        "page": page,
        "show": show,
        "now": now,
        "refused": typed.sentence if typed and not typed.group_id else "",
    }
    return render(request, "frontend/grading.html", context, status=status)


def _do(
    request: HttpRequest,
    rights: Rights,
    section_id: int,
    act: Callable[[Actor, datetime], str],
    *,
    group_id: int = 0,
) -> HttpResponse:
    """Act, then show the page; a refusal keeps what was typed."""
    try:
        told = act(actor_of(request, rights), timezone.now())
    except (BadGrade, CannotGrade, StaleGrade) as refusal:
        fields = {name: request.POST[name] for name in _KEPT if name in request.POST}
        typed = Typed(group_id, refusal.sentence, fields)
        status = status_of(refusal)
        return _page(request, rights, section_id, typed=typed, status=status)
    messages.success(request, told)
    query = {"show": show} if (show := request.POST.get("show", "")) else None
    where = reverse("grading", args=[section_id], query=query)
    return redirect(f"{where}#g-{group_id}" if group_id else where)


def status_of(refusal: Refusal) -> int:
    """Return 422 for what has to be typed anew, 409 for what has changed meanwhile."""
    return 422 if isinstance(refusal, BadGrade) else 409


@never_cache
@require_POST
@for_staff
def accept(request: HttpRequest, rights: Rights, section_id: int) -> HttpResponse:
    """Accept one, the chosen, or all with nothing to look at."""
    seen = versions_seen(request.POST.get("seen", ""))
    one = row_number(request.POST.get("one", ""))
    if "clean" in request.POST:
        act = partial(grading.accept_unflagged, section_id, seen=seen)
    else:
        chosen = [one] if one else map(row_number, request.POST.getlist("chosen"))
        picked = {group: seen.get(group, 0) for group in chosen if group}
        act = partial(grading.accept_grades, section_id, seen=picked)

    def told(actor: Actor, now: datetime) -> str:
        groups = act(actor=actor, now=now).groups
        return f"Accepted: {', '.join(groups)}." if groups else "Nothing to accept."

    return _do(request, rights, section_id, told, group_id=one)


@never_cache
@require_POST
@for_staff
def release(request: HttpRequest, rights: Rights, section_id: int) -> HttpResponse:
    """Release what is accepted."""

    def told(actor: Actor, now: datetime) -> str:
        count = grading.release_section(
            section_id,
            seen=versions_seen(request.POST.get("seen", "")),
            only_accepted="only_accepted" in request.POST,
            actor=actor,
            now=now,
        ).n_grades
        return f"Released: {count}." if count else "Everything is released already."

    return _do(request, rights, section_id, told)


@never_cache
@require_POST
@for_staff
def undo(request: HttpRequest, rights: Rights, section_id: int) -> HttpResponse:
    """Take a release of today back."""

    def told(actor: Actor, now: datetime) -> str:
        undone = grading.undo_release(section_id, actor=actor, now=now)
        return f"No group sees its grade any more: {undone.n_grades} taken back."

    return _do(request, rights, section_id, told)


def _set(group_id: int, form: Mapping[str, str]) -> Callable[..., None]:
    points, reason = form.get("points", ""), form.get("reason", "")
    return partial(grading.override_grade, group_id, points=points, reason=reason)


def _comment(group_id: int, form: Mapping[str, str]) -> Callable[..., None]:
    return partial(grading.comment_grade, group_id, comment=form.get("comment", ""))


def _decide(group_id: int, form: Mapping[str, str]) -> Callable[..., None]:
    take, reason = form.get("decision") == "take", form.get("reason", "")
    return partial(grading.decide_proposal, group_id, take=take, reason=reason)


def _seen(group_id: int, _: Mapping[str, str]) -> Callable[..., None]:
    return partial(grading.mark_seen, group_id)


def _back(group_id: int, _: Mapping[str, str]) -> Callable[..., None]:
    return partial(grading.take_back, group_id)


_DEEDS = {
    "set": (_set, "Points set by hand."),
    "comment": (_comment, "Comment kept."),
    "decide": (_decide, "Decided."),
    "seen": (_seen, "Marked as seen by you."),
    "back": (_back, "Taken back: the grade follows its suggestion again."),
}


@never_cache
@require_POST
@for_staff
def change(
    request: HttpRequest, rights: Rights, section_id: int, group_id: int, deed: str
) -> HttpResponse:
    """Do one thing to one group's grade."""
    if deed not in _DEEDS:
        message = "There is no such thing to do to a grade."
        raise NotFound(message)
    prepare, sentence = _DEEDS[deed]
    act = prepare(group_id, request.POST.dict())
    seen = row_number(request.POST.get("seen", ""))

    def told(actor: Actor, now: datetime) -> str:
        act(seen=seen, actor=actor, now=now)
        return sentence

    return _do(request, rights, section_id, told, group_id=group_id)


@never_cache
@require_POST
@for_staff
def answer(
    request: HttpRequest, rights: Rights, section_id: int, request_id: int
) -> HttpResponse:
    """Answer a group's request for a re-check."""

    def told(actor: Actor, now: datetime) -> str:
        text = request.POST.get("answer", "")
        grading.answer_recheck(request_id, answer=text, actor=actor, now=now)
        return "Answered."

    group_id = row_number(request.POST.get("group", ""))
    return _do(request, rights, section_id, told, group_id=group_id)


@never_cache
@require_safe
@for_staff
def history(request: HttpRequest, rights: Rights, group_id: int) -> HttpResponse:
    """Show every change of a group's grade."""
    context = {
        "history": grade_history(group_id, rights=rights),
        "now": timezone.now(),
    }
    return render(request, "frontend/grade_history.html", context)
