"""A whole term's course is issued while the coordinator waits."""

import time

import pytest

from results.issuing import issue_by_plan, preview_plan
from results.models import Issue
from results.policy.issuing import IssuingWish
from tests.factories import NOW, actor, make_staff
from tests.results.issued import make_prepared

pytestmark = pytest.mark.django_db


def test_thirty_sections_are_issued_in_under_five_seconds(
    django_assert_max_num_queries,
):
    course = make_prepared(sections=30, per_section=12, lots=8, stations=40, vials=52)
    ada = actor(make_staff("ada", course=course))
    sections = frozenset(course.sections.values_list("pk", flat=True))
    wish = IssuingWish(seed=7, sections=sections)
    plan = preview_plan("IRON-1", wish, rights=ada.rights, now=NOW)

    start = time.process_time()
    # As many as for few groups, but for the rows that go in several portions.
    with django_assert_max_num_queries(35):
        done = issue_by_plan("IRON-1", wish, seen=plan.mark, actor=ada, now=NOW)
    took_s = time.process_time() - start

    assert took_s < 5
    assert done.n_vials == Issue.objects.count() == 360
    assert plan.conflicts == 0
    assert plan.cannot_tell == ()
