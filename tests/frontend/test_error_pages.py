import pytest
from django.test import Client
from django.urls import reverse

pytestmark = [pytest.mark.django_db, pytest.mark.urls("tests.frontend.failing")]


@pytest.fixture
def visitor():
    """A client to whom a fault is answered as it is to people."""
    return Client(raise_request_exception=False, enforce_csrf_checks=True)


@pytest.mark.parametrize(
    ("address", "status", "sentence"),
    [
        ("/forbidden/", 403, "This page is not yours to open"),
        ("/nowhere/", 404, "There is no such page"),
        ("/broken/", 500, "Something went wrong on our side"),
        ("/away/", 503, "Try again in a moment"),
    ],
)
def test_what_fails_answers_in_the_same_look(visitor, address, status, sentence):
    answer = visitor.get(address)

    content = answer.content.decode()
    assert answer.status_code == status
    assert f"<h1>{sentence}</h1>" in content
    assert "frontend/benchwide.css" in content
    assert reverse("home") in content


def test_a_form_without_its_token_says_that_the_page_was_open_too_long(visitor):
    answer = visitor.post(reverse("home"), {"slip_code": "ACD-3FH-K7X"})

    assert answer.status_code == 403
    assert b"This page was open too long" in answer.content
    assert b"kept on this phone" in answer.content


def test_a_fault_tells_nothing_of_the_program(visitor):
    content = visitor.get("/broken/").content

    assert b"ZeroDivision" not in content
    assert b"Traceback" not in content
