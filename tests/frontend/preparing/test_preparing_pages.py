"""Pages on which a course is made, and the steps of preparing it."""

import pytest
from django.urls import reverse

from results.models import Course
from tests.factories import (
    make_bench,
    make_course,
    make_grading,
    make_group,
    make_lot,
    make_section,
    make_staff,
    make_station,
    make_vial,
    slip_code,
)
from tests.frontend.prepared import filled, page, text

pytestmark = pytest.mark.django_db
PAGES = [
    "prepare",
    "prepare-protocol",
    "prepare-sections",
    "prepare-policies",
    "prepare-stations",
]


@pytest.mark.parametrize("name", PAGES)
def test_only_coordinators_prepare_a_course(client, name):
    section = make_section()
    assert page(client, name).status_code == 302

    client.force_login(make_staff("ben", role="assistant", section=section))
    assert page(client, name).status_code == 404

    client.force_login(make_staff("ada"))
    assert page(client, name).status_code == 200


def test_a_new_course_is_for_who_may_make_one(client):
    make_course()
    assert client.get(reverse("new-course")).status_code == 302

    client.force_login(make_staff("ben", role=None))
    assert client.get(reverse("new-course")).status_code == 404
    assert reverse("new-course") not in text(client.get(reverse("staff-home")))

    client.force_login(make_staff("ada"))
    assert client.get(reverse("new-course")).status_code == 200
    assert reverse("new-course") in text(client.get(reverse("staff-home")))


def test_a_course_is_made_from_nothing(ada):
    done = ada.post(reverse("new-course"), {"code": "IRON-2", "make": "1"})

    assert done["Location"] == reverse("prepare", args=["IRON-2"])
    assert "Five things are missing" in text(ada.get(done["Location"]))


def test_a_code_that_is_taken_is_refused_and_nothing_typed_is_lost(ada):
    typed = {"code": "iron-1", "title": "My iron", "look": "1"}

    answer = ada.post(reverse("new-course"), typed)

    assert answer.status_code == 422
    assert "There is a course iron-1 already" in text(answer)
    assert 'value="My iron"' in text(answer)


def test_what_a_course_would_take_over_is_shown_before_it_is_made(ada):
    make_section(opens_at="2025-03-04T14:00Z", due_at="2025-03-11T14:00Z")
    typed = {"code": "IRON-2", "like": "IRON-1", "starts": "2026-03-02"}

    hasty = ada.post(reverse("new-course"), {**typed, "make": "1"})
    shown = ada.post(reverse("new-course"), {**typed, "look": "1"})
    done = ada.post(reverse("new-course"), {**filled(shown), "make": "1"})

    assert hasty.status_code == 409
    assert "Tue 3 Mar 2026" in text(shown)
    assert Course.objects.filter(code="IRON-2").count() == 1
    assert done.status_code == 302


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"starts": ""}, "Give the first day of the new term"),
        ({"starts": "soon"}, "Give the first day of the new term"),
        ({"like": "THEIRS"}, "no such course among those that you coordinate"),
        ({"code": "new"}, "A course cannot be called"),
    ],
)
def test_a_copy_that_cannot_be_made_says_why(ada, changes, words):
    make_course("THEIRS")
    typed = {"code": "IRON-2", "like": "IRON-1", "starts": "2026-03-02", "look": "1"}

    answer = ada.post(reverse("new-course"), typed | changes)

    assert answer.status_code == 422
    assert words in text(answer)


def test_who_keeps_the_site_can_coordinate_a_lonely_course(client):
    user = make_staff("kim", role=None)
    user.is_staff = True
    user.save()
    make_course()
    client.force_login(user)

    assert "Coordinate IRON-1" in text(client.get(reverse("new-course")))
    client.post(reverse("new-course-coordinate"), {"course": "IRON-1"})

    assert page(client, "prepare").status_code == 200


def test_the_hub_lists_every_step_with_its_state(ada):
    content = text(page(ada, "prepare"))

    assert "version 1 is in force" in content
    assert "no sections yet" in content
    assert reverse("prepare-protocol", args=["IRON-1"]) in content
    assert "No section opens yet" in content


def test_the_hub_says_when_nothing_is_missing(client):
    bench = make_bench(slip=slip_code())
    make_vial(bench.lot, "418")
    client.force_login(make_staff("ada"))

    assert "Nothing is missing" in text(page(client, "prepare"))


@pytest.mark.parametrize(
    ("name", "queries"),
    # Session, user and duties, then: protocol: course, versions, course, lots, values;
    # sections: course, sections, groups, students, vials, drafts, submissions;
    # policies: course, scheme; stations: course, stations.
    [
        ("prepare-protocol", 8),
        ("prepare-sections", 10),
        ("prepare-policies", 5),
        ("prepare-stations", 5),
    ],
)
@pytest.mark.parametrize("n", [1, 4])
def test_pages_cost_the_same_however_much_there_is(
    ada, name, queries, n, django_assert_num_queries
):
    make_grading()
    for i in range(n):
        make_group(make_section(code=f"A{i}"))
        make_station(code=f"S{i}")
        make_lot(code=f"L{i}")

    with django_assert_num_queries(queries):
        assert page(ada, name).status_code == 200
