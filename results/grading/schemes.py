"""Adopting a grading scheme; what people have set waits for their decision."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction

from results.models import Course, GradingScheme, Group
from results.models.courses import coordinated_course, locked_course
from results.policy.access import Actor
from results.policy.marking import read_scheme
from results.policy.marking.refusals import CannotGrade
from results.recompute import refresh_grades

_GROUPS_AT_ONCE = 300


@dataclass(frozen=True, slots=True)
class AdoptedScheme:
    """The scheme in force; `n_changed` grades were suggested or proposed anew."""

    version: int
    n_changed: int


def adopt_grading_scheme(
    course_code: str,
    document: Mapping[str, Any],
    *,
    seen_version: int,
    actor: Actor,
    now: datetime,
) -> AdoptedScheme:
    """Make a document the grading scheme of a course, as a new version.

    Drafts follow it; grades that a person has set keep their number, and what the
    new scheme would make of them waits as a proposal.

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
    CannotGrade
        Somebody adopted another version meanwhile.
    """
    with transaction.atomic():
        course = locked_course(course_code, rights=actor.rights)
        read_scheme(document)
        last = course.grading_schemes.order_by("-version").first()
        version = last.version if last else 0
        if last is not None and last.document == dict(document):
            return AdoptedScheme(version, 0)
        if version != seen_version:
            message = (
                f"Version {version} was adopted meanwhile. Look at it, then decide "
                "again; nothing was overwritten."
            )
            raise CannotGrade(message)
        GradingScheme.objects.create(
            course=course,
            version=version + 1,
            document=dict(document),
            adopted_at=now,
            adopted_by_id=actor.user_id,
        )
        changed = refresh_course(
            course.pk,
            why=f"grading scheme, version {version + 1}",
            now=now,
            actor=actor,
        )
    return AdoptedScheme(version + 1, changed)


def refresh_course(course_id: int, *, why: str, now: datetime, actor: Actor) -> int:
    """Suggest all grades of a course anew; return how many changed."""
    ids = Group.objects.filter(section__course_id=course_id).values_list(
        "pk", flat=True
    )
    return refresh_groups(sorted(ids), why=why, now=now, actor=actor)


def refresh_groups(
    group_ids: Sequence[int],
    *,
    why: str,
    now: datetime,
    actor: Actor,
    granting: bool = False,
) -> int:
    """Suggest the grades of some groups anew, some hundred at a time."""
    return sum(
        refresh_grades(
            Group.objects.filter(pk__in=group_ids[start : start + _GROUPS_AT_ONCE]),
            why=why,
            now=now,
            by_id=actor.user_id,
            by_name=actor.name,
            granting=granting,
        )
        for start in range(0, len(group_ids), _GROUPS_AT_ONCE)
    )


def show_errors(course_code: str, *, shown: bool, actor: Actor) -> None:
    """Set whether groups see how far off they were, once grades are released.

    Raises
    ------
    NotFound
        The actor coordinates no such course.
    """
    course = coordinated_course(course_code, rights=actor.rights)
    Course.objects.filter(pk=course.pk).update(error_shown=shown)
