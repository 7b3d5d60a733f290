"""The page of a course's staff."""

import re

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from results.models import Duty, Invitation
from results.rosters.staff import invite
from tests.factories import (
    NOW,
    PASSWORD,
    actor,
    make_course,
    make_section,
    make_staff,
)

pytestmark = pytest.mark.django_db
PAGE = "/staff/courses/IRON-1/prepare/staff/"


@pytest.fixture
def section():
    return make_section()


@pytest.fixture
def ada(client, section):
    client.force_login(make_staff("ada"))
    return client


def press(client, deed, person="ben", duty="section:A1", **fields):
    form = {"deed": deed, "person": person, "duty": duty, **fields}
    return client.post(PAGE, form)


def test_the_page_says_who_works_in_the_course(ada, section):
    make_staff("ben", role="assistant", section=section)
    make_section(section.course, "A2")

    text = ada.get(PAGE).text

    assert reverse("prepare-staff", args=["IRON-1"]) == PAGE
    assert "One person coordinates the course, one assists its sections" in text
    assert "Nobody assists section A2." in text
    assert "assists section A1" in text


def test_a_duty_is_given_taken_and_noted(ada):
    make_staff("ben", role=None)

    given = press(ada, "give")
    had = Duty.objects.filter(user__username="ben").exists()
    taken = press(ada, "take")

    assert (given.status_code, had, taken.status_code) == (302, True, 302)
    text = ada.get(PAGE).text
    assert "ada: ben assists section A1" in text
    assert "ada: ben no longer assists section A1" in text


def test_what_changes_nothing_is_said(ada):
    make_staff("ben", role=None)
    press(ada, "give")

    for deed, words in (
        ("give", "The person has it already."),
        ("take", "The duty is taken."),
        ("take", "Nobody has this duty."),
    ):
        press(ada, deed)
        assert words in ada.get(PAGE).text


def test_somebody_new_gets_a_link_that_is_shown_once(ada):
    shown = press(ada, "invite", "zoe", name="Zoe Lindqvist")

    (link,) = re.findall(
        r"<code>(http://testserver/staff/welcome/\S+/)</code>", shown.text
    )
    assert "it is shown only once" in shown.text
    assert "<svg" in shown.text
    text = ada.get(PAGE).text
    assert link not in text
    assert "Zoe Lindqvist" in text
    assert "has no password yet" in text


def test_the_link_lets_somebody_set_a_password_and_work(ada):
    shown = press(ada, "invite", "zoe").text
    zoe = Client()

    asked = zoe.get(re.search(r"<code>(\S+)</code>", shown)[1], follow=True)
    done = zoe.post(reverse("welcome"), {"password": PASSWORD, "again": PASSWORD})

    assert "Set your password, zoe" in asked.text
    assert done.url == reverse("staff-home")
    assert "Section A1" in zoe.get(done.url).text


def test_a_link_is_made_anew_and_withdrawn(ada):
    press(ada, "invite", "zoe")
    zoe = str(User.objects.get(username="zoe").pk)

    again = press(ada, "link", zoe)
    withdrawn = press(ada, "withdraw", zoe)

    assert "Hand this link to zoe" in again.text
    assert withdrawn.status_code == 302
    assert Invitation.objects.filter(withdrawn_at__isnull=False).count() == 2
    press(ada, "withdraw", zoe)
    assert "There is no open link." in ada.get(PAGE).text


@pytest.mark.parametrize(
    ("deed", "fields", "words"),
    [
        ("give", {"person": "nobody"}, "There is no account nobody."),
        ("give", {"duty": ""}, "Choose what the person is to do."),
        ("give", {"duty": "section:"}, "Choose what the person is to do."),
        ("give", {"duty": "section:Z9"}, "The course has no section Z9."),
        ("invite", {"person": "ada"}, "ada has an account already."),
        ("invite", {"person": "z o e"}, "Give a user name of letters"),
        ("take", {"person": "ada", "duty": "course"}, "without a coordinator"),
        ("link", {"person": "{ada}"}, "Change your own password on your own page."),
    ],
)
def test_what_is_refused_says_what_to_mend(ada, deed, fields, words):
    make_staff("ben", role=None)
    if fields.get("person") == "{ada}":
        fields = {"person": str(User.objects.get(username="ada").pk)}

    answer = press(ada, deed, **fields)

    assert answer.status_code == 422
    assert words in answer.text
    assert Duty.objects.count() == 1


def test_nothing_typed_is_lost(ada):
    answer = press(ada, "give", "nobody", name="No Body")

    assert 'value="nobody"' in answer.text
    assert 'value="No Body"' in answer.text
    assert '<option value="section:A1" selected>' in answer.text


def test_what_was_typed_is_shown_as_text(ada):
    answer = press(ada, "give", "<script>x</script>")

    assert "<script>x" not in answer.text
    assert "&lt;script&gt;x" in answer.text


def test_why_somebody_gets_no_link_offers_none(ada, section):
    ben = make_staff("ben", role="assistant", section=section)
    assert "Link for ben" in ada.get(PAGE).text

    Duty.objects.create(user=ben, course=make_course("IRON-2"), role="coordinator")

    assert "Link for ben" not in ada.get(PAGE).text
    assert press(ada, "link", str(ben.pk)).status_code == 422


def test_a_coordinator_who_goes_finds_the_page_closed(ada):
    make_staff("ben")

    answer = press(ada, "take", "ada", "course")

    assert answer.status_code == 302
    assert ada.get(PAGE).status_code == 404


def test_a_coordinator_sees_the_staff_of_own_courses_only(ada):
    other = make_course("IRON-2")
    make_staff("mallory", course=other)

    assert ada.get(reverse("prepare-staff", args=["IRON-2"])).status_code == 404
    assert "mallory" not in ada.get(PAGE).text


def test_only_coordinators_come_in(client, section):
    assert client.get(PAGE).status_code == 302

    client.force_login(make_staff("ben", role="assistant", section=section))

    assert client.get(PAGE).status_code == 404
    assert press(client, "give", "ben", "course").status_code == 404


def test_the_page_costs_the_same_for_two_people_and_for_twenty(
    ada, section, django_assert_num_queries
):
    who = actor(User.objects.get(username="ada"))

    def look():
        # session, user, rights; course; duties with people; links; identities; other
        # duties; sections; history
        with django_assert_num_queries(10):
            ada.get(PAGE)

    look()
    for number in range(20):
        invite("IRON-1", f"person-{number}", name="", section="A1", actor=who, now=NOW)

    look()
