"""Pages on which vials are planned, issued and listed."""

import re

import pytest
from django.test import Client
from django.urls import reverse

from results import intake
from results.models import Group, Issue
from results.policy.codes import read_code
from tests.factories import make_staff, slip_code
from tests.results.issued import make_prepared

pytestmark = pytest.mark.django_db
PAGES = ["prepare-issuing", "prepare-issue-list"]


@pytest.fixture
def course():
    return make_prepared(lots=4, stations=6, per_section=6)


@pytest.fixture
def coordinator(client, course):
    client.force_login(make_staff("ada", course=course))
    return client


def page(client, name="prepare-issuing", query=""):
    return client.get(reverse(name, args=["IRON-1"]) + query)


def press(client, button, course, **fields):
    sections = fields.pop("section", list(course.sections.values_list("pk", flat=True)))
    form = {"seed": "7", "section": sections, button: "1", **fields}
    return client.post(reverse("prepare-issuing", args=["IRON-1"]), form)


def mark_of(answer):
    return re.search(r'name="seen" value="(\w+)"', answer.content.decode())[1]


def test_a_plan_is_looked_at_then_issued_and_listed(coordinator, course):
    assert "12 of 12 groups have no vial yet" in page(coordinator).content.decode()

    shown = press(coordinator, "preview", course)
    text = shown.content.decode()
    assert "12 vials would be issued; no two neighbours share a lot" in text
    assert "would be found in" in text
    assert not Issue.objects.exists()

    done = press(coordinator, "issue", course, seen=mark_of(shown))

    assert done["Location"] == reverse("prepare-issue-list", args=["IRON-1"])
    listed = page(coordinator, "prepare-issue-list").content.decode()
    assert "12 vials by bench" in listed
    vials = Issue.objects.values_list("vial__code", flat=True)
    assert all(f">{vial}<" in listed for vial in vials)


@pytest.mark.parametrize(
    ("button", "fields", "status", "words"),
    [
        ("preview", {"seed": "seven"}, 422, "whole number"),
        ("preview", {"section": []}, 422, "Choose the sections"),
        ("preview", {"again": "1"}, 422, "Write why"),
        ("preview", {"reason": "x" * 201}, 422, "Shorten the reason"),
        ("issue", {"seen": "another"}, 409, "changed since you looked"),
        ("preview", {"group": "99999"}, 404, "no such group"),
    ],
)
def test_what_cannot_be_done_is_said_and_nothing_is_lost(
    coordinator, course, button, fields, status, words
):
    answer = press(
        coordinator,
        button,
        course,
        **{"reason": "spilt"} | fields | ({"reason": ""} if "again" in fields else {}),
    )

    text = answer.content.decode()
    assert answer.status_code == status
    assert words in text
    assert status == 404 or f'value="{fields.get("seed", "7")}"' in text
    assert not Issue.objects.exists()


def test_why_there_is_no_plan_is_said_in_words(coordinator, course):
    course.lots.exclude(code="LA").delete()

    text = press(coordinator, "preview", course).content.decode()

    assert "There is no such plan; nothing was issued" in text
    assert "Neighbours cannot differ" in text
    assert 'name="issue"' not in text


def test_one_group_gets_another_vial_and_its_history_is_shown(coordinator, course):
    shown = press(coordinator, "preview", course)
    press(coordinator, "issue", course, seen=mark_of(shown))
    group = Group.objects.get(section__code="A1", place=3)
    before = group.issues.get().vial.code
    only = {"section": [], "group": group.pk, "reason": "spilt"}

    asked = page(coordinator, query=f"?group={group.pk}").content.decode()
    assert "Another vial for group 3 of section A1" in asked
    shown = press(coordinator, "preview", course, **only)
    press(coordinator, "issue", course, seen=mark_of(shown), **only)

    text = page(coordinator, "prepare-issue-list").content.decode()
    assert "Groups that gave a vial back" in text
    assert "spilt (by plan, seed 7)" in text
    assert text.count(f">{before}<") == 1


def test_the_issue_list_names_no_lot(coordinator, course):
    shown = press(coordinator, "preview", course)
    press(coordinator, "issue", course, seen=mark_of(shown))

    text = page(coordinator, "prepare-issue-list").content.decode()

    assert not re.search(r"\bL[A-D]\b", text)


def test_groups_see_their_vial_and_never_its_lot(coordinator, course):
    shown = press(coordinator, "preview", course)
    press(coordinator, "issue", course, seen=mark_of(shown))
    group = Group.objects.get(section__code="A1", place=3)
    vial = group.issues.get().vial
    vial.code = "7K3"
    vial.save()
    vial.lot.code = "secret-lot"
    vial.lot.save()
    phone = signed_in(group)

    text = phone.get(reverse("bench-sheet")).content.decode()

    assert "7K3" in text
    assert "secret-lot" not in text


def test_a_group_is_told_its_station_and_chooses_for_itself(coordinator, course):
    shown = press(coordinator, "preview", course)
    press(coordinator, "issue", course, seen=mark_of(shown))
    group = Group.objects.get(section__code="A1", place=3)
    station = group.planned_station

    text = signed_in(group).get(reverse("bench-sheet")).content.decode()
    assert f"Planned for your group: station {station.code}." in text
    assert " selected" not in text

    station.in_service = False
    station.save()
    text = signed_in(group).get(reverse("bench-sheet")).content.decode()
    assert "Planned for your group" not in text


def signed_in(group):
    group.slip_digest = intake.slip_digest(read_code(slip_code(3)))
    group.save()
    phone = Client()
    phone.post(reverse("home"), {"slip_code": slip_code(3)})
    return phone


def test_pages_cost_the_same_queries_however_many_groups(
    coordinator, course, django_assert_num_queries
):
    # session, user, duties; course, free vials, places, students, issues, groups,
    # sections
    with django_assert_num_queries(10):
        page(coordinator)
    with django_assert_num_queries(10):
        page(coordinator, "prepare-issue-list")


@pytest.mark.parametrize("name", PAGES)
def test_only_coordinators_come_in(client, course, name):
    assert page(client, name).status_code == 302

    ben = make_staff("ben", role="assistant", section=course.sections.first())
    client.force_login(ben)

    assert page(client, name).status_code == 404
    assert press(client, "preview", course).status_code == 404
