"""A course's protocol while it is being written: the versions that there are."""

from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from typing import Any

from django.db.models import Count

from results.models.courses import coordinated_course
from results.policy.access import Rights
from results.policy.protocol_differences import differences
from results.policy.protocol_start import protocol_to_start_from


@dataclass(frozen=True, slots=True)
class ProtocolVersion:
    """One version; `changes` says in words how it differs from the one before it."""

    version: int
    title: str
    adopted_at: datetime
    n_submissions: int
    is_in_force: bool
    changes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CourseProtocols:
    """The versions of a course, newest first.

    Attributes
    ----------
    start : dict
        The document that the form starts from: of the version asked for, of the
        newest one, or, where there is none, one to start from.
    start_title, start_version : str, int
        Its title and version; 0 for none.
    """

    course: str
    course_title: str
    version: int
    versions: tuple[ProtocolVersion, ...]
    start: dict[str, Any]
    start_title: str
    start_version: int


def course_protocols(
    course_code: str, *, rights: Rights, version: int = 0
) -> CourseProtocols:
    """Return the versions of a course's protocol; two queries.

    Parameters
    ----------
    version : int
        The version to start from; 0 for the newest.

    Raises
    ------
    NotFound
        There is no such course, or the viewer does not coordinate it.
    """
    course = coordinated_course(course_code, rights=rights)
    rows = list(
        course.protocols.annotate(n_submissions=Count("submissions")).order_by(
            "version"
        )
    )
    changes = [(), *(differences(a.document, b.document) for a, b in pairwise(rows))]
    start = next((row for row in rows if row.version == version), None) or (
        rows[-1] if rows else None
    )
    return CourseProtocols(
        course=course.code,
        course_title=course.title,
        version=rows[-1].version if rows else 0,
        versions=tuple(
            ProtocolVersion(
                version=row.version,
                title=row.title,
                adopted_at=row.adopted_at,
                n_submissions=row.n_submissions,
                is_in_force=row is rows[-1],
                changes=told,
            )
            for row, told in reversed(list(zip(rows, changes, strict=False)))
        ),
        start=start.document if start else protocol_to_start_from(),
        start_title=start.title if start else "Iron by its phenanthroline colour",
        start_version=start.version if start else 0,
    )
