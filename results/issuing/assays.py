"""Entering what was measured of a lot; records are added to, never changed."""

from collections import Counter
from dataclasses import dataclass, replace
from datetime import datetime

from django.db import transaction

from results.issuing.lots import locked_lot
from results.models import Assay, AssayResult, Issue, Lot, Vial
from results.policy.access import Actor
from results.policy.assay_boxes import AssayKind
from results.policy.assays import LONGEST_NOTE, AssayRecord
from results.policy.codes import bare
from results.policy.refusals import NotAdmitted, NotFound, Problem

_BEFORE_WHY = 40


@dataclass(frozen=True, slots=True)
class Correction:
    """Which record another one replaces, and why."""

    assay_id: int
    reason: str


@dataclass(frozen=True, slots=True)
class Recorded:
    """A record that was entered, and how many vials were opened for it."""

    assay_id: int
    n_opened: int


def record_assay(
    course_code: str,
    lot_id: int,
    record: AssayRecord,
    *,
    correction: Correction | None = None,
    actor: Actor,
    now: datetime,
) -> Recorded:
    """Enter a record of a lot's content; vials that it names are retired.

    Raises
    ------
    NotFound
        The actor coordinates no such course, or it has no such lot or record.
    NotAdmitted
        A vial is of another lot, a correction says no reason, or what it replaces
        was replaced already.
    """
    with transaction.atomic():
        lot = locked_lot(course_code, lot_id, actor)
        reason = "" if correction is None else _checked(lot, correction)
        record, opened = _by_the_book(lot, record)
        assay = Assay.objects.create(
            lot=lot,
            kind=record.kind.value,
            basis=dict(record.basis),
            made_at=record.made_at,
            note=record.note,
            replaces_id=correction.assay_id if correction else None,
            reason=reason,
            entered_at=now,
            by_id=actor.user_id or None,
            by_name=actor.name,
        )
        AssayResult.objects.bulk_create(_results(assay, record))
        n_opened = Vial.objects.filter(pk__in=opened).update(
            retired_at=now,
            retired_reason="opened for an assay",
            retired_by_name=actor.name,
        )
    return Recorded(assay.pk, n_opened)


def set_aside_result(
    course_code: str,
    result: tuple[int, int],
    *,
    counts: bool,
    why: str,
    actor: Actor,
    now: datetime,
) -> Recorded:
    """Set one result of a record aside, or count it again, for a reason.

    The record is kept; another one that differs in this replaces it.

    Parameters
    ----------
    result : tuple of int
        Number of the record, and place of the result in it, from 1.

    Raises
    ------
    NotFound, NotAdmitted
        As `record_assay`; also when no result would be left to count.
    """
    assay_id, place = result
    assay = _standing(course_code, assay_id, actor)
    record = assay.record
    if not 1 <= place <= len(record.rows):
        message = "There is no such result in this record."
        raise NotFound(message)
    rows = list(record.rows)
    rows[place - 1] = replace(rows[place - 1], set_aside="" if counts else _why(why))
    if all(row.set_aside for row in rows):
        message = "At least one result has to count."
        raise NotAdmitted([Problem(("why",), message)])
    said = "counted again" if counts else "set aside"
    return record_assay(
        course_code,
        assay.lot_id,
        replace(record, rows=tuple(rows)),
        correction=Correction(assay_id, f"result {place} {said}: {_why(why)}"),
        actor=actor,
        now=now,
    )


def withdraw_assay(
    course_code: str, assay_id: int, *, reason: str, actor: Actor, now: datetime
) -> Recorded:
    """Withdraw a record, such as one of another lot; it is kept to be looked up.

    Raises
    ------
    NotFound, NotAdmitted
        As `record_assay`.
    """
    assay = _standing(course_code, assay_id, actor)
    return record_assay(
        course_code,
        assay.lot_id,
        AssayRecord(AssayKind.WITHDRAWN, {}, (), assay.made_at),
        correction=Correction(assay_id, reason),
        actor=actor,
        now=now,
    )


def _standing(course_code: str, assay_id: int, actor: Actor) -> Assay:
    assay: Assay | None = (
        Assay.objects.filter(pk=assay_id, lot__course__code=course_code)
        .exclude(kind=AssayKind.WITHDRAWN)
        .select_related("lot")
        .first()
    )
    if assay is None or not actor.rights.may_see_course(assay.lot.course_id):
        message = "There is no such record in the courses that you coordinate."
        raise NotFound(message)
    return assay


def _checked(lot: Lot, correction: Correction) -> str:
    """Return the reason of a correction as it is stored."""
    former = Assay.objects.filter(lot=lot, pk=correction.assay_id).first()
    if former is None:
        message = "There is no such record of this lot."
        raise NotFound(message)
    if Assay.objects.filter(replaces=former).exists():
        message = "This record was replaced meanwhile. Look at the one that stands."
        raise NotAdmitted([Problem(("reason",), message)])
    return _why(correction.reason, "reason")


def _why(typed: str, where: str = "why") -> str:
    text = typed.replace("\x00", "").strip()
    # What is said of a result stands in its record's reason, after a few words.
    most = LONGEST_NOTE - (_BEFORE_WHY if where == "why" else 0)
    if not text:
        message = "Write why, for everybody who looks it up later."
        raise NotAdmitted([Problem((where,), message)])
    if len(text) > most:
        message = f"Shorten this to {most} signs."
        raise NotAdmitted([Problem((where,), message)])
    return text


def _by_the_book(lot: Lot, record: AssayRecord) -> tuple[AssayRecord, list[int]]:
    """Return a record with labels as in the book, and the vials opened for it.

    A vial that a group has or had stays as it is.

    Raises
    ------
    NotAdmitted
        A label is that of another lot's vial.
    """
    if not any(row.vial for row in record.rows):
        return record, []
    vials = Vial.objects.filter(course=lot.course)
    known = {bare(vial.code): vial for vial in vials}
    issued = set(Issue.objects.filter(vial__lot=lot).values_list("vial_id", flat=True))
    rows, problems, opened = [], [], set()
    for place, row in enumerate(record.rows):
        vial = known.get(bare(row.vial))
        if vial is None:
            rows.append(row)
            continue
        rows.append(replace(row, vial=vial.code))
        if vial.lot_id != lot.pk:
            message = f"Vial {row.vial} is of another lot."
            problems.append(Problem(("rows", place, "vial"), message))
        elif vial.retired_at is None and vial.pk not in issued:
            opened.add(vial.pk)
    if problems:
        raise NotAdmitted(problems)
    return replace(record, rows=tuple(rows)), sorted(opened)


def _results(assay: Assay, record: AssayRecord) -> list[AssayResult]:
    seen: Counter[str] = Counter()
    rows = []
    for place, row in enumerate(record.rows, start=1):
        seen[row.vial] += 1
        rows.append(
            AssayResult(
                assay=assay,
                place=place,
                vial=row.vial,
                replicate=seen[row.vial],
                iron_percent=row.iron_percent,
                mass_g=row.mass_g,
                titre_mL=row.titre_mL,
                set_aside=row.set_aside,
            )
        )
    return rows
