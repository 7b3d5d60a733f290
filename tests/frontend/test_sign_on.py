"""Signing in at the college, against a provider that runs beside the tests."""

import pytest
from django.contrib.auth.models import User
from django.urls import reverse

from results.models import OutsideIdentity
from tests.factories import NOW, PASSWORD, make_section, make_staff
from tests.frontend.college import ZOE
from tests.frontend.sign_on import (
    at_college,
    college,
    is_in,
    set_up,
    sign_on,
)

__all__ = ["college"]
pytestmark = pytest.mark.django_db


@pytest.fixture
def zoe(college):
    """An assistant whom the site knows from the college."""
    user = make_staff("zoe", role="assistant", section=make_section())
    OutsideIdentity.objects.create(
        user=user, issuer=college.issuer, subject=ZOE["sub"], linked_at=NOW
    )
    return user


def test_who_is_known_from_the_college_comes_in(client, college, zoe):
    answer = sign_on(client)

    assert answer.url == reverse("staff-home")
    assert "Section A1" in client.get(answer.url).text
    assert client.session["_auth_user_id"] == str(zoe.pk)


def test_a_person_is_sent_where_they_wanted_to_go(client, college, zoe):
    wanted = reverse("section", args=[zoe.duties.get().section_id])

    page = client.get(reverse("staff-sign-in"), {"next": wanted}).text
    answer = sign_on(client, next=wanted)

    assert f'href="{reverse("sign-on")}?next={wanted.replace("/", "%2F")}"' in page
    assert answer.url == wanted


@pytest.mark.parametrize(
    "wanted", ["//elsewhere.example/", "https://elsewhere.example", "javascript:x"]
)
def test_nobody_is_sent_elsewhere(client, college, zoe, wanted):
    assert sign_on(client, next=wanted).url == reverse("staff-home")


def test_a_session_begins_anew_and_ends_within_the_day(client, college, zoe):
    back = at_college(client)
    before = client.session.session_key

    client.get(back)

    assert client.session.session_key != before
    assert 11 * 3600 < client.session.get_expiry_age() <= 12 * 3600


def test_the_sign_in_page_offers_the_college_only_where_there_is_one(client, settings):
    assert "Sign in with" not in client.get(reverse("staff-sign-in")).text
    assert client.get(reverse("sign-on")).status_code == 404
    assert client.get(reverse("sign-on-back")).status_code == 404
    assert client.get(reverse("signed-out")).status_code == 404


def test_who_signs_out_is_told_that_the_college_still_knows_them(client, college, zoe):
    sign_on(client)

    answer = client.post(reverse("staff-sign-out"), follow=True)

    assert not is_in(client)
    assert f'href="{college.issuer}/leave?client_id=benchwide"' in answer.text


def test_a_college_without_an_end_of_sessions_is_only_named(client, college, zoe):
    college.described = {"end_session_endpoint": None}
    sign_on(client)

    answer = client.post(reverse("staff-sign-out"), follow=True)

    assert "still be signed in with Northfold College" in answer.text
    assert "Sign out of" not in answer.text


def test_who_signed_in_with_a_password_is_told_nothing_of_the_college(client, college):
    make_staff("ada")
    form = {"username": "ada", "password": PASSWORD}
    client.post(reverse("staff-sign-in"), form)

    assert client.post(reverse("staff-sign-out")).url == reverse("home")


def test_keys_may_change_at_any_time(client, college, zoe):
    sign_on(client)
    client.post(reverse("staff-sign-out"))

    college.published = ["summer"]
    sign_on(client)

    assert is_in(client)
    assert college.asked.count("/keys") == 2


def test_two_keys_may_be_published_at_once(client, college, zoe):
    college.published = ["spring", "summer"]

    sign_on(client)

    assert is_in(client)


def test_the_college_is_asked_for_its_description_once(client, college, zoe):
    for _ in range(3):
        sign_on(client)
        client.post(reverse("staff-sign-out"))

    assert college.asked.count("/.well-known/openid-configuration") == 1


def test_a_college_may_want_the_secret_in_the_form(client, college, zoe):
    ways = ["client_secret_post"]
    college.described = {"token_endpoint_auth_methods_supported": ways}

    sign_on(client)

    assert is_in(client)


@pytest.mark.parametrize(
    "described", [{"issuer": "https://other.example"}, {"jwks_uri": ""}]
)
def test_a_description_of_somebody_else_is_not_believed(client, college, described):
    college.described = described

    assert client.get(reverse("sign-on")).status_code == 503


def test_where_the_college_is_away_the_sites_own_accounts_work(client, college):
    make_staff("ada")
    college.is_ill = True

    answer = client.get(reverse("sign-on"))
    form = {"username": "ada", "password": PASSWORD}
    local = client.post(reverse("staff-sign-in"), form)

    assert answer.status_code == 503
    assert "The sign-in of Northfold College does not answer" in answer.text
    assert f'href="{reverse("staff-sign-in")}"' in answer.text
    assert local.url == reverse("staff-home")


def test_a_college_that_nobody_can_reach_is_away(client, college, settings):
    set_up(settings, college, issuer="http://127.0.0.1:9")

    assert client.get(reverse("sign-on")).status_code == 503


def test_the_college_may_go_away_meanwhile(client, college, zoe):
    back = at_college(client)
    college.is_ill = True

    answer = client.get(back)

    assert answer.status_code == 503
    assert not is_in(client)


def test_somebody_unknown_is_told_whom_to_ask(client, college, settings):
    set_up(settings, college, email_domains=())

    answer = sign_on(client)

    assert answer.status_code == 403
    assert "nobody has given you a duty here" in answer.text
    assert "<dd>zoe</dd>" in answer.text
    assert not is_in(client)
    assert not User.objects.exists()


def test_who_has_an_account_without_a_duty_is_told_whom_to_ask(
    client, college, settings
):
    set_up(settings, college, make_accounts=True)

    answer = client.get(sign_on(client).url)

    assert "Ask the coordinator of your course" in answer.text
    assert "<b>zoe</b>" in answer.text
    assert not User.objects.get().has_usable_password()


def test_a_closed_account_stays_closed(client, college, zoe):
    User.objects.update(is_active=False)

    assert sign_on(client).status_code == 403
    assert not is_in(client)


def test_what_the_token_leaves_out_is_asked_for(client, college, settings):
    set_up(settings, college, make_accounts=True)
    college.claims = dict.fromkeys(["preferred_username", "email", "email_verified"])

    sign_on(client)

    user = User.objects.get()
    assert (user.username, user.email) == ("zoe", "zoe@chem.example")


def test_another_claim_may_name_people(client, college, settings):
    set_up(settings, college, make_accounts=True, claim_username="staff_no")
    college.person["staff_no"] = "c1234"

    sign_on(client)

    assert User.objects.get().username == "c1234"
