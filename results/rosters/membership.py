"""Who is in which group since when: the one place where that is written."""

from collections.abc import Iterable, Mapping
from datetime import datetime

from results.models import Membership, Student
from results.models.rostered import some_at_a_time

_WRITTEN = ("section", "group", "name", "number", "left_at")


def store_people(
    people: Iterable[Student], *, was_in: Mapping[int, int | None], now: datetime
) -> None:
    """Write people with what changed of them, and when they left and joined groups.

    To be called within a transaction that holds the course (`locked_course`). The
    number of statements grows with every few hundred people, not with each.

    Parameters
    ----------
    was_in : mapping of int to int or None
        The group of everybody who is on record already, by student.
    """
    known: list[Student] = []
    new: list[Student] = []
    for person in people:
        (known if person.pk in was_in else new).append(person)
    changed = [one for one in known if was_in[one.pk] != one.group_id]
    for some in some_at_a_time([one.pk for one in changed]):
        Membership.objects.filter(student__in=some, until__isnull=True).update(
            until=now
        )
    # One statement for many rows with values of their own; nobody is inserted here,
    # since every row is there.
    Student.objects.bulk_create(
        known,
        update_conflicts=True,
        unique_fields=["id"],
        update_fields=_WRITTEN,
    )
    Student.objects.bulk_create(new)
    Membership.objects.bulk_create(
        Membership(student=one, group_id=one.group_id, since=now)
        for one in (*changed, *new)
        if one.group_id is not None
    )
