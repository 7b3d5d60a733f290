"""Passwords and sessions of staff: set by a link, changed, hashed, ended."""

import pytest
from django.contrib.auth.hashers import identify_hasher, make_password
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from results.rosters.staff import make_link, withdraw_link
from tests.factories import NOW, PASSWORD, actor, make_staff
from tests.frontend.sign_on import is_in

pytestmark = pytest.mark.django_db
OTHER = "a-bath-wide-and-warm"


def signed_in(client, password=PASSWORD):
    return client.post(
        reverse("staff-sign-in"), {"username": "ada", "password": password}
    )


def change(client, *, old=PASSWORD, new=OTHER, again=OTHER):
    form = {"old_password": old, "new_password1": new, "new_password2": again}
    return client.post(reverse("change-password"), form)


def with_link(client, *, now=NOW):
    """Open the link that Ada was given."""
    link = make_link("ada", now=now)
    return client.get(reverse("welcome-link", args=[link.token]))


@pytest.fixture
def at_noon(time_machine):
    time_machine.move_to(NOW, tick=False)


@pytest.fixture
def ada():
    return make_staff("ada")


def test_passwords_are_kept_by_argon2(ada):
    assert identify_hasher(ada.password).algorithm == "argon2"


def test_a_hash_of_another_kind_is_made_anew_at_the_next_sign_in(client, ada):
    User.objects.update(password=make_password(PASSWORD, hasher="pbkdf2_sha256"))

    signed_in(client)

    ada.refresh_from_db()
    assert identify_hasher(ada.password).algorithm == "argon2"
    assert ada.check_password(PASSWORD)


def test_a_session_begins_anew_and_ends_within_the_day(client, ada):
    client.get(reverse("staff-home"))
    session = client.session
    session["before"] = True
    session.save()
    client.cookies["sessionid"] = before = session.session_key

    signed_in(client)

    assert client.session.session_key != before
    assert 11 * 3600 < client.session.get_expiry_age() <= 12 * 3600


def test_a_session_does_not_last_longer_by_being_used(client, ada, time_machine):
    time_machine.move_to(NOW, tick=False)
    signed_in(client)
    time_machine.shift(11 * 3600)
    assert is_in(client)
    session = client.session
    session["used"] = True
    session.save()

    time_machine.shift(3601)

    assert not is_in(client)


def test_cookies_are_for_this_site_and_no_script(client, ada, settings):
    settings.SESSION_COOKIE_SECURE = True

    cookie = signed_in(client).cookies["sessionid"]

    assert (cookie["httponly"], cookie["samesite"], cookie["secure"]) == (
        True,
        "Lax",
        True,
    )


@pytest.mark.parametrize(
    "wanted", ["//elsewhere.example/", "https://elsewhere.example"]
)
def test_a_sign_in_leads_to_no_other_site(client, ada, wanted):
    form = {"username": "ada", "password": PASSWORD, "next": wanted}

    assert client.post(reverse("staff-sign-in"), form).url == reverse("staff-home")


def test_a_password_is_changed_and_other_browsers_are_signed_out(client, ada):
    elsewhere = Client()
    signed_in(client)
    signed_in(elsewhere)

    answer = change(client)

    assert "Your password is changed." in client.get(answer.url).text
    assert is_in(client)
    assert not is_in(elsewhere)
    assert signed_in(Client(), OTHER).status_code == 302


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"old": "wrong"}, "old password was entered incorrectly"),
        ({"again": "another"}, "The two password fields didn’t match."),
        ({"new": "1234567", "again": "1234567"}, "too short"),
        ({"new": "password", "again": "password"}, "too common"),
    ],
)
def test_a_password_that_cannot_be_changed_says_what_to_mend(
    client, ada, changes, words
):
    signed_in(client)

    answer = change(client, **changes)

    assert answer.status_code == 422
    assert words in answer.text
    assert User.objects.get().check_password(PASSWORD)


def test_guessing_the_password_of_an_open_session_is_slowed_down(client, ada, at_noon):
    signed_in(client)
    for _ in range(20):
        assert change(client, old="wrong").status_code == 422

    assert change(client).status_code == 429
    assert User.objects.get().check_password(PASSWORD)


def test_who_signs_in_at_the_college_has_no_password_to_change(client, ada):
    ada.set_unusable_password()
    ada.save()
    client.force_login(ada)

    assert change(client).status_code == 422
    assert "Change your password" not in client.get(reverse("staff-home")).text


def test_nobody_changes_a_password_without_signing_in(client, ada):
    assert reverse("staff-sign-in") in change(client).url


def test_a_link_leaves_the_address_bar_and_no_session_keeps_it(client, ada, at_noon):
    answer = with_link(client)

    assert answer.url == reverse("welcome")
    assert not client.session.keys()
    cookie = answer.cookies["welcome"]
    assert (cookie["httponly"], cookie["samesite"], cookie["path"]) == (
        True,
        "Lax",
        "/staff/",
    )


def test_a_link_sets_the_password_and_lets_in(client, ada, at_noon):
    with_link(client)

    answer = client.post(reverse("welcome"), {"password": OTHER, "again": OTHER})

    assert "Your password is set." in client.get(answer.url).text
    assert client.session.get_expiry_age() == 12 * 3600
    assert client.get(reverse("welcome")).status_code == 422


def test_a_reset_signs_other_browsers_out(client, ada, at_noon):
    elsewhere = Client()
    signed_in(elsewhere)
    with_link(client)

    client.post(reverse("welcome"), {"password": OTHER, "again": OTHER})

    assert not is_in(elsewhere)


@pytest.mark.parametrize(
    ("password", "again", "words"),
    [(OTHER, "another", "are not the same"), ("1234", "1234", "too short")],
)
def test_a_password_that_cannot_be_set_leaves_the_link_good(
    client, ada, at_noon, password, again, words
):
    with_link(client)

    answer = client.post(reverse("welcome"), {"password": password, "again": again})

    assert answer.status_code == 422
    assert words in answer.text
    assert client.get(reverse("welcome")).status_code == 200


def test_a_link_that_is_good_no_more_says_whom_to_ask(client, ada, at_noon):
    with_link(client)
    withdraw_link("IRON-1", ada.pk, actor=actor(ada), now=NOW)

    answer = client.get(reverse("welcome"))

    assert answer.status_code == 422
    assert "Ask the coordinator of your course for a new one." in answer.text
    assert answer.cookies["welcome"]["max-age"] == 0


def test_guessing_links_is_slowed_down(client, ada, at_noon):
    for number in range(20):
        client.get(reverse("welcome-link", args=[f"guess-{number}"]), follow=True)

    assert with_link(client).status_code == 302
    assert client.get(reverse("welcome")).status_code == 429


def test_a_cookie_that_nobody_signed_opens_nothing(client, ada, at_noon):
    client.cookies["welcome"] = make_link("ada", now=NOW).token

    assert client.get(reverse("welcome")).status_code == 422
