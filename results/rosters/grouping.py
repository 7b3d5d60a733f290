"""Groups by hand: moving people, making and dissolving groups, numbering places."""

from collections.abc import Collection, Mapping
from datetime import datetime

from django.db import transaction

from results.models import Course, Group, Section, Student
from results.models.courses import locked_course
from results.models.rostered import course_benches
from results.policy.access import Actor
from results.policy.refusals import NotFound, NothingChosen
from results.policy.roster.benches import Benches, BenchGroup, next_number
from results.policy.roster.entries import tidy
from results.policy.roster.refusals import CannotRoster
from results.policy.typed import LONGEST_CODE
from results.rosters.membership import store_people

LAST_PLACE = 999


def move_to_group(
    course_code: str,
    section_id: int,
    student_ids: Collection[int],
    *,
    group_id: int | None,
    actor: Actor,
    now: datetime,
) -> int:
    """Put people of a section into one of its groups, or into none.

    Parameters
    ----------
    group_id : int or None
        None takes them out of their group.

    Returns
    -------
    int
        How many that changed.

    Raises
    ------
    NotFound
        The actor coordinates no such course, or it has no such section or group.
    NothingChosen
        None of the section's people was named.
    """
    with transaction.atomic():
        course = locked_course(course_code, rights=actor.rights)
        benches = _benches(course, section_id)
        if group_id is not None:
            _group(benches, group_id)
        return _move(benches, student_ids, group_id, now)


def make_group(
    course_code: str,
    section_id: int,
    *,
    code: str,
    student_ids: Collection[int] = (),
    actor: Actor,
    now: datetime,
) -> str:
    """Make a group at the next place, with these people in it; return its code.

    Parameters
    ----------
    code : str
        Empty takes the next number.

    Raises
    ------
    NotFound
        The actor coordinates no such course, or it has no such section.
    CannotRoster
        The code is too long, or another group of the section has it.
    """
    with transaction.atomic():
        course = locked_course(course_code, rights=actor.rights)
        benches = _benches(course, section_id)
        codes = [group.code for group in benches.groups]
        code = tidy(code.replace("\x00", "")) or str(next_number(codes))
        if len(code) > LONGEST_CODE:
            message = f"Shorten the group’s code to {LONGEST_CODE} signs."
            raise CannotRoster(message)
        if code in codes:
            message = f"Section {benches.section} has a group {code} already."
            raise CannotRoster(message)
        place = max((group.place or 0 for group in benches.groups), default=0) + 1
        group = Group.objects.create(section_id=section_id, code=code, place=place)
        if student_ids:
            _move(benches, student_ids, group.pk, now)
    return code


def dissolve_group(
    course_code: str, section_id: int, group_id: int, *, actor: Actor
) -> str:
    """Take away an empty group that never sent or held anything; return its code.

    Raises
    ------
    NotFound
        The actor coordinates no such course, or it has no such section or group.
    CannotRoster
        Somebody is in it, or it has submissions, a grade, or ever held a vial.
    """
    with transaction.atomic():
        course = locked_course(course_code, rights=actor.rights)
        group = _group(_benches(course, section_id), group_id)
        if not group.is_dissolvable:
            raise CannotRoster(_why_it_stays(group))
        Group.objects.filter(pk=group_id).delete()
    return group.code


def set_places(
    course_code: str, section_id: int, places: Mapping[int, int | None], *, actor: Actor
) -> None:
    """Set the places of a section's groups along the benches.

    Parameters
    ----------
    places : mapping of int to int or None
        The place by group, from 1; None for none. Groups that are not named keep
        theirs.

    Raises
    ------
    NotFound
        The actor coordinates no such course, or it has no such section or group.
    CannotRoster
        Two groups would stand at one place.
    """
    with transaction.atomic():
        course = locked_course(course_code, rights=actor.rights)
        benches = _benches(course, section_id)
        for group_id in places:
            _group(benches, group_id)
        groups = list(Group.objects.filter(section=section_id))
        for group in groups:
            group.place = places.get(group.pk, group.place)
        _check_places(groups)
        # Two groups that change places would meet at one of them on the way.
        Group.objects.filter(section=section_id).update(place=None)
        Group.objects.bulk_update(groups, ["place"])


def _check_places(groups: Collection[Group]) -> None:
    at: dict[int, str] = {}
    for group in groups:
        if group.place is None:
            continue
        if not 1 <= group.place <= LAST_PLACE:
            message = f"Group {group.code}: a place is a number from 1 to {LAST_PLACE}."
            raise CannotRoster(message)
        if group.place in at:
            message = (
                f"Groups {at[group.place]} and {group.code} cannot both stand at place "
                f"{group.place}."
            )
            raise CannotRoster(message)
        at[group.place] = group.code


def _benches(course: Course, section_id: int) -> Benches:
    if not Section.objects.filter(course=course, pk=section_id).exists():
        message = "There is no such section in this course."
        raise NotFound(message)
    (benches,) = course_benches(course, section_id)
    return benches


def _group(benches: Benches, group_id: int) -> BenchGroup:
    for group in benches.groups:
        if group.pk == group_id:
            return group
    message = "There is no such group in this section any more."
    raise NotFound(message)


def _move(
    benches: Benches, student_ids: Collection[int], group_id: int | None, now: datetime
) -> int:
    people = list(
        Student.objects.filter(
            section=benches.section_id, pk__in=student_ids, left_at__isnull=True
        )
    )
    if not people:
        message = "Tick at least one person of the section."
        raise NothingChosen(message)
    moving = [one for one in people if one.group_id != group_id]
    was_in = {one.pk: one.group_id for one in moving}
    for one in moving:
        one.group_id = group_id
    store_people(moving, was_in=was_in, now=now)
    return len(moving)


def _why_it_stays(group: BenchGroup) -> str:
    if group.members:
        return f"Group {group.code} is not empty; move its people first."
    if group.has_draft and not group.n_submissions:
        return f"Group {group.code} has begun its sheet."
    if group.n_submissions or group.has_grade:
        return f"Group {group.code} has submissions, which stay with it."
    return f"Group {group.code} held a vial; its history is kept with it."
