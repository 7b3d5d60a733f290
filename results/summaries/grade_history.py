"""The history of one grade: who, when, what, why."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from results.models import GradeEvent, Group
from results.policy.access import Rights
from results.policy.refusals import NotFound


@dataclass(frozen=True, slots=True)
class Change:
    """One change, with the number that counted before and after."""

    at: datetime
    by: str
    kind: str
    what: str
    before: Decimal | None
    after: Decimal | None
    why: str


@dataclass(frozen=True, slots=True)
class GradeHistory:
    """All changes of a group's grade, oldest first."""

    section_id: int
    section: str
    course: str
    group_id: int
    group: str
    changes: tuple[Change, ...]


def grade_history(group_id: int, *, rights: Rights) -> GradeHistory:
    """Return the history of a group's grade; two queries.

    Raises
    ------
    NotFound
        There is no such group, or the viewer does not grade its section.
    """
    group = Group.objects.select_related("section__course").filter(pk=group_id).first()
    if group is None or not rights.may_grade(group.section_id, group.section.course_id):
        message = "There is no such group in your sections."
        raise NotFound(message)
    events = GradeEvent.objects.filter(grade__group=group).order_by("pk")
    return GradeHistory(
        section_id=group.section_id,
        section=group.section.code,
        course=group.section.course.code,
        group_id=group.pk,
        group=group.code,
        changes=tuple(
            Change(
                event.at,
                event.by_name,
                event.kind,
                event.get_kind_display(),
                event.before,
                event.after,
                event.why,
            )
            for event in events
        ),
    )
