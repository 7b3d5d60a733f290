"""Giving a lot the value that a record of its content comes to."""

import math
from dataclasses import dataclass
from datetime import datetime

from results.grading.revaluing import Revalued, revalue_lot
from results.policy.access import Actor, Rights
from results.policy.assayed import USUAL_SIGMA_PERCENT, to_assign, work_out
from results.policy.refusals import NotAdmitted, Problem
from results.policy.values import NewValue
from results.summaries.preparing.lots import lot_sheet


@dataclass(frozen=True, slots=True)
class FromRecord:
    """A record whose value a lot is to have, from when on.

    Attributes
    ----------
    with_vials : bool
        Whether differences between vials count, where they were checked.
    """

    lot_id: int
    assay_id: int
    valid_from: datetime
    with_vials: bool = True


def value_of_record(
    course_code: str, wanted: FromRecord, *, rights: Rights
) -> NewValue:
    """Return the value that a record comes to; nothing is stored.

    Raises
    ------
    NotFound
        The viewer coordinates no such course, or it has no such lot or record.
    NotAdmitted
        Its uncertainty is not known.
    """
    # What the vials are held to has no part in what they differ by.
    sheet = lot_sheet(
        course_code, wanted.lot_id, sigma_percent=USUAL_SIGMA_PERCENT, rights=rights
    )
    line = sheet.record(wanted.assay_id)
    checked = sheet.vials if wanted.with_vials else None
    # What vials differ by is taken relative, wherever their check was made.
    relative = checked.found.u_between / checked.found.mean if checked else 0.0
    assert line.assayed is not None  # noqa: S101 - a record that stands
    found = work_out(line.record, u_between=relative * line.assayed.estimated.value)
    iron_percent, u_iron_percent = to_assign(found.estimated)
    if not math.isfinite(u_iron_percent):
        message = (
            "The uncertainty is not known: one result says nothing of its scatter. "
            "Titrate again, or give the method’s standard deviation."
        )
        raise NotAdmitted([Problem(("assay",), message)])
    return NewValue(
        wanted.lot_id,
        iron_percent,
        u_iron_percent,
        wanted.valid_from,
        assay_id=wanted.assay_id,
        homogeneity_id=checked.assay_id if checked else None,
    )


def assign_from_record(
    course_code: str,
    wanted: FromRecord,
    *,
    reason: str,
    seen: str,
    actor: Actor,
    now: datetime,
) -> Revalued:
    """Give a lot the value that a record comes to, as `revalue_lot` does.

    Raises
    ------
    NotFound, NotAdmitted, CannotGrade
        As `value_of_record` and `revalue_lot`.
    """
    value = value_of_record(course_code, wanted, rights=actor.rights)
    return revalue_lot(
        course_code, value, reason=reason, seen=seen, actor=actor, now=now
    )
