"""Making lots, and taking them out of use."""

import re
from datetime import datetime

from django.db import transaction

from results.models import Lot
from results.models.courses import coordinated_course
from results.policy.access import Actor
from results.policy.refusals import NotAdmitted, NotFound, Problem
from results.policy.typed import LONGEST_CODE

_LONGEST_REASON = 240
_MOST_LOTS = 100


def make_lots(course_code: str, typed: str, *, actor: Actor) -> tuple[str, ...]:
    """Make lots of some codes, all of them or none; return their codes.

    Parameters
    ----------
    typed : str
        Codes, parted by commas, semicolons or lines.

    Raises
    ------
    NotFound
        The actor coordinates no such course.
    NotAdmitted
        A code is missing, there already, twice, or too long.
    """
    with transaction.atomic():
        course = coordinated_course(course_code, rights=actor.rights)
        parts = re.split(r"[,;\n]", typed.replace("\x00", ""))
        codes = [part.strip() for part in parts if part.strip()]
        known = set(Lot.objects.filter(course=course).values_list("code", flat=True))
        said = _wrong(codes, known)
        if said:
            raise NotAdmitted([Problem(("codes",), said)])
        Lot.objects.bulk_create(Lot(course=course, code=code) for code in codes)
    return tuple(codes)


def _wrong(codes: list[str], known: set[str]) -> str:
    folded = {code.casefold() for code in known}
    if not codes:
        return "Type the codes of the lots, such as L1, L2, L3."
    if len(codes) > _MOST_LOTS:
        return f"Make {_MOST_LOTS} lots at most at a time."
    for code in codes:
        if len(code) > LONGEST_CODE:
            return f"“{code[:20]}…” is longer than {LONGEST_CODE} signs."
        if code.casefold() in folded:
            return f"Lot {code} is there already, or twice in what you typed."
        folded.add(code.casefold())
    return ""


def retire_lot(
    course_code: str, lot_id: int, *, reason: str, actor: Actor, now: datetime
) -> bool:
    """Give vials of a lot out no more; return whether that changed anything.

    Vials that groups have stay with them, and their answers go on counting.

    Raises
    ------
    NotFound
        The actor coordinates no such course, or it has no such lot.
    NotAdmitted
        The reason is missing or too long.
    """
    with transaction.atomic():
        lot = locked_lot(course_code, lot_id, actor)
        why = read_reason(reason)
        if lot.retired_at is not None:
            return False
        lot.retired_at, lot.retired_reason = now, why
        lot.retired_by_name = actor.name
        lot.save(update_fields=["retired_at", "retired_reason", "retired_by_name"])
    return True


def use_lot_again(course_code: str, lot_id: int, *, actor: Actor) -> bool:
    """Put a retired lot back into use; return whether that changed anything.

    Raises
    ------
    NotFound
        The actor coordinates no such course, or it has no such lot.
    """
    with transaction.atomic():
        lot = locked_lot(course_code, lot_id, actor)
        if lot.retired_at is None:
            return False
        lot.retired_at, lot.retired_reason, lot.retired_by_name = None, "", ""
        lot.save(update_fields=["retired_at", "retired_reason", "retired_by_name"])
    return True


def locked_lot(course_code: str, lot_id: int, actor: Actor) -> Lot:
    """Return a lot of a course, locked; within a transaction.

    Raises
    ------
    NotFound
        The actor coordinates no such course, or it has no such lot.
    """
    course = coordinated_course(course_code, rights=actor.rights)
    lot = Lot.objects.select_for_update().filter(course=course, pk=lot_id).first()
    if lot is None:
        message = "Choose a lot of this course."
        raise NotFound(message)
    return lot


def read_reason(typed: str) -> str:
    """Return a reason as it is stored.

    Raises
    ------
    NotAdmitted
        It is missing or too long.
    """
    text = typed.replace("\x00", "").strip()
    if not text:
        message = "Write why, for everybody who looks it up later."
        raise NotAdmitted([Problem(("reason",), message)])
    if len(text) > _LONGEST_REASON:
        message = f"Shorten the reason to {_LONGEST_REASON} signs."
        raise NotAdmitted([Problem(("reason",), message)])
    return text
