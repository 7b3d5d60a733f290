"""Setting what a course lets groups and assistants see."""

from dataclasses import asdict

from django.db import transaction

from results.models import Course
from results.models.courses import coordinated_course
from results.policy.access import Actor
from results.policy.refusals import NotAdmitted, Problem
from results.summaries.preparing.policies import Policies, labels_without_sign

_MOST_NAMED = 3


def keep_policies(course_code: str, policies: Policies, *, actor: Actor) -> None:
    """Set the policies of a course; they hold at once.

    Raises
    ------
    NotFound
        The actor coordinates no such course.
    NotAdmitted
        Labels are to be checked, and there are vials whose labels have no check sign:
        their groups could not type them.
    """
    with transaction.atomic():
        found = coordinated_course(course_code, rights=actor.rights)
        # The course's row is the lock under which its vials are labelled, too.
        course = Course.objects.select_for_update().get(pk=found.pk)
        if policies.vial_labels_checked and not course.vial_labels_checked:
            _check_labels(course)
        Course.objects.filter(pk=course.pk).update(**asdict(policies))


def _check_labels(course: Course) -> None:
    bare = labels_without_sign(course)
    if not bare:
        return
    named = ", ".join(bare[:_MOST_NAMED])
    more = len(bare) - _MOST_NAMED
    if more > 0:
        named += f" and {more} more"
    noun = "vial has a label" if len(bare) == 1 else "vials have labels"
    message = (
        f"{len(bare)} {noun} without a check sign ({named}): groups could no longer "
        "type them. Relabel these first."
    )
    raise NotAdmitted([Problem(("vial_labels_checked",), message)])
