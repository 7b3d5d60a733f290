"""While the database fails, pages ask to come back, in the reader's language.

The addresses come from the site itself, and each is asked for and pressed.
"""

from contextlib import contextmanager

import pytest
from django.db import InterfaceError, OperationalError, connection, transaction
from django.test import Client
from django.urls import reverse

from tests.factories import slip_code
from tests.frontend.walls import ROUTES, filled, make_site, signed_in

pytestmark = pytest.mark.django_db
WRITES = ("INSERT", "UPDATE", "DELETE")
SENTENCES = {
    "en": "<h1>Try again in a moment</h1>",
    "de": "<h1>Versucht es gleich noch einmal</h1>",
}


@pytest.fixture
def site():
    return make_site()


@pytest.fixture
def visitor():
    """A client to whom a fault is answered as it is to people."""
    return Client(raise_request_exception=False)


@contextmanager
def failing(only=(), error=OperationalError):
    """Let statements fail, or those that begin with one of some words."""

    def fail(execute, sql, params, many, context):
        if not only or sql.startswith(only):
            message = "/var/lib: disk full"
            raise error(message)
        return execute(sql, params, many, context)

    with transaction.atomic():
        with connection.execute_wrapper(fail):
            yield
        transaction.set_rollback(True)


def is_not_now(answer, language="en"):
    return (
        answer.status_code == 503
        and int(answer.headers["Retry-After"]) > 0
        and SENTENCES[language] in answer.content.decode()
    )


@pytest.mark.parametrize("who", ["nobody", "group", "ben", "ada"])
@pytest.mark.parametrize("only", [(), WRITES], ids=["silent", "full"])
def test_no_page_breaks_while_the_database_fails(visitor, site, who, only):
    signed_in(visitor, who)
    asked, broken = 0, []

    for name, route in ROUTES:
        # A probe says so in its own words, to a program.
        if name == "health-ready":
            continue
        for send in (visitor.get, visitor.post):
            with failing(only):
                answer = send(filled(route, site))
            asked += is_not_now(answer)
            if answer.status_code >= 500 and not is_not_now(answer):
                broken.append((name, send.__name__, answer.status_code))

    assert broken == []
    assert asked > 0


@pytest.mark.parametrize("error", [OperationalError, InterfaceError])
def test_the_page_says_so_in_the_readers_language_and_gives_no_details_away(
    visitor, site, caplog, error
):
    signed_in(visitor, "group")

    with failing(error=error):
        answer = visitor.get(reverse("bench-sheet"), headers={"Accept-Language": "de"})

    assert is_not_now(answer, "de")
    assert '<html lang="de">' in answer.content.decode()
    assert "auf diesem Telefon aufgehoben" in answer.content.decode()
    assert "disk full" not in answer.content.decode()
    assert "disk full" in caplog.text


def test_staff_read_it_in_english_as_everything(visitor, site):
    signed_in(visitor, "ada")

    with failing():
        answer = visitor.get(reverse("staff-home"), headers={"Accept-Language": "de"})

    assert is_not_now(answer)


def test_signing_in_waits_for_room(visitor, site):
    with failing(WRITES):
        refused = visitor.post(reverse("home"), {"slip_code": slip_code()})
    received = visitor.post(reverse("home"), {"slip_code": slip_code()})

    assert is_not_now(refused)
    assert received.status_code == 302


def test_a_session_that_cannot_be_stored_has_not_ended(visitor, site):
    signed_in(visitor, "ada")
    sticker = reverse("station-door", args=["S1"])

    with failing(WRITES):
        # It is stored when the answer is there and its language forgotten.
        answer = visitor.get(sticker, headers={"Accept-Language": "de"})

    assert is_not_now(answer, "de")
    assert visitor.get(reverse("staff-home")).status_code == 200


def test_what_a_statement_gets_wrong_does_not_pass_by_itself(visitor, site):
    signed_in(visitor, "group")
    site.course.protocols.update(document=[])

    answer = visitor.get(reverse("bench-sheet"))

    assert answer.status_code == 500
    assert "Something went wrong on our side" in answer.content.decode()
