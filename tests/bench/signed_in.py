"""A course whose groups are all signed in."""

import json
import sys

from django.utils import timezone

from api.authentication import group_token
from results.intake import SignedInBySlip
from results.models import Group
from results.policy.codes import slip_mark
from tests.factories import make_course, make_section, make_station


def tell(n_groups):
    """Make the course with one group more, and write the tokens of the others."""
    course = make_course("RUSH")
    section, now = make_section(course), timezone.now()
    make_station(course)
    groups = Group.objects.bulk_create(
        Group(
            section=section,
            code=str(number),
            slip_digest=f"{number:064d}",
            slip_issued_at=now,
        )
        for number in range(n_groups + 1)
    )
    tokens = [
        group_token(SignedInBySlip(one.pk, slip_mark(one.slip_digest)), now=now).token
        for one in groups[:n_groups]
    ]
    json.dump(tokens, sys.stdout)
