"""Adopting a protocol that a coordinator has looked at."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction

from results.models.courses import locked_course
from results.policy.access import Actor
from results.policy.protocol import read_protocol
from results.policy.refusals import NotAdmitted, Problem
from results.rosters.course import Adopted, number_protocol

_LONGEST_TITLE = 120


def adopt_protocol_seen(
    course_code: str,
    document: Mapping[str, Any],
    *,
    title: str,
    seen_version: int,
    actor: Actor,
    now: datetime,
) -> Adopted:
    """Make a document the protocol in force, unless another one came between.

    What was received stays under the version that it was received under.

    Parameters
    ----------
    seen_version : int
        The version that the actor looked at; 0 if there was none.

    Raises
    ------
    NotFound
        The actor coordinates no such course.
    NotAdmitted
        The document has problems; all of them are named.
    ProtocolChanged
        Somebody adopted another version meanwhile.
    """
    with transaction.atomic():
        course = locked_course(course_code, rights=actor.rights)
        read_protocol(document)
        if len(title) > _LONGEST_TITLE:
            message = f"Shorten the title to {_LONGEST_TITLE} signs."
            raise NotAdmitted([Problem(("title",), message)])
        return number_protocol(
            course, document, title=title, now=now, seen_version=seen_version
        )
