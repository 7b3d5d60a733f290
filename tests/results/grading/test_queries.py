"""The number of queries does not grow with the number of groups."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from results import grading
from results.models import Grade, Group
from results.policy.marking import DEFAULT_DOCUMENT
from results.recompute import refresh_grades
from results.summaries.grading import grading_board
from results.summaries.own_grade import own_grade
from results.summaries.previews import Draft, allowance_preview, scheme_preview
from tests.factories import NOW, actor, make_staff
from tests.results.grading.classes import make_graded, versions

pytestmark = pytest.mark.django_db
SIZES = [3, 60]
STRICT = {**DEFAULT_DOCUMENT, "worked_answer": {"points": 5, "per_slip": 5}}


@pytest.fixture(params=SIZES)
def graded(request):
    section, _ = make_graded(request.param - 1, 1)
    return section


@pytest.fixture
def ada(graded):
    return actor(make_staff("ada", course=graded.course))


def count(deed):
    with CaptureQueriesContext(connection) as queries:
        deed()
    return sum(
        not query["sql"].startswith(("SAVEPOINT", "RELEASE"))
        for query in queries.captured_queries
    )


def test_the_grading_page(graded, ada):
    # section with course; scheme; groups (for grades, for work); grades; requests;
    # what groups are told; students; submissions with answers; findings; values
    assert count(lambda: grading_board(graded.pk, rights=ada.rights)) == 10


def test_a_preview_of_a_scheme(graded, ada):
    # course; work: groups, submissions, revisions, protocols, findings, values;
    # grades; allowances; scheme in force
    code = graded.course.code
    assert count(lambda: scheme_preview(code, STRICT, rights=ada.rights)) == 10


def test_a_preview_of_an_allowance(graded, ada):
    # course; the section; scheme in force; the work, six; grades; allowances
    draft = Draft("section", graded.pk, "full_accuracy", None, "why")
    code = graded.course.code
    assert count(lambda: allowance_preview(code, draft, rights=ada.rights)) == 11


def test_accepting_and_releasing_a_section(graded, ada):
    seen = versions(graded)
    # section with course; scheme exists; groups without a grade; lock; what groups
    # are told; grades; events
    accepting = count(
        lambda: grading.accept_grades(graded.pk, seen=seen, actor=ada, now=NOW)
    )
    seen = versions(graded)
    # section with course; scheme exists; groups without a grade; lock; groups
    # without a grade by code; grades; events; section
    releasing = count(
        lambda: grading.release_section(graded.pk, seen=seen, actor=ada, now=NOW)
    )

    assert (accepting, releasing) == (7, 8)


def test_suggesting_all_anew(graded):
    Grade.objects.update(suggested_points=1, suggested={"parts": [], "look": []})
    groups = Group.objects.filter(section=graded)

    # groups of graded courses; lock; work (six); scheme; allowances; grades; events
    assert count(lambda: refresh_grades(groups, why="tried", now=NOW)) == 12
    assert set(Grade.objects.values_list("suggested_points", flat=True)) == {12, 20}


def test_a_groups_own_grade(graded, ada):
    group = graded.groups.first()
    # grade with group, section and course
    assert count(lambda: own_grade(group.pk, now=NOW)) == 1
    seen = versions(graded)
    grading.accept_grades(graded.pk, seen=seen, actor=ada, now=NOW)
    seen = versions(graded)
    grading.release_section(graded.pk, seen=seen, actor=ada, now=NOW)

    # grade with group, section and course; requests
    assert count(lambda: own_grade(group.pk, now=NOW)) == 2
