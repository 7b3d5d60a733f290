"""Filling groups: everybody without one gets one, as it was shown."""

from collections.abc import Iterable
from datetime import datetime

from django.db import transaction

from results.models import Group, Student
from results.models.courses import locked_course
from results.models.rostered import course_benches
from results.policy.access import Actor
from results.policy.roster.benches import Filling, filling_mark, plan_filling
from results.policy.roster.filling import Wish
from results.policy.roster.refusals import RosterChanged
from results.rosters.membership import store_people


def fill_groups(
    course_code: str,
    wish: Wish,
    *,
    section_id: int | None,
    seen: str,
    actor: Actor,
    now: datetime,
) -> tuple[Filling, ...]:
    """Put people into groups; return what was done, section by section.

    Nothing that groups hold or have sent is touched.

    Parameters
    ----------
    section_id : int or None
        None fills all sections of the course.
    seen : str
        The mark of the preview.

    Raises
    ------
    NotFound
        The actor coordinates no such course.
    RosterChanged
        People, groups or the wish changed since the preview.
    """
    with transaction.atomic():
        course = locked_course(course_code, rights=actor.rights)
        benches = course_benches(course, section_id)
        if filling_mark(benches, wish) != seen:
            raise RosterChanged
        fillings = tuple(plan_filling(one, wish) for one in benches)
        _carry_out(fillings, now)
    return fillings


def _carry_out(fillings: Iterable[Filling], now: datetime) -> None:
    groups = [(one.section_id, group) for one in fillings for group in one.groups]
    made = Group.objects.bulk_create(
        Group(section_id=section_id, code=group.code, place=group.place)
        for section_id, group in groups
        if group.pk is None
    )
    made_as = {(group.section_id, group.code): group.pk for group in made}
    goes_to = {
        seat.pk: group.pk or made_as[section_id, group.code]
        for section_id, group in groups
        for seat in group.members
    }
    people = Student.objects.in_bulk(goes_to)
    was_in = {pk: one.group_id for pk, one in people.items()}
    for pk, one in people.items():
        one.group_id = goes_to[pk]
    store_people(people.values(), was_in=was_in, now=now)
