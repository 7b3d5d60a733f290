"""A group's own grade, as the group may see it: nothing before the release."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from results.models import Grade
from results.policy.access import grade_is_shown
from results.policy.marking import Side, lost_to, parts_from_json
from results.summaries.grade_rows import Recheck, rechecks_of


@dataclass(frozen=True, slots=True)
class OwnPart:
    """One part with its points, and why in one line."""

    name: str
    label: str
    points: Decimal | None
    max_points: Decimal
    reason: str


@dataclass(frozen=True, slots=True)
class OwnRecheck:
    """A request of the group's, and the answer if there is one."""

    text: str
    asked_at: datetime
    answer: str
    answered_at: datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnGrade:
    """A released grade.

    Attributes
    ----------
    by_hand : Decimal
        What a person added to or took off the sum of the parts.
    may_ask : bool
        Whether a request for a re-check can be sent now.
    """

    points: Decimal
    max_points: Decimal
    parts: tuple[OwnPart, ...]
    by_hand: Decimal
    lost_to_measurement: Decimal
    lost_to_arithmetic: Decimal
    lost_in_handing_in: Decimal
    comment: str
    released_at: datetime
    rechecks: tuple[OwnRecheck, ...]
    may_ask: bool


def own_grade(group_id: int, *, now: datetime) -> OwnGrade | None:
    """Return a group's grade once it is released; two queries, one before that."""
    grade = (
        Grade.objects.select_related("group__section__course")
        .filter(group_id=group_id, released_at__isnull=False)
        .first()
    )
    if grade is None or not grade_is_shown(released_at=grade.released_at, now=now):
        return None
    assert grade.released_at is not None  # noqa: S101 - filtered so above
    points = grade.final_points or Decimal(0)
    parts = parts_from_json(grade.final_parts)
    error_shown = grade.group.section.course.error_shown
    asked = rechecks_of([grade.pk]).get(grade.pk, ())
    return OwnGrade(
        points=points,
        max_points=grade.max_points,
        parts=tuple(
            OwnPart(
                part.name.value,
                part.name.label,
                part.points,
                part.max_points,
                part.said(open_values=error_shown),
            )
            for part in parts
        ),
        by_hand=_by_hand(grade, points),
        lost_to_measurement=lost_to(parts, Side.MEASUREMENT),
        lost_to_arithmetic=lost_to(parts, Side.ARITHMETIC),
        lost_in_handing_in=lost_to(parts, Side.HANDING_IN),
        comment=grade.comment,
        released_at=grade.released_at,
        rechecks=tuple(_own(request) for request in asked),
        may_ask=all(request.answered_at for request in asked),
    )


def _by_hand(grade: Grade, points: Decimal) -> Decimal:
    if not grade.is_override:
        return Decimal(0)
    parts = parts_from_json(grade.final_parts)
    together = sum((part.points or Decimal(0) for part in parts), Decimal(0))
    return points - max(together, Decimal(0))


def _own(request: Recheck) -> OwnRecheck:
    return OwnRecheck(
        request.text, request.asked_at, request.answer, request.answered_at
    )
