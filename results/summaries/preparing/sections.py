"""The sections of a course with what would be lost if one were taken away."""

import hashlib
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Count, QuerySet

from results.models import (
    Course,
    Group,
    Issue,
    Section,
    SheetDraft,
    Student,
    Submission,
)
from results.models.courses import coordinated_course
from results.policy.access import Rights
from results.policy.timetable import SectionTimes


@dataclass(frozen=True, slots=True, kw_only=True)
class PreparedSection:
    """One section; `mark` changes with its code, title and times."""

    section_id: int
    code: str
    title: str
    opens_at: datetime | None
    due_at: datetime | None
    closes_at: datetime | None
    n_groups: int
    n_students: int
    n_vials: int
    n_drafts: int
    n_submissions: int
    mark: str

    @property
    def holds(self) -> str:
        """What would be lost with it, in words; empty if it can be taken away."""
        counts = (
            (self.n_submissions, "submission"),
            (self.n_students, "student"),
            (self.n_vials, "issued vial"),
            (self.n_drafts, "sheet begun"),
        )
        return ", ".join(
            f"{n} {word if n == 1 else _several(word)}" for n, word in counts if n
        )


def _several(word: str) -> str:
    return "sheets begun" if word == "sheet begun" else f"{word}s"


@dataclass(frozen=True, slots=True)
class PreparedSections:
    """The sections of a course, by code."""

    course: str
    course_title: str
    sections: tuple[PreparedSection, ...]


def prepared_sections(course_code: str, *, rights: Rights) -> PreparedSections:
    """Return the sections of a course; seven queries.

    Raises
    ------
    NotFound
        There is no such course, or the viewer does not coordinate it.
    """
    course = coordinated_course(course_code, rights=rights)
    return PreparedSections(course.code, course.title, tuple(sections_of(course)))


def sections_of(course: Course) -> list[PreparedSection]:
    """Return the sections of a course, by code as people count; six queries."""
    rows = Section.objects.filter(course=course)
    counts = {
        "n_groups": _counts(Group.objects.filter(section__in=rows), "section"),
        "n_students": _counts(Student.objects.filter(section__in=rows), "section"),
        "n_vials": _counts(
            Issue.objects.filter(group__section__in=rows), "group__section"
        ),
        "n_drafts": _counts(
            SheetDraft.objects.filter(group__section__in=rows), "group__section"
        ),
        "n_submissions": _counts(
            Submission.objects.filter(group__section__in=rows), "group__section"
        ),
    }
    return [
        _prepared(row, {name: by.get(row.pk, 0) for name, by in counts.items()})
        for row in sorted(rows, key=lambda one: (len(one.code), one.code))
    ]


def _counts(rows: QuerySet[Any], section: str) -> dict[int, int]:
    counted = rows.order_by().values_list(section).annotate(n=Count("pk"))
    return dict(counted)


def section_mark(section: Section | SectionTimes) -> str:
    """Return a mark that changes with a section's code, title and times.

    Times count in minutes, as boxes hold them: what a page shows has the mark of
    what is stored.
    """
    times = (section.opens_at, section.due_at, section.closes_at)
    stamps = [str(int(t.timestamp() // 60)) if t else "" for t in times]
    text = "\n".join([section.code, section.title, *stamps])
    return hashlib.sha256(text.encode()).hexdigest()[:32]


def _prepared(row: Section, counts: dict[str, int]) -> PreparedSection:
    return PreparedSection(
        section_id=row.pk,
        code=row.code,
        title=row.title,
        opens_at=row.opens_at,
        due_at=row.due_at,
        closes_at=row.closes_at,
        mark=section_mark(row),
        **counts,
    )
