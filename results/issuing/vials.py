"""Putting a vial into a group's hands."""

from datetime import datetime

from django.db import transaction

from results.models import Group, Issue, Lot, Vial
from results.policy.refusals import NotFound


def issue_vial(*, vial_id: int, group_id: int, now: datetime) -> bool:
    """Issue a vial to a group; return whether anything changed.

    Raises
    ------
    NotFound
        The vial, or its lot, is retired.
    """
    with transaction.atomic():
        # Two issues of one vial, or to one group, happen one after the other.
        vial = Vial.objects.select_for_update().get(pk=vial_id)
        if vial.retired_at or Lot.objects.get(pk=vial.lot_id).retired_at:
            message = f"Vial {vial.code} is retired. Take another one."
            raise NotFound(message)
        Group.objects.select_for_update().get(pk=group_id)
        return Issue.objects.hand_over(vial_id=vial_id, group_id=group_id, now=now)
