"""A section's grades on one page: what is suggested, what was set, what waits."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from results.models import Grade, GradingScheme, Group, Section
from results.policy.access import Rights
from results.policy.marking import NOTHING_RECEIVED, Scheme, read_scheme, suggest
from results.policy.marking.refusals import NoScheme
from results.policy.refusals import NotFound
from results.summaries.grade_rows import (
    GradeRow,
    rechecks_of,
    row_with_grade,
    row_without_grade,
)
from results.summaries.lines import findings_for_students
from results.summaries.section import group_rows, natural


@dataclass(frozen=True, slots=True, kw_only=True)
class GradingBoard:
    """A section's grades at one moment; rows to look at first, then by code."""

    section_id: int
    section: str
    course: str
    course_title: str
    is_coordinator: bool
    may_see_assigned: bool
    scheme_title: str
    scheme_version: int
    max_points: Decimal
    part_names: tuple[str, ...]
    rows: tuple[GradeRow, ...]

    def count(self, *states: str) -> int:
        """Return how many grades are in some states."""
        return sum(row.state in states for row in self.rows)

    @property
    def n_to_look(self) -> int:
        """Number of drafts that a person should look at."""
        return sum(row.state == "draft" and bool(row.look) for row in self.rows)

    @property
    def n_clean(self) -> int:
        """Number of drafts that can be accepted together."""
        return sum(
            row.state == "draft" and not row.look and row.suggested is not None
            for row in self.rows
        )

    @property
    def last_released_at(self) -> datetime | None:
        """When grades of the section were released last."""
        moments = [row.released_at for row in self.rows if row.released_at]
        return max(moments, default=None)


def grading_board(section_id: int, *, rights: Rights) -> GradingBoard:
    """Return a section's grades; the same number of queries however many groups.

    Raises
    ------
    NotFound
        There is no such section, or the viewer does not grade it.
    NoScheme
        Its course has no grading scheme yet.
    """
    section = Section.objects.select_related("course").filter(pk=section_id).first()
    if section is None or not rights.may_grade(section_id, section.course_id):
        message = "There is no such section among yours."
        raise NotFound(message)
    course = section.course
    stored = GradingScheme.objects.filter(course=course).order_by("-version").first()
    if stored is None:
        raise NoScheme(course.code)
    scheme = read_scheme(stored.document)
    open_values = rights.may_see_assigned(
        section_id, course.pk, assistants_see_assigned=course.assistants_see_assigned
    )
    rows = _rows(Group.objects.filter(section=section), scheme, open_values=open_values)
    return GradingBoard(
        section_id=section.pk,
        section=section.code,
        course=course.code,
        course_title=course.title,
        is_coordinator=rights.may_see_course(course.pk),
        may_see_assigned=open_values,
        scheme_title=scheme.title,
        scheme_version=stored.version,
        max_points=scheme.max_points,
        part_names=_part_names(rows),
        rows=tuple(sorted(rows, key=_first_to_look)),
    )


def _part_names(rows: Iterable[GradeRow]) -> tuple[str, ...]:
    """Return the names of all parts that occur, in their order."""
    return tuple(dict.fromkeys(part.name.value for row in rows for part in row.parts))


def by_code(row: GradeRow) -> tuple[int, str]:
    """Order rows by the group's code, "2" before "10"."""
    return natural(row.work.group)


def _first_to_look(row: GradeRow) -> tuple[bool, tuple[int, str]]:
    return not row.wants_look, by_code(row)


def _rows(
    groups: Iterable[Group], scheme: Scheme, *, open_values: bool
) -> list[GradeRow]:
    # grades; requests; the work (five); what groups are told of it
    grades = {
        grade.group_id: grade
        for grade in Grade.objects.filter(group__in=groups).select_related(
            "accepted_by", "seen_by"
        )
    }
    rechecks = rechecks_of(grade.pk for grade in grades.values())
    told = findings_for_students(
        grade.submission_id for grade in grades.values() if grade.submission_id
    )
    nothing = suggest(NOTHING_RECEIVED, scheme)
    rows = []
    for work in group_rows(groups, open_values=open_values):
        grade = grades.get(work.group_id)
        if grade is None:
            rows.append(row_without_grade(work, nothing, scheme))
        else:
            found = told.get(grade.submission_id or 0, ())
            asked = rechecks.get(grade.pk, ())
            rows.append(row_with_grade(work, grade, found, asked))
    return rows
