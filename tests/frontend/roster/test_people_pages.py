"""The roster's page: people one by one, and who may see it at all."""

import pytest
from django.urls import reverse

from results.models import Group, Student
from tests.factories import make_course, make_group, make_staff
from tests.frontend.rosters import CSV, people, upload, words
from tests.results.roster.courses import enter, places

pytestmark = pytest.mark.django_db


def test_one_person_more_is_added_and_found(coordinator):
    address = reverse("prepare-roster", args=["IRON-1"])
    section = Group.objects.first().section

    coordinator.post(
        address,
        {"act": "add", "name": "New Birk", "number": "9", "section": section.pk},
    )

    assert "New Birk is on the roster" in people(coordinator, name="birk")
    assert "Ivo Marsh" not in people(coordinator, name="birk")


def test_a_person_that_cannot_be_added_stays_typed(coordinator):
    address = reverse("prepare-roster", args=["IRON-1"])

    page = coordinator.post(address, {"act": "add", "name": "New", "section": "0"})

    assert page.status_code == 422
    assert 'value="New"' in words(page)
    assert "Choose a section." in words(page)


@pytest.mark.parametrize(
    ("act", "where", "said"),
    [
        ("move", "A2 -", "One person changed section"),
        ("leave", "left", "One person left the course"),
    ],
)
def test_people_who_are_ticked_move_or_leave(coordinator, act, where, said):
    address = reverse("prepare-roster", args=["IRON-1"])
    person = Student.objects.get(name="Ivo Marsh")
    to = person.course.sections.get(code="A2").pk

    coordinator.post(address, {"act": act, "person": person.pk, "to": to})

    assert places()["Ivo Marsh"] == where
    assert said in people(coordinator)
    coordinator.post(address, {"act": "return", "person": person.pk})
    assert places()["Ivo Marsh"] in {"A2 -", "A1 -"}


@pytest.mark.parametrize("act", ["move", "leave", "return", "nonsense"])
def test_a_press_without_anybody_ticked_says_so(coordinator, act):
    address = reverse("prepare-roster", args=["IRON-1"])

    assert coordinator.post(address, {"act": act}).status_code == 422


@pytest.mark.parametrize("query", ["?section=x", "?section=99999", "?name=%00%27"])
def test_a_search_for_nobody_finds_nobody(coordinator, query):
    address = reverse("prepare-roster", args=["IRON-1"]) + query

    assert "Nobody is found." in words(coordinator.get(address))


@pytest.mark.parametrize("role", ["assistant", None])
@pytest.mark.parametrize("name", ["prepare-roster", "prepare-groups"])
def test_only_coordinators_come_in(client, role, name):
    section = Group.objects.first() or make_group()
    client.force_login(make_staff("ben", role=role, section=section.section))

    page = client.get(reverse(name, args=["IRON-1"]))

    assert page.status_code == 404
    assert upload(client, CSV).status_code == 404


def test_a_coordinator_of_another_course_does_not_come_in(client):
    other = make_course("IRON-2")
    enter("Ivo Marsh", "0", make_group().section)
    client.force_login(make_staff("ada", course=other))

    assert upload(client, CSV).status_code == 404
    assert Student.objects.count() == 1
