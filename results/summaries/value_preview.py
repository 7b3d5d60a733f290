"""Lots with all values they ever had, and who would change by one more."""

from dataclasses import dataclass
from datetime import datetime

from results.models import AssignedValue, Lot
from results.models.assigned import Assigned
from results.models.courses import coordinated_course
from results.models.gradable import Supposed, schemes_in_force
from results.policy.access import Rights
from results.policy.marking import suggest
from results.policy.marking.moves import move
from results.policy.refusals import NotFound
from results.policy.values import NewValue
from results.summaries.previews import (
    Preview,
    load_course,
    preview_of,
    standing_in,
)


@dataclass(frozen=True, slots=True)
class PastValue:
    """One value of a lot, kept whether or not it still holds."""

    iron_percent: float
    u_iron_percent: float
    valid_from: datetime
    reason: str
    assigned_by: str
    assigned_at: datetime | None
    assay_id: int | None = None

    @property
    def expanded(self) -> float:
        """Expanded uncertainty, k = 2."""
        return 2 * self.u_iron_percent


@dataclass(frozen=True, slots=True)
class LotHistory:
    """One lot and its values, the newest first."""

    lot_id: int
    lot: str
    values: tuple[PastValue, ...]


@dataclass(frozen=True, slots=True)
class LotHistories:
    """All lots of a course, by code."""

    course: str
    title: str
    lots: tuple[LotHistory, ...]


def lot_histories(course_code: str, *, rights: Rights) -> LotHistories:
    """Return the values of a course's lots; three queries.

    Raises
    ------
    NotFound
        There is no such course, or the viewer does not coordinate it.
    """
    course = coordinated_course(course_code, rights=rights)
    values: dict[int, list[PastValue]] = {}
    for row in (
        AssignedValue.objects.filter(lot__course=course)
        .select_related("assigned_by")
        .order_by("-valid_from")
    ):
        who = row.assigned_by.get_username() if row.assigned_by else ""
        values.setdefault(row.lot_id, []).append(
            PastValue(
                row.iron_percent,
                row.u_iron_percent,
                row.valid_from,
                row.reason,
                who,
                row.assigned_at,
                row.assay_id,
            )
        )
    return LotHistories(
        course.code,
        course.title,
        tuple(
            LotHistory(lot.pk, lot.code, tuple(values.get(lot.pk, ())))
            for lot in Lot.objects.filter(course=course).order_by("code")
        ),
    )


def lot_history(course_code: str, lot_id: int, *, rights: Rights) -> LotHistory:
    """Return the values of one lot; three queries.

    Raises
    ------
    NotFound
        The viewer coordinates no such course, or it has no such lot.
    """
    for one in lot_histories(course_code, rights=rights).lots:
        if one.lot_id == lot_id:
            return one
    message = "There is no such lot in this course."
    raise NotFound(message)


def value_preview(course_code: str, value: NewValue, *, rights: Rights) -> Preview:
    """Return whose grades a new value would change; nothing is stored.

    Without a grading scheme nobody's grade changes; groups whose readings are still
    being computed are not counted.

    Raises
    ------
    NotFound
        The viewer coordinates no such course, or it has no such lot.
    """
    course = coordinated_course(course_code, rights=rights)
    lot_of(course.pk, value.lot_id)
    supposed = Supposed(
        value.lot_id,
        value.valid_from,
        Assigned(value.iron_percent, value.u_iron_percent),
    )
    in_force = schemes_in_force([course.pk]).get(course.pk)
    works, grades, granted = load_course(course, supposing=supposed)
    concerned = [work for work in works if work.lot_id == value.lot_id]
    pairs = []
    for work in concerned if in_force else ():
        assert in_force is not None  # noqa: S101 - the loop is empty otherwise
        new = suggest(work.facts, in_force[1], granted.for_work(work))
        standing = standing_in(work, grades, granted, in_force[1])
        pairs.append((work, standing, new, move(standing, new)))
    return preview_of(pairs, repr(value), n=len(concerned))


def lot_of(course_id: int, lot_id: int) -> Lot:
    """Return a lot of a course.

    Raises
    ------
    NotFound
        The course has none of that number.
    """
    lot = Lot.objects.filter(course_id=course_id, pk=lot_id).first()
    if lot is None:
        message = "Choose a lot of this course."
        raise NotFound(message)
    return lot
