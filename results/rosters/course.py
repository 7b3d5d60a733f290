"""Making a course and adopting its protocol."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction

from results.models import Course, Protocol
from results.models.courses import find_course
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
        # The course's row is the lock under which its versions are numbered.
        Course.objects.select_for_update().get(pk=course.pk)
        last = course.protocols.order_by("-version").first()
        if last is not None and last.document == dict(document):
            return Adopted(last.version, created=False)
        version = last.version + 1 if last else 1
        Protocol.objects.create(
            course=course,
            version=version,
            title=title,
            document=dict(document),
            adopted_at=now,
        )
    return Adopted(version, created=True)
