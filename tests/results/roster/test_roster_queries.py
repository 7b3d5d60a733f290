"""The number of queries does not grow with each person."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from results.models import Student
from results.policy.roster.filling import Wish
from results.rosters import fill_groups
from results.summaries.preparing.groups import course_groups, filling_preview
from results.summaries.preparing.rosters import course_roster, roster_preview
from tests.factories import NOW, make_section
from tests.results.roster.courses import bring, grid_of, matching_of

pytestmark = pytest.mark.django_db
# Fewer than what SQLite, or one list of values, takes in one statement.
FEW, MANY = 3, 100


@pytest.fixture
def course():
    section = make_section()
    make_section(section.course, "A2")
    return section.course


def count(deed):
    with CaptureQueriesContext(connection) as queries:
        deed()
    return sum(
        not query["sql"].startswith(("SAVEPOINT", "RELEASE"))
        for query in queries.captured_queries
    )


def rows(n, section="A1", name="Person", group=""):
    return [f"{name} {one},{one},{section},{group}" for one in range(n)]


def costs(course, ada, n):
    """Queries of a roster of new people, of one in which all change, of filling."""
    new = count(lambda: bring(course, ada, *rows(n, group="1")))
    changed = count(lambda: bring(course, ada, *rows(n, "A2", "Somebody")))
    seen = filling_preview(course.code, Wish(), rights=ada.rights, section_id=None).mark
    filled = count(
        lambda: fill_groups(
            *(course.code, Wish()), section_id=None, seen=seen, actor=ada, now=NOW
        )
    )
    left = count(lambda: bring(course, ada, "Odd Birk,x,A1,", whole=True))
    return new, changed, filled, left


def test_carrying_out_costs_the_same_for_few_and_for_many(course, ada):
    few = costs(course, ada, FEW)
    Student.objects.all().delete()
    course.sections.all().delete()
    for code in ("A1", "A2"):
        make_section(course, code)

    assert costs(course, ada, MANY) == few


@pytest.mark.parametrize("n", [FEW, MANY])
def test_looking_costs_the_same_for_few_and_for_many(course, ada, n):
    bring(course, ada, *rows(n))
    grid = grid_of(*rows(n, "A2"))
    how = {"rights": ada.rights}
    code = course.code

    # course; sections; groups; people
    assert count(lambda: roster_preview(code, grid, matching_of(grid), **how)) == 4
    # course; sections with counts; people; how many were found; how many left
    assert count(lambda: course_roster(code, **how)) == 5
    # course; sections; memberships; people; groups
    assert count(lambda: course_groups(code, **how)) == 5


def test_a_roster_of_5000_is_carried_out_in_few_statements(course, ada):
    n = count(lambda: bring(course, ada, *rows(5000)))

    assert Student.objects.count() == 5000
    # On SQLite a statement takes about a hundred people, elsewhere all.
    assert n < 100
