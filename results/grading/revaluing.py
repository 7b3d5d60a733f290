"""Giving a lot another value from a date; what rests on it is computed anew."""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from results import tasks
from results.grading.common import check_seen, lock_course
from results.grading.schemes import refresh_groups
from results.models import AssignedValue, Group, Lot, Submission
from results.models.courses import coordinated_course
from results.policy.access import Actor
from results.policy.refusals import NotAdmitted, Problem
from results.policy.values import NewValue, problems_of
from results.recompute import enqueue
from results.summaries.value_preview import lot_of, value_preview

_LONGEST_REASON = 240


@dataclass(frozen=True, slots=True)
class Revalued:
    """A new value; grades that changed or are proposed, submissions to compute."""

    value_id: int
    n_grades: int
    n_submissions: int


def revalue_lot(
    course_code: str,
    value: NewValue,
    *,
    reason: str,
    seen: str,
    actor: Actor,
    now: datetime,
) -> Revalued:
    """Give a lot a value from a moment on; the former values are kept.

    Draft grades follow. What a person has set, released or not, keeps its number:
    the change waits as a proposal. Every current submission of the course is computed
    anew, because staff's findings compare a group with all lots; the effects of
    stations, lots and sections follow when that is done.

    Parameters
    ----------
    seen : str
        Mark of the preview that the actor looked at.

    Raises
    ------
    NotFound
        The actor coordinates no such course, or it has no such lot.
    NotAdmitted
        The value, its uncertainty, its moment or the reason needs mending.
    CannotGrade
        The list of who changes is no longer the one that the actor looked at.
    """
    with transaction.atomic():
        course = coordinated_course(course_code, rights=actor.rights)
        lot = lot_of(course.pk, value.lot_id)
        # The lot's row is the lock under which its values are added.
        Lot.objects.select_for_update().get(pk=lot.pk)
        why = _checked(value, reason)
        lock_course(course.pk)
        preview = value_preview(course_code, value, rights=actor.rights)
        check_seen(preview, seen)
        row = AssignedValue.objects.create(
            lot=lot,
            iron_percent=value.iron_percent,
            u_iron_percent=value.u_iron_percent,
            valid_from=value.valid_from,
            reason=why,
            assigned_by_id=actor.user_id,
            assigned_at=now,
            assay_id=value.assay_id,
            homogeneity_id=value.homogeneity_id,
        )
        n_grades = refresh_groups(
            _groups_of(lot),
            why=f"another value of lot {lot.code}: {why}",
            now=now,
            actor=actor,
        )
        submissions = list(
            Submission.objects.filter(
                group__section__course=course, is_current=True
            ).values_list("pk", flat=True)
        )
        enqueue(submissions, reason="value of a lot", now=now)
        transaction.on_commit(tasks.wake_worker)
    return Revalued(row.pk, n_grades, len(submissions))


def _checked(value: NewValue, reason: str) -> str:
    """Return the reason as it is stored.

    Raises
    ------
    NotAdmitted
        Something needs mending; all of it is named.
    """
    why = reason.replace("\x00", "").strip()
    problems = list(problems_of(value))
    if not why:
        message = "Write the reason, such as what was re-assayed."
        problems.append(Problem(("reason",), message))
    if len(why) > _LONGEST_REASON:
        message = f"Shorten the reason to {_LONGEST_REASON} signs."
        problems.append(Problem(("reason",), message))
    if AssignedValue.objects.filter(
        lot_id=value.lot_id, valid_from=value.valid_from
    ).exists():
        message = (
            "This lot has a value from that very moment, which is kept. Choose "
            "another moment."
        )
        problems.append(Problem(("valid_from",), message))
    if problems:
        raise NotAdmitted(problems)
    return why


def _groups_of(lot: Lot) -> list[int]:
    return sorted(
        Group.objects.filter(
            submissions__is_current=True, submissions__vial__lot=lot
        ).values_list("pk", flat=True)
    )
