"""What tests of signing in at the college share: the way there and back."""

import pytest
import requests
from django.urls import reverse

from frontend import single_sign_on
from labsite.environment import SignOn
from tests.frontend.college import CLIENT_ID, CLIENT_SECRET, open_college


@pytest.fixture
def college(settings):
    """A provider that the site knows; its domain is let in."""
    single_sign_on._known_client.cache_clear()
    with open_college() as college:
        set_up(settings, college)
        yield college


def set_up(settings, college, **changes):
    given = {
        "issuer": college.issuer,
        "client_id": CLIENT_ID,
        "client_secret": CLIENT_SECRET,
        "name": "Northfold College",
        "email_domains": ("chem.example",),
    }
    settings.SIGN_ON = SignOn(**given | changes)


def at_college(client, **query):
    """Go to the college and be let in; return the address that leads back."""
    there = client.get(reverse("sign-on"), query)
    assert there.status_code == 302, there.text
    return requests.get(there.url, allow_redirects=False, timeout=5).headers["Location"]


def sign_on(client, **query):
    """Go to the college and come back; return the site's answer."""
    return client.get(at_college(client, **query))


def is_in(client):
    return client.get(reverse("staff-home")).status_code == 200
