"""Making a course and adopting its protocol."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction

from results.models import Course, Protocol
from results.models.courses import find_course
from results.policy.preparing_refusals import ProtocolChanged
from results.policy.protocol import read_protocol


@dataclass(frozen=True, slots=True)
class Adopted:
    """The protocol in force; `created` is false if it already was."""

    version: int
    created: bool


def make_course(code: str, *, title: str = "") -> bool:
    """Make a course, or leave an existing one as it is; return whether it is new."""
    _, created = Course.objects.get_or_create(
        code=code, defaults={"title": title or code}
    )
    return created


def adopt_protocol(
    course_code: str, document: Mapping[str, Any], *, title: str, now: datetime
) -> Adopted:
    """Make a document the protocol in force of a course.

    A version that differs from the one in force becomes the next version;
    earlier ones stay as they are, with the submissions made under them.

    Raises
    ------
    NotFound
        There is no such course.
    NotAdmitted
        The document has problems; all of them are named.
    """
    read_protocol(document)
    with transaction.atomic():
        course = find_course(course_code)
        course = Course.objects.select_for_update().get(pk=course.pk)
        return number_protocol(course, document, title=title, now=now)


def number_protocol(
    course: Course,
    document: Mapping[str, Any],
    *,
    title: str,
    now: datetime,
    seen_version: int | None = None,
) -> Adopted:
    """Make a document that was read the next version, unless it is in force already.

    To be called within a transaction that holds the course's row, which is the lock
    under which its versions are numbered.

    Parameters
    ----------
    seen_version : int, optional
        The version that somebody looked at before deciding; 0 if there was none.

    Raises
    ------
    ProtocolChanged
        Another version was adopted since.
    """
    last = course.protocols.order_by("-version").first()
    if last is not None and last.document == dict(document):
        return Adopted(last.version, created=False)
    version = last.version if last else 0
    if seen_version not in {None, version}:
        raise ProtocolChanged(version)
    Protocol.objects.create(
        course=course,
        version=version + 1,
        title=title,
        document=dict(document),
        adopted_at=now,
    )
    return Adopted(version + 1, created=True)
