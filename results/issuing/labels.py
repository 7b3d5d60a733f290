"""Vials with labels that are drawn, and taking vials out of use."""

import re
from collections.abc import Callable
from datetime import datetime

from django.db import transaction

from results.issuing.lots import locked_lot, read_reason
from results.models import Course, Vial
from results.models.courses import coordinated_course
from results.policy.access import Actor
from results.policy.codes import VIAL_LENGTH, bare, draw_code
from results.policy.refusals import NotAdmitted, Problem

MOST_AT_ONCE = 1000
# With a book half full every second draw is a new label.
_MOST_TRIES = 50


def draw_vials(
    course_code: str,
    lot_id: int,
    n: int,
    *,
    actor: Actor,
    draw_below: Callable[[int], int],
) -> tuple[str, ...]:
    """Take vials of a lot into the book, with labels that say nothing about it.

    Labels are drawn at random and end in a check sign; none is that of any vial of
    any course, so that a label of a former term means nothing now. The first vials
    of a course decide that its labels are checked as they are typed.

    Parameters
    ----------
    draw_below : callable
        `draw_below(n)` is a whole number from 0 to n - 1: `secrets.randbelow`, or a
        seeded generator in tests.

    Raises
    ------
    NotFound
        The actor coordinates no such course, or it has no such lot.
    NotAdmitted
        The number makes no sense, the lot is retired, or no label is left.
    """
    if not 1 <= n <= MOST_AT_ONCE:
        message = f"Draw from 1 to {MOST_AT_ONCE} vials at a time."
        raise NotAdmitted([Problem(("n",), message)])
    with transaction.atomic():
        lot = locked_lot(course_code, lot_id, actor)
        if lot.retired_at is not None:
            message = f"Lot {lot.code} is retired. Choose another."
            raise NotAdmitted([Problem(("lot",), message)])
        # The course's row is the lock under which its labels are drawn.
        course = Course.objects.select_for_update().get(pk=lot.course_id)
        if not course.vial_labels_checked and not course.vials.exists():
            course.vial_labels_checked = True
            course.save(update_fields=["vial_labels_checked"])
        labels = _new_labels(n, draw_below)
        Vial.objects.bulk_create(
            Vial(course=course, lot=lot, code=label) for label in labels
        )
    return labels


def _new_labels(n: int, draw_below: Callable[[int], int]) -> tuple[str, ...]:
    used = {bare(code) for code in Vial.objects.values_list("code", flat=True)}
    labels: list[str] = []
    for _ in range(_MOST_TRIES * n):
        label = draw_code(draw_below, VIAL_LENGTH)
        if bare(label) not in used:
            used.add(bare(label))
            labels.append(label)
        if len(labels) == n:
            return tuple(labels)
    message = "Hardly any label is left that no vial has had."
    raise NotAdmitted([Problem(("n",), message)])


def retire_vials(
    course_code: str, typed: str, *, reason: str, actor: Actor, now: datetime
) -> tuple[str, ...]:
    """Take vials out of use, all that are named or none; return their labels.

    Parameters
    ----------
    typed : str
        Labels, parted by commas, semicolons or lines.

    Raises
    ------
    NotFound
        The actor coordinates no such course.
    NotAdmitted
        A label is not known or a group has the vial, or the reason is missing.
    """
    with transaction.atomic():
        course = coordinated_course(course_code, rights=actor.rights)
        vials = _named(course, typed)
        held = dict(
            Vial.objects.filter(
                pk__in=[one.pk for one in vials], issues__ended_at__isnull=True
            )
            .exclude(issues__isnull=True)
            .values_list("code", "issues__group__code")
        )
        if held:
            said = "; ".join(f"{vial} is with group {held[vial]}" for vial in held)
            message = f"{said}. Give the group another vial first."
            raise NotAdmitted([Problem(("labels",), message)])
        Vial.objects.filter(
            pk__in=[one.pk for one in vials], retired_at__isnull=True
        ).update(
            retired_at=now,
            retired_reason=read_reason(reason),
            retired_by_name=actor.name,
        )
    return tuple(one.code for one in vials)


def use_vials_again(course_code: str, typed: str, *, actor: Actor) -> tuple[str, ...]:
    """Put retired vials back into use; return the labels of all that were named.

    Raises
    ------
    NotFound
        The actor coordinates no such course.
    NotAdmitted
        A label is not known.
    """
    with transaction.atomic():
        course = coordinated_course(course_code, rights=actor.rights)
        vials = _named(course, typed)
        Vial.objects.filter(pk__in=[one.pk for one in vials]).update(
            retired_at=None, retired_reason="", retired_by_name=""
        )
    return tuple(one.code for one in vials)


def _named(course: Course, typed: str) -> list[Vial]:
    """Return the vials that were named, locked.

    Raises
    ------
    NotAdmitted
        No label was typed, or one is not in the book.
    """
    parts = re.split(r"[,;\s]+", typed.replace("\x00", "").strip())
    labels = list(dict.fromkeys(part for part in parts if part))
    if not labels:
        message = "Type the labels of the vials."
        raise NotAdmitted([Problem(("labels",), message)])
    known = {
        bare(one.code): one
        for one in Vial.objects.select_for_update().filter(course=course)
    }
    strange = [label for label in labels if bare(label) not in known]
    if strange:
        message = f"No vial of this course is labelled {', '.join(strange[:10])}."
        raise NotAdmitted([Problem(("labels",), message)])
    return [known[bare(label)] for label in labels]
