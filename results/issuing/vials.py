"""Putting a vial into a group's hands."""

from datetime import datetime

from django.db import transaction

from results.models import Group, Issue, Vial


def issue_vial(*, vial_id: int, group_id: int, now: datetime) -> bool:
    """Issue a vial to a group; return whether anything changed.

    Whoever held the vial, and whatever the group held, is ended at the same
    moment: a vial is with one group at a time, and a group has one vial.
    """
    with transaction.atomic():
        Group.objects.select_for_update().get(pk=group_id)
        Vial.objects.select_for_update().get(pk=vial_id)
        live = Issue.objects.filter(ended_at__isnull=True)
        if live.filter(vial_id=vial_id, group_id=group_id).exists():
            return False
        live.filter(vial_id=vial_id).update(ended_at=now)
        live.filter(group_id=group_id).update(ended_at=now)
        Issue.objects.create(vial_id=vial_id, group_id=group_id, issued_at=now)
        return True
