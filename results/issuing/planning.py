"""Planning whose vial is whose, and issuing by a plan that was looked at."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from results.issuing.making import make_plan
from results.issuing.plan import IssuePlan
from results.models import Course, Group, Issue, Vial
from results.models.courses import coordinated_course
from results.policy.access import Actor, Rights
from results.policy.issuing import (
    CannotIssue,
    IssuingWish,
    PlanChanged,
)
from results.policy.refusals import NothingChosen
from results.summaries.preparing.issuing_state import issuing_state


@dataclass(frozen=True, slots=True)
class Issued:
    """What was done by a plan, counted.

    Attributes
    ----------
    n_vials, n_again : int
        Vials issued, and those of them that took another's place.
    n_sent : int
        Groups sent to a station.
    """

    n_vials: int
    n_again: int
    n_sent: int


def preview_plan(
    course_code: str, wish: IssuingWish, *, rights: Rights, now: datetime
) -> IssuePlan:
    """Return what would be issued, or why nothing can be; nothing is stored.

    Raises
    ------
    NotFound
        There is no such course, or the viewer does not coordinate it.
    NotAdmitted
        A group would give its vial back, and no reason was given.
    """
    course = coordinated_course(course_code, rights=rights)
    return make_plan(issuing_state(course, now=now), wish)


def issue_by_plan(
    course_code: str, wish: IssuingWish, *, seen: str, actor: Actor, now: datetime
) -> Issued:
    """Issue the vials of a plan, and send groups to their stations: all or nothing.

    The plan is made before anything is locked, and thrown away if what it rests on
    was changed meanwhile.

    Parameters
    ----------
    seen : str
        Mark of the plan that the actor looked at.

    Raises
    ------
    NotFound
        The actor coordinates no such course.
    NotAdmitted
        A group would give its vial back, and no reason was given.
    PlanChanged
        The plan is no longer the one that the actor looked at.
    CannotIssue
        There is no plan.
    NothingChosen
        Everybody has a vial and a station.
    """
    plan = preview_plan(course_code, wish, rights=actor.rights, now=now)
    if plan.mark != seen:
        raise PlanChanged
    if plan.impossible:
        raise CannotIssue(" ".join(plan.impossible))
    if not plan.issued and not plan.sent:
        message = "Nothing is to be issued: every group has its vial."
        raise NothingChosen(message)
    with transaction.atomic():
        # The course's row is the lock under which plans are carried out.
        course = Course.objects.select_for_update().get(code=course_code)
        _lock(plan)
        if issuing_state(course, now=now).mark(wish) != seen:
            raise PlanChanged
        _carry_out(plan, actor, now)
    return Issued(len(plan.issued), plan.n_again, len(plan.sent))


def _lock(plan: IssuePlan) -> None:
    """Lock vials, then groups, as whoever issues a single vial does."""
    vials = Vial.objects.filter(pk__in=[row.vial_id for row in plan.issued])
    groups = Group.objects.filter(pk__in=[row.group_id for row in plan.rows])
    for rows in (vials, groups):
        list(rows.select_for_update().order_by("pk").values_list("pk"))


def _carry_out(plan: IssuePlan, actor: Actor, now: datetime) -> None:
    by_plan = f"by plan, seed {plan.wish.seed}"
    for rows, reason in (
        ([row for row in plan.issued if not row.former_vial], by_plan),
        (
            [row for row in plan.issued if row.former_vial],
            f"{plan.wish.reason} ({by_plan})",
        ),
    ):
        Issue.objects.hand_over_all(
            {row.group_id: row.vial_id for row in rows if row.vial_id is not None},
            now=now,
            reason=reason,
            by_id=actor.user_id or None,
            by_name=actor.name,
        )
    _send((row.group_id, row.station_id) for row in plan.sent)


def _send(stations: Iterable[tuple[int, int | None]]) -> None:
    Group.objects.bulk_update(
        [Group(pk=group, planned_station_id=station) for group, station in stations],
        ["planned_station"],
    )
