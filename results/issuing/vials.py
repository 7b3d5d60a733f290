"""Putting a vial into a group's hands."""

from datetime import datetime

from django.db import transaction

from results.models import Group, Issue, Vial


def issue_vial(*, vial_id: int, group_id: int, now: datetime) -> bool:
    """Issue a vial to a group; return whether anything changed."""
    with transaction.atomic():
        # Two issues of one vial, or to one group, happen one after the other.
        Vial.objects.select_for_update().get(pk=vial_id)
        Group.objects.select_for_update().get(pk=group_id)
        return Issue.objects.hand_over(vial_id=vial_id, group_id=group_id, now=now)
