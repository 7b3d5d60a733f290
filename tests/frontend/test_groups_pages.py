"""The page of groups along the benches."""

import re

import pytest
from django.urls import reverse

from results.models import Group, Section, Student
from tests.factories import make_course, make_staff
from tests.frontend.rosters import words
from tests.results.roster.courses import at_the_bench, enter, make_rostered, places

pytestmark = pytest.mark.django_db


@pytest.fixture
def coordinator(client):
    course = make_rostered().course
    section = course.sections.get(code="A2")
    for n, name in enumerate(["Una", "Ben", "Zoe"]):
        enter(name, f"x{n}", section)
    client.force_login(make_staff("ada", course=course))
    return client


def address(section="A2"):
    pk = Section.objects.get(code=section).pk
    return reverse("prepare-groups", args=["IRON-1"]) + f"?section={pk}"


def press(client, act, section="A2", **fields):
    pk = Section.objects.get(code=section).pk
    sent = {"act": act, "section": pk, **fields}
    return client.post(reverse("prepare-groups", args=["IRON-1"]), sent)


def person(name):
    return Student.objects.get(name=name).pk


def test_who_has_no_group_stands_first(coordinator):
    page = words(coordinator.get(reverse("prepare-groups", args=["IRON-1"])))

    assert "Three people of section A2 have no group" in page
    assert "Everybody of section A1 has a group" in words(
        coordinator.get(address("A1"))
    )


def test_groups_are_shown_then_filled_as_shown(coordinator):
    before = at_the_bench()[1:]
    shown = press(coordinator, "preview", size="2", order="name", odd="smaller")
    assert "Two groups with three people would be filled" in words(shown)
    assert places()["Una"] == "A2 -"
    mark = re.search(r'name="seen" value="(\w+)"', shown.content.decode())[1]

    done = press(
        coordinator, "fill", size="2", order="name", odd="smaller", seed="0", seen=mark
    )

    assert done.status_code == 302
    assert (places()["Ben"], places()["Una"], places()["Zoe"]) == (
        *("A2 1", "A2 1", "A2 2"),
    )
    assert at_the_bench()[1:] == before


def test_a_preview_that_is_out_of_date_is_shown_anew(coordinator):
    page = press(coordinator, "fill", seen="other", scope="all")

    assert page.status_code == 409
    assert "changed after this list was made" in words(page)
    assert "One group with three people would be filled" in words(page)


def test_a_seed_is_offered_kept_and_must_be_a_number(coordinator):
    offered = words(coordinator.get(address()))
    assert re.search(r'name="seed"[^>]* value="\d+"', offered)

    shown = press(coordinator, "preview", order="random", seed="77")
    assert 'value="77"' in words(shown)
    refused = press(coordinator, "preview", order="random", seed="7e3")

    assert refused.status_code == 422
    assert "whole number from 0 to 999999" in words(refused)


def test_people_are_moved_by_hand(coordinator):
    group = Group.objects.get(code="2").pk

    press(coordinator, "move", "A1", person=person("Ivo Marsh"), to=group)

    assert places()["Ivo Marsh"] == "A1 2"
    press(coordinator, "move", "A1", person=person("Ivo Marsh"), to="none")
    assert places()["Ivo Marsh"] == "A1 -"
    press(coordinator, "move", "A1", person=person("Ivo Marsh"), to="new")
    assert places()["Ivo Marsh"] == "A1 3"


def test_a_group_is_made_and_dissolved(coordinator):
    press(coordinator, "make", code="north")
    made = Group.objects.get(code="north")
    assert f'value="dissolve:{made.pk}"' in words(coordinator.get(address()))

    press(coordinator, f"dissolve:{made.pk}")

    assert not Group.objects.filter(code="north").exists()


def test_a_group_with_work_is_not_offered_to_be_dissolved(coordinator):
    group = Group.objects.get(code="1")
    assert "dissolve:" not in words(coordinator.get(address("A1")))

    page = press(coordinator, f"dissolve:{group.pk}", "A1")

    assert page.status_code == 422
    assert "is not empty" in words(page)


def test_places_are_kept(coordinator):
    one, two = (Group.objects.get(code=code).pk for code in "12")

    press(coordinator, "places", "A1", **{f"place-{one}": "2", f"place-{two}": " 1"})

    assert sorted(Group.objects.values_list("code", "place")) == [("1", 2), ("2", 1)]


@pytest.mark.parametrize(
    ("typed", "said"),
    [(("1", "1"), "cannot both stand"), (("x", "1"), "“x” is no place")],
)
def test_places_that_cannot_be_are_refused(coordinator, typed, said):
    one, two = (Group.objects.get(code=code).pk for code in "12")

    page = press(
        coordinator,
        "places",
        "A1",
        **{f"place-{one}": typed[0], f"place-{two}": typed[1]},
    )

    assert page.status_code == 422
    assert said in words(page)


@pytest.mark.parametrize(
    ("act", "fields"),
    [("move", {}), ("move", {"to": "none"}), ("nonsense", {})],
)
def test_a_press_that_says_too_little_is_refused(coordinator, act, fields):
    assert press(coordinator, act, **fields).status_code == 422


@pytest.mark.parametrize("section", ["0", "99999", "x"])
def test_a_section_that_is_not_there_is_not_found(coordinator, section):
    page = coordinator.get(
        reverse("prepare-groups", args=["IRON-1"]), {"section": section}
    )

    assert page.status_code == 404


def test_a_course_without_sections_says_so(client):
    client.force_login(make_staff("ada", course=make_course()))

    page = client.get(reverse("prepare-groups", args=["IRON-1"]))

    assert "The course has no section yet" in words(page)
