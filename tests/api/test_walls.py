"""Every address, asked for with every kind of token."""

import pytest
from django.urls import path

from api.urls import urlpatterns
from tests import factories
from tests.api.bodies import body

FOR_GROUPS = {"bench-sheet", "submissions", "submission", "own-grade"}
FOR_STAFF = {
    "courses",
    "course",
    "course-sections",
    "course-summary",
    "course-tolerances",
    "course-stations",
    "course-lots",
    "course-section-effects",
    "course-slopes",
    "course-slips",
    "course-contrasts",
    "course-scores",
    "course-package",
    "lot-values",
    "station-service",
    "section",
    "section-groups",
    "section-summary",
    "group",
    "computation",
    "computation-check",
    "section-grades",
    "section-grades-csv",
    "section-grades-xlsx",
    "section-grades-oneroster",
    "grade-history",
    "answers",
}
PUBLIC = {
    "sign-in",
    "staff-sign-in",
    "problems",
    "problem",
    "openapi",
    "docs",
    "nothing-here",
}


@pytest.fixture
def paths(bench):
    factories.make_grading(bench.course)
    factories.submit(bench.group)
    factories.worked_off()
    numbers = {
        "<int:revision>": 1,
        "<slug:code>": "IRON-1",
        "<int:section_id>": bench.section.pk,
        "<int:group_id>": bench.group.pk,
        "<int:lot_id>": bench.lot.pk,
        "<int:station_id>": bench.station.pk,
    }
    paths = {}
    for one in urlpatterns:
        path = str(one.pattern)
        for placeholder, number in numbers.items():
            path = path.replace(placeholder, str(number))
        paths[one.name] = path
    return paths


def without_a_rule(patterns):
    """Names of addresses that stand in no list, or in one for nothing."""
    named = [one.name for one in patterns]
    return set(named) ^ (FOR_GROUPS | FOR_STAFF | PUBLIC)


def test_every_address_belongs_to_groups_to_staff_or_to_all():
    assert without_a_rule(urlpatterns) == set()
    assert len({str(one.pattern) for one in urlpatterns}) == len(urlpatterns)


def test_a_new_address_without_a_rule_is_noticed():
    new = path("brand-new", urlpatterns[0].callback, name="brand-new")

    assert without_a_rule([*urlpatterns, new]) == {"brand-new"}
    assert without_a_rule(urlpatterns[1:]) == {urlpatterns[0].name}


def test_every_address_says_for_whom_it_is():
    """An address that forgot is for whoever has a token, of either kind."""
    asked = {
        one.name: {
            found.__name__ for found in one.callback.view_class.permission_classes
        }
        for one in urlpatterns
    }

    assert {
        name for name, found in asked.items() if found == {"ForGroups"}
    } == FOR_GROUPS
    assert {name for name, found in asked.items() if found == {"ForStaff"}} == FOR_STAFF
    assert {name for name, found in asked.items() if found == {"AllowAny"}} == PUBLIC


@pytest.mark.parametrize("name", sorted(FOR_GROUPS))
def test_addresses_of_groups_open_to_groups_only(group_program, paths, name):
    assert group_program.see(paths[name]).status_code == 200

    factories.make_staff("ada")
    assert group_program.as_staff("ada").see(paths[name]).status_code == 403

    group_program.credentials()
    assert group_program.see(paths[name]).status_code == 401


@pytest.mark.parametrize("name", sorted(FOR_STAFF))
def test_addresses_of_staff_open_to_staff_only(group_program, paths, name):
    assert group_program.see(paths[name]).status_code == 403

    factories.make_staff("ada")
    assert group_program.as_staff("ada").see(paths[name]).status_code == 200

    group_program.credentials()
    assert group_program.see(paths[name]).status_code == 401


def test_staff_cannot_send_readings(program, bench):
    factories.make_staff("ada")

    response = program.as_staff("ada").send(body())

    assert response.status_code == 403
    assert response.json()["type"] == "/api/v1/problems/not-for-this-token"


def test_a_session_of_the_pages_opens_nothing_here(client, bench):
    client.force_login(factories.make_staff("ada"))

    assert client.get("/api/v1/courses").status_code == 401


@pytest.mark.parametrize("number", [2**63, 10**30, -(10**30)])
def test_a_number_that_no_database_could_look_for_is_not_found(program, bench, number):
    factories.make_staff("ada")
    program.as_staff("ada")

    asked = [
        program.see("answers", section=number),
        *(
            program.see(str(one.pattern).replace("<int:group_id>", str(number)))
            for one in urlpatterns
            if str(one.pattern).startswith("groups/") and number > 0
        ),
    ]

    assert {answer.status_code for answer in asked} == {404}
