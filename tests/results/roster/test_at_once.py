"""Two coordinators at once: one list is carried out, the other told of it."""

import pytest

from results.models import Membership, Student
from results.policy.roster.filling import Wish
from results.policy.roster.refusals import RosterChanged
from results.rosters import enrol_people, fill_groups
from results.summaries.preparing.groups import filling_preview
from results.summaries.preparing.rosters import roster_preview
from tests.factories import NOW
from tests.results.grading.test_at_once import together
from tests.results.roster.courses import (
    coordinator,
    enter,
    grid_of,
    matching_of,
)

pytestmark = pytest.mark.django_db(transaction=True)


def outcome(deed):
    try:
        return deed()
    except RosterChanged:
        return "told"


def test_two_lists_made_of_one_course_are_not_both_carried_out(course):
    ada = coordinator(course)

    def brings(*rows):
        grid = grid_of(*rows)
        matching = matching_of(grid)
        seen = roster_preview(course.code, grid, matching, rights=ada.rights).mark
        return lambda: outcome(
            lambda: enrol_people(
                course.code, grid, matching, seen=seen, actor=ada, now=NOW
            )
        )

    came = together(brings("New Birk,9,A2,"), brings("New Birk,9,A1,"))

    assert came.count("told") == 1
    assert Student.objects.filter(number="9").count() == 1


def test_groups_are_filled_once(course):
    ada = coordinator(course)
    enter("New Birk", "9", course.sections.get(code="A2"))
    seen = filling_preview(course.code, Wish(), rights=ada.rights, section_id=None).mark

    def fills():
        return outcome(
            lambda: fill_groups(
                *(course.code, Wish()), section_id=None, seen=seen, actor=ada, now=NOW
            )
        )

    came = together(fills, fills)

    assert came.count("told") == 1
    assert Membership.objects.filter(student__number="9").count() == 1
