"""How a course grades: its scheme in force, and the allowances granted so far."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from results.models import (
    Allowance,
    Course,
    GradingScheme,
    Lot,
    Section,
    Station,
)
from results.models.courses import coordinated_course
from results.policy.access import Rights
from results.policy.marking import AllowanceKind
from results.summaries.section import natural


@dataclass(frozen=True, slots=True)
class SchemeVersion:
    """One version of a course's scheme."""

    version: int
    title: str
    adopted_at: datetime
    adopted_by: str


@dataclass(frozen=True, slots=True)
class CourseScheme:
    """The scheme in force; `document` is empty while there is none.

    Attributes
    ----------
    versions : tuple of SchemeVersion
        Newest first.
    error_shown : bool
        Whether groups see how far off they were, once grades are released.
    """

    course: str
    course_title: str
    version: int
    document: Mapping[str, Any]
    versions: tuple[SchemeVersion, ...]
    error_shown: bool


@dataclass(frozen=True, slots=True)
class GrantedBefore:
    """One allowance, with the list of who changed as the coordinator saw it."""

    label: str
    kind: str
    amount: float | None
    reason: str
    granted_at: datetime
    granted_by: str
    changes: tuple[Mapping[str, Any], ...]


@dataclass(frozen=True, slots=True)
class Target:
    """Something that an allowance can be granted for: "lot:3" and its words."""

    value: str
    label: str


@dataclass(frozen=True, slots=True)
class CourseAllowances:
    """Allowances of a course, newest first, and what one can be granted for."""

    course: str
    course_title: str
    granted: tuple[GrantedBefore, ...]
    targets: tuple[Target, ...]


def course_scheme(course_code: str, *, rights: Rights) -> CourseScheme:
    """Return how a course grades.

    Raises
    ------
    NotFound
        The viewer coordinates no such course.
    """
    course = coordinated_course(course_code, rights=rights)
    rows = list(
        GradingScheme.objects.filter(course=course)
        .select_related("adopted_by")
        .order_by("-version")
    )
    return CourseScheme(
        course=course.code,
        course_title=course.title,
        version=rows[0].version if rows else 0,
        document=rows[0].document if rows else {},
        versions=tuple(
            SchemeVersion(
                row.version,
                row.document["title"],
                row.adopted_at,
                row.adopted_by.get_username() if row.adopted_by else "",
            )
            for row in rows
        ),
        error_shown=course.error_shown,
    )


def course_allowances(course_code: str, *, rights: Rights) -> CourseAllowances:
    """Return what was allowed in a course so far.

    Raises
    ------
    NotFound
        The viewer coordinates no such course.
    """
    course = coordinated_course(course_code, rights=rights)
    rows = (
        Allowance.objects.filter(course=course)
        .select_related("lot", "station", "section", "granted_by")
        .order_by("-granted_at", "-pk")
    )
    return CourseAllowances(
        course=course.code,
        course_title=course.title,
        granted=tuple(
            GrantedBefore(
                row.label,
                AllowanceKind(row.kind).label,
                row.amount,
                row.reason,
                row.granted_at,
                row.granted_by.get_username(),
                tuple(row.changes),
            )
            for row in rows
        ),
        targets=tuple(_targets(course)),
    )


def _targets(course: Course) -> list[Target]:
    targets = []
    for what, model in (("lot", Lot), ("station", Station), ("section", Section)):
        rows = model.objects.filter(course=course).values_list("pk", "code")
        targets += [
            Target(f"{what}:{pk}", f"{what} {code}")
            for pk, code in sorted(rows, key=lambda row: natural(row[1]))
        ]
    return targets
