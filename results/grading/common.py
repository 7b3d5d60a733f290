"""What all actions on grades share: who acts, on what, and what they had seen."""

from collections.abc import Iterable, Mapping
from datetime import datetime
from decimal import Decimal

from django.utils import timezone

from results.models import Grade, GradeEvent, GradingScheme, Group, Section
from results.policy.access import Actor
from results.policy.language import tell
from results.policy.marking.refusals import (
    BadGrade,
    CannotGrade,
    Changed,
    NoScheme,
    StaleGrade,
)
from results.policy.refusals import NotFound
from results.recompute import refresh_grades
from results.summaries.previews import Preview

Versions = Mapping[int, int]
_LONGEST_TEXT = 4000


def graded_section(section_id: int, actor: Actor) -> Section:
    """Return a section that the actor grades.

    Raises
    ------
    NotFound
        There is no such section among the actor's.
    NoScheme
        Its course has no grading scheme.
    """
    section = Section.objects.select_related("course").filter(pk=section_id).first()
    if section is None or not actor.rights.may_grade(section_id, section.course_id):
        message = "There is no such section among yours."
        raise NotFound(message)
    if not GradingScheme.objects.filter(course_id=section.course_id).exists():
        raise NoScheme(section.course.code)
    return section


def graded_group(group_id: int, actor: Actor) -> Group:
    """Return a group that the actor grades.

    Raises
    ------
    NotFound, NoScheme
        As for its section.
    """
    group = Group.objects.filter(pk=group_id).first()
    if group is None:
        message = "There is no such group in your sections."
        raise NotFound(message)
    graded_section(group.section_id, actor)
    return group


def lock_section(section_id: int, *, now: datetime) -> list[Grade]:
    """Make the grades that a section lacks and lock all; within a transaction."""
    groups = Group.objects.filter(section_id=section_id)
    refresh_grades(groups.filter(grade__isnull=True), why="opened", now=now)
    return list(
        Grade.objects.select_for_update(of=("self",))
        .filter(group__section_id=section_id)
        .select_related("group")
        .order_by("pk")
    )


def lock_course(course_id: int) -> None:
    """Lock all grades of a course, in the order in which all others do."""
    rows = Grade.objects.select_for_update().filter(group__section__course=course_id)
    list(rows.order_by("pk").values_list("pk"))


def lock_grade(group_id: int, *, seen: int, now: datetime) -> Grade:
    """Lock one grade as the actor saw it; within a transaction.

    Raises
    ------
    StaleGrade
        Somebody changed it since.
    NotFound
        The group has no grade yet: its readings are being computed.
    """
    groups = Group.objects.filter(pk=group_id)
    refresh_grades(groups.filter(grade__isnull=True), why="opened", now=now)
    grade = (
        Grade.objects.select_for_update(of=("self",))
        .select_related("group")
        .filter(group_id=group_id)
        .first()
    )
    if grade is None:
        message = "This group's readings are still being computed. Try again soon."
        raise NotFound(message)
    if grade.version != seen:
        raise stale([grade])
    return grade


def check_seen(preview: Preview, seen: str) -> None:
    """Let nobody decide on another list of who changes than they looked at.

    Raises
    ------
    CannotGrade
        The preview's mark is no longer the one that was seen.
    """
    if preview.mark != seen:
        message = (
            "The list of who changes is not the one you looked at. Look at it as "
            "it is now, then decide again; nothing was changed."
        )
        raise CannotGrade(message)


def stale(grades: Iterable[Grade]) -> StaleGrade:
    """Return the refusal that says who changed some grades, and when; one query."""
    rows = {grade.pk: grade for grade in grades}
    last: dict[int, GradeEvent] = {}
    for event in GradeEvent.objects.filter(grade_id__in=rows).order_by("pk"):
        last[event.grade_id] = event
    return StaleGrade(
        [
            Changed(
                grade.group.code,
                last[pk].by_name if pk in last else "",
                timezone.localtime(last[pk].at) if pk in last else None,
                last[pk].get_kind_display() if pk in last else "",
            )
            for pk, grade in rows.items()
        ]
    )


def event(
    grade: Grade,
    kind: GradeEvent.Kind,
    actor: Actor,
    now: datetime,
    *,
    before: Decimal | None = None,
    why: str = "",
) -> GradeEvent:
    """Return an unsaved event of what an actor did to a grade."""
    return GradeEvent(
        grade=grade,
        kind=kind,
        at=now,
        by_id=actor.user_id,
        by_name=actor.name,
        before=before,
        after=grade.final_points,
        why=why,
    )


def written(text: str, *, or_else: str = "") -> str:
    """Return text as it is stored.

    Parameters
    ----------
    or_else : str
        What is said if nothing was written; then it may be missing if empty.

    Raises
    ------
    BadGrade
        It is missing, or too long to keep.
    """
    stripped = text.replace("\x00", "").strip()
    if or_else and not stripped:
        raise BadGrade(or_else)
    if len(stripped) > _LONGEST_TEXT:
        message = tell("Shorten the text to {n} signs.", n=_LONGEST_TEXT)
        raise BadGrade(message)
    return stripped
