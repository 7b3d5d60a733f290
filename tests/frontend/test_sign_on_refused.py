"""What comes back from the college is believed only if everything about it is good."""

import time
from urllib.parse import parse_qs, urlencode, urlsplit

import pytest
from django.test import Client
from django.urls import reverse

from results.models import OutsideIdentity
from tests.factories import NOW, make_staff
from tests.frontend.college import ZOE
from tests.frontend.sign_on import at_college, college, is_in, sign_on

__all__ = ["college"]
pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def zoe(college):
    """A coordinator whom the site knows from the college."""
    user = make_staff("zoe")
    OutsideIdentity.objects.create(
        user=user, issuer=college.issuer, subject=ZOE["sub"], linked_at=NOW
    )
    return user


def refused(client, answer):
    """Whether an answer says so, and nobody came in."""
    assert answer.status_code == 422, answer.status_code
    assert "did not come to its end" in answer.text
    return not is_in(client)


def changed(address, **changes):
    """An address with other values in its query."""
    parts = urlsplit(address)
    query = {name: one[0] for name, one in parse_qs(parts.query).items()} | changes
    given = {name: one for name, one in query.items() if one is not None}
    return f"{parts.path}?{urlencode(given)}"


HOUR_AGO = int(time.time()) - 3600
CLAIMS = {
    "another nonce": {"nonce": "of-somebody-else"},
    "no nonce": {"nonce": None},
    "expired": {"iat": HOUR_AGO - 300, "exp": HOUR_AGO},
    "no end": {"exp": None},
    "not yet valid": {"nbf": HOUR_AGO + 2 * 3600},
    "issued in the future": {"iat": HOUR_AGO + 2 * 3600, "exp": HOUR_AGO + 3 * 3600},
    "for another site": {"aud": "library"},
    "for another site, asked by this one": {"aud": "library", "azp": "benchwide"},
    "for two, asked by the other": {"aud": ["benchwide", "library"], "azp": "library"},
    "for nobody": {"aud": None},
    "of another issuer": {"iss": "https://other.example"},
    "of no issuer": {"iss": None},
    "about nobody": {"sub": None},
    "about an empty name": {"sub": ""},
    "about a number": {"sub": 248289761001},
    "about a name too long": {"sub": "x" * 256},
    "about a name that nobody can read": {"sub": "zoe\x00"},
}


@pytest.mark.parametrize("claims", CLAIMS.values(), ids=CLAIMS.keys())
def test_a_token_that_says_something_else_lets_nobody_in(client, college, claims):
    college.claims = claims

    assert refused(client, sign_on(client))


@pytest.mark.parametrize("algorithm", ["none", "HS256"])
def test_a_token_that_no_published_key_signed_lets_nobody_in(
    client, college, algorithm
):
    # The provider's document offers both, and it still counts for nothing.
    college.algorithm = algorithm

    assert refused(client, sign_on(client))


def test_a_signature_of_another_key_lets_nobody_in(client, college):
    college.signed_by = "of-somebody-else"

    assert refused(client, sign_on(client))


def test_a_key_that_was_withdrawn_lets_nobody_in(client, college):
    college.published = ["summer"]
    college.signed_by = college.key_named = "spring"

    assert refused(client, sign_on(client))


@pytest.mark.parametrize("token", [None, "", "no.token", "a.b.c", 7])
def test_what_is_no_token_lets_nobody_in(client, college, token):
    college.answered = {"id_token": token}

    assert refused(client, sign_on(client))


@pytest.mark.parametrize("state", ["of-somebody-else", "", None])
def test_another_state_lets_nobody_in(client, college, state):
    back = changed(at_college(client), state=state)

    assert refused(client, client.get(back))
    assert "/token" not in college.asked


def test_an_address_that_another_browser_was_given_lets_nobody_in(client, college):
    back, other = at_college(client), Client()

    assert refused(other, other.get(back))


def test_the_way_back_leads_in_once(client, college):
    back = at_college(client)
    client.get(back)
    client.post(reverse("staff-sign-out"))

    assert refused(client, client.get(back))


def test_a_code_is_good_once_and_for_its_own_verifier(client, college):
    first, second = at_college(client), at_college(client)
    code = parse_qs(urlsplit(first).query)["code"][0]

    assert refused(client, client.get(changed(second, code=code)))


def test_a_code_that_was_used_lets_nobody_in(client, college):
    back = at_college(client)
    college.codes.clear()

    assert refused(client, client.get(back))


def test_who_thinks_better_of_it_at_the_college_stays_outside(client, college):
    at_college(client)

    answer = client.get(reverse("sign-on-back"), {"error": "access_denied"})

    assert refused(client, answer)


def test_information_about_somebody_else_lets_nobody_in(client, college):
    college.claims, college.told = {"email": None}, {"sub": "somebody-else"}

    assert refused(client, sign_on(client))


def test_wrong_ways_back_are_counted_like_wrong_passwords(
    client, college, time_machine
):
    time_machine.move_to(NOW, tick=False)
    for _ in range(20):
        client.get(reverse("sign-on-back"), {"state": "x", "code": "x"})

    assert client.get(reverse("sign-on")).status_code == 429
    assert client.get(reverse("sign-on-back")).status_code == 429
    assert client.post(reverse("staff-sign-in")).status_code == 429


def test_no_log_holds_a_code_or_a_token(client, college, caplog):
    college.claims = {"nonce": "x"}
    back = at_college(client)
    code = parse_qs(urlsplit(back).query)["code"][0]

    client.get(back)

    assert "A sign-in at the college was not good" in caplog.text
    assert code not in caplog.text
    assert "eyJ" not in caplog.text
