"""What holds of every page, whichever it is: the addresses come from the site."""

import re

import pytest
from django.test import Client

from tests.factories import slip_code
from tests.frontend.walls import ROUTES, filled, make_site, signed_in

pytestmark = pytest.mark.django_db
# Names of attributes by which a page could run something.
RUNS = re.compile(
    rb"<[^>]+\s(on[a-z]+\s*=|(?:href|src|action)\s*=\s*[\"']?javascript:)"
)
# A file of this site, or figures that run nothing.
SCRIPTS = re.compile(
    rb'<script (?:defer )?src="/[^"/][^"]*"(?: defer)?></script>'
    rb'|<script (?:id="[\w-]+" )?type="application/json"'
)
PEOPLE = ["nobody", "group", "ada", "ben"]


@pytest.fixture
def site():
    return make_site()


def pages_of(client, site):
    for name, route in ROUTES:
        answer = client.get(filled(route, site), follow=True)
        kind = answer.headers.get("Content-Type", "")
        if kind.startswith("text/html"):
            yield name, answer


@pytest.mark.parametrize("who", PEOPLE)
def test_no_page_runs_a_script_that_stands_in_it(client, site, who):
    signed_in(client, who)
    seen, wrong = 0, []

    for name, answer in pages_of(client, site):
        seen += 1
        policy = dict(
            part.strip().split(" ", 1)
            for part in answer.headers["Content-Security-Policy"].split(";")
        )
        content = answer.content
        scripts = policy.get("script-src", policy["default-src"])
        holds = [
            policy["default-src"] == "'self'",
            policy["frame-ancestors"] == "'none'",
            scripts == "'self'",
            len(SCRIPTS.findall(content)) == content.count(b"<script"),
            not RUNS.search(content),
            answer.headers["X-Frame-Options"] == "DENY",
            answer.headers["X-Content-Type-Options"] == "nosniff",
            answer.headers["Referrer-Policy"] == "same-origin",
        ]
        if not all(holds):
            wrong.append((name, holds))

    assert wrong == []
    assert seen > 20


@pytest.mark.parametrize("who", PEOPLE)
def test_nothing_is_taken_from_a_form_of_another_site(site, who):
    client = Client(enforce_csrf_checks=True)
    if who == "group":
        page = client.get("/").content.decode()
        token = re.search(r'csrfmiddlewaretoken" value="(\w+)"', page)[1]
        client.post("/", {"slip_code": slip_code(), "csrfmiddlewaretoken": token})
    else:
        signed_in(client, who)
    taken, refused = [], 0

    for name, route in ROUTES:
        status = client.post(filled(route, site), {"deed": "x"}).status_code
        refused += status == 403
        if status not in {403, 404, 405}:
            taken.append((name, status))

    assert taken == []
    assert refused > 40


def test_cookies_are_for_https_and_for_no_script_where_the_site_is_served_so(
    site, settings
):
    settings.SESSION_COOKIE_SECURE = settings.CSRF_COOKIE_SECURE = True
    settings.LANGUAGE_COOKIE_SECURE = True
    client = Client()
    signed_in(client, "group")
    client.get("/bench/")
    client.post("/language/", {"language": "de"})
    client.get("/staff/welcome/a-token/")

    cookies = {name: one for name, one in client.cookies.items() if one.value}
    assert {"sessionid", "csrftoken", "language", "welcome"} <= set(cookies)
    assert all(one["secure"] for one in cookies.values())
    assert all(one["samesite"] == "Lax" for one in cookies.values())
    assert {name for name, one in cookies.items() if not one["httponly"]} == {
        "csrftoken"
    }
