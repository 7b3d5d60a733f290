import pytest
from django.db import InterfaceError, OperationalError
from rest_framework.request import Request

from api.errors import problem_response
from api.problems import KINDS
from results.policy import refusals


def is_problem_document(response):
    document = response.json()
    # RFC 9457, section 3.1, with errors as in its own example.
    return (
        response.headers["Content-Type"] == "application/problem+json"
        and document["status"] == response.status_code
        and document["type"].startswith("/api/v1/problems/")
        and {"title", "detail", "instance", "errors"} <= set(document)
    )


@pytest.mark.parametrize(
    ("method", "path", "status"),
    [
        ("get", "bench-sheet", 401),
        ("delete", "sign-in", 405),
        ("post", "sign-in", 422),
        ("get", "nowhere", 404),
        ("post", "nowhere/at/all", 404),
        ("put", "", 404),
        ("get", "sections/abc", 404),
        ("get", "problems/none", 404),
        ("get", "submissions/", 404),
    ],
)
def test_every_error_is_a_problem_document(program, db, method, path, status):
    response = getattr(program, method)(f"/api/v1/{path}")

    assert response.status_code == status
    assert is_problem_document(response)
    assert response.json()["instance"] == f"/api/v1/{path}"


def test_a_method_that_is_not_allowed_names_those_that_are(program):
    response = program.delete("/api/v1/sign-in")

    assert response.headers["Allow"] == "POST, OPTIONS"


def test_an_answer_in_another_format_cannot_be_had(group_program):
    response = group_program.get("/api/v1/bench-sheet", headers={"Accept": "text/csv"})

    assert response.status_code == 406
    assert is_problem_document(response)


def test_a_page_that_does_not_exist_is_not_found(group_program):
    response = group_program.see("submissions", page=7)

    assert response.status_code == 404
    assert is_problem_document(response)


def test_a_fault_of_the_site_gives_no_details_away(group_program, bench, settings):
    # A protocol that was damaged in the database is nobody's foreseen refusal.
    bench.course.protocols.update(document=[])
    group_program.raise_request_exception = False

    response = group_program.see("bench-sheet")

    assert response.status_code == 500
    assert is_problem_document(response)
    assert response.json()["detail"] == KINDS["server-error"].meaning


@pytest.mark.parametrize("error", [OperationalError, InterfaceError])
def test_what_befalls_the_database_is_said_to_pass_and_gives_no_details_away(
    rf, caplog, error
):
    request = Request(rf.get("/api/v1/bench-sheet"))

    response = problem_response(error("/var/lib: disk full"), {"request": request})

    assert response.status_code == 503
    assert response.data["detail"] == KINDS["not-now"].meaning
    assert int(response.headers["Retry-After"]) > 0
    assert "disk full" in caplog.text


def test_a_fault_of_the_site_is_logged(group_program, bench, caplog):
    bench.course.protocols.update(document=[])
    group_program.raise_request_exception = False

    group_program.see("bench-sheet")

    assert "/api/v1/bench-sheet failed" in caplog.text


def test_every_refusal_of_the_rules_has_a_kind_of_problem():
    codes = {
        one.code
        for one in vars(refusals).values()
        if isinstance(one, type) and issubclass(one, refusals.Refusal)
    }

    assert codes <= set(KINDS)


@pytest.mark.parametrize("code", KINDS)
def test_every_kind_of_problem_is_explained_at_its_address(client, code):
    response = client.get(KINDS[code].uri)

    assert response.status_code == 200
    assert response.json()["type"] == f"/api/v1/problems/{code}"
    assert response.json()["meaning"]


def test_the_kinds_of_problem_are_listed(client):
    response = client.get("/api/v1/problems")

    assert len(response.json()) == len(KINDS)
