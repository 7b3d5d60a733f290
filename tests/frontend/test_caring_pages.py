"""Pages on which lots get another value and stations leave service."""

import re
from io import BytesIO
from zipfile import ZipFile

import pytest
from django.test import Client
from django.urls import reverse

from results.models import AssignedValue, StationNote
from tests.factories import make_staff, make_station, slip_code
from tests.results.grading.classes import grade_of, make_graded

pytestmark = pytest.mark.django_db
PAGES = ["lot-value", "station-service", "course-package"]


@pytest.fixture
def graded():
    return make_graded(2, 0)


@pytest.fixture
def coordinator(client, graded):
    section, _ = graded
    client.force_login(make_staff("ada", course=section.course))
    return client


@pytest.fixture
def form(graded):
    AssignedValue.objects.update(valid_from="2025-01-01T00:00Z")
    return {
        "lot": str(graded[0].course.lots.get().pk),
        "iron_percent": "12,6",
        "u_iron_percent": "0.03",
        "valid_from": "2025-02-01T08:00",
        "reason": "assayed again",
    }


def page(client, name):
    return client.get(reverse(name, args=["IRON-1"]))


def press(client, name, **fields):
    return client.post(reverse(name, args=["IRON-1"]), fields)


def test_a_value_is_previewed_then_assigned_and_both_are_shown(
    coordinator, graded, form
):
    _, groups = graded

    shown = press(coordinator, "lot-value", preview="1", **form)
    text = shown.content.decode()
    mark = re.search(r'name="seen" value="(\w+)"', text)[1]
    assert "Two of two groups would change; nobody is affected yet" in text
    assert AssignedValue.objects.count() == 1

    done = press(coordinator, "lot-value", assign="1", seen=mark, **form)

    assert done.status_code == 302
    assert grade_of(groups[0]).suggested_points < 20
    after = page(coordinator, "lot-value").content.decode()
    assert "12.6" in after
    assert "assayed again" in after
    assert "1 January 2025" in after


@pytest.mark.parametrize(
    ("changes", "status", "words"),
    [
        ({"lot": "0"}, 422, "Choose a lot"),
        ({"iron_percent": "much"}, 422, "is not a number"),
        ({"iron_percent": "0"}, 422, "above 0 to 100"),
        ({"valid_from": ""}, 422, "Give the day and time"),
        ({"assign": "1", "seen": "other"}, 409, "not the one you looked at"),
        ({"assign": "1", "reason": ""}, 422, "Write the reason"),
    ],
)
def test_a_value_that_cannot_be_assigned_loses_nothing_typed(
    coordinator, form, changes, status, words
):
    answer = press(coordinator, "lot-value", **form | changes)

    text = answer.content.decode()
    assert answer.status_code == status
    assert words in text
    assert (form | changes)["u_iron_percent"] in text
    assert AssignedValue.objects.count() == 1


def test_a_station_is_taken_out_of_service_and_no_longer_offered(coordinator, graded):
    section, _ = graded
    station = make_station(section.course, "77")
    group = Client()
    group.post(reverse("home"), {"slip_code": slip_code(1)})
    assert 'value="77"' in group.get(reverse("bench-sheet")).content.decode()

    done = press(
        coordinator,
        "station-service",
        station=station.pk,
        service="out",
        note="lamp flickers",
    )

    assert done.status_code == 302
    text = page(coordinator, "station-service").content.decode()
    assert "stations is out of service" in text
    assert "ada: out of service, lamp flickers" in text
    assert 'value="77"' not in group.get(reverse("bench-sheet")).content.decode()


def test_a_station_without_a_note_stays_in_service(coordinator, graded):
    station = make_station(graded[0].course, "77")

    answer = press(
        coordinator, "station-service", station=station.pk, service="out", note=" "
    )

    assert answer.status_code == 422
    assert "Write why" in answer.content.decode()
    assert not StationNote.objects.exists()


def test_the_package_names_nobody_unless_asked(coordinator, graded):
    def names(query):
        answer = coordinator.get(reverse("course-package", args=["IRON-1"]) + query)
        assert answer["Content-Type"] == "application/zip"
        return ZipFile(BytesIO(answer.content)).namelist()

    assert "students.csv" not in names("")
    assert "students.csv" in names("?names=yes")


@pytest.mark.parametrize("name", PAGES)
def test_only_coordinators_come_in(client, graded, name):
    section, _ = graded
    assert page(client, name).status_code == 302

    client.force_login(make_staff("ben", role="assistant", section=section))

    assert page(client, name).status_code == 404
