"""The API's description is stored; a change of it is a change of the API."""

from io import StringIO
from pathlib import Path

import pytest
import yaml
from django.core.management import call_command

STORED = Path(__file__).with_name("openapi.yml")


@pytest.fixture(scope="module")
def description():
    return yaml.safe_load(STORED.read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def operations(description):
    return [
        operation
        for methods in description["paths"].values()
        for operation in methods.values()
    ]


def test_the_stored_description_is_what_the_code_generates():
    out = StringIO()

    call_command("spectacular", "--validate", "--fail-on-warn", stdout=out)

    # To accept a change:
    # manage.py spectacular --validate --fail-on-warn --file tests/api/openapi.yml
    assert out.getvalue().strip() == STORED.read_text(encoding="utf-8").strip()


def test_every_operation_has_a_name_a_heading_and_a_summary(operations):
    for operation in operations:
        assert operation["operationId"]
        assert operation["summary"]
        assert operation["tags"][0] in {
            "signing in",
            "for groups",
            "for staff",
            "about",
        }


def test_every_answer_has_a_schema_and_an_example(operations):
    contents = [
        content
        for operation in operations
        for response in operation["responses"].values()
        for content in response["content"].values()
    ]

    assert contents
    assert all(content["schema"] and content["examples"] for content in contents)


def test_every_error_is_described_as_a_problem_document(operations):
    for operation in operations:
        for status, response in operation["responses"].items():
            if status >= "400":
                assert list(response["content"]) == ["application/problem+json"]


def test_sending_readings_demands_an_idempotency_key(description):
    operation = description["paths"]["/api/v1/submissions"]["post"]

    (key,) = operation["parameters"]
    assert (key["name"], key["in"], key["required"]) == (
        "Idempotency-Key",
        "header",
        True,
    )


def test_the_example_of_a_submission_is_accepted(group_program, description):
    operation = description["paths"]["/api/v1/submissions"]["post"]
    content = operation["requestBody"]["content"]["application/json"]

    response = group_program.send(content["examples"]["AnInventedRequest"]["value"])

    assert response.status_code == 201


def test_the_description_is_served_to_everybody(client):
    response = client.get("/api/v1/openapi.yaml")

    assert yaml.safe_load(response.content)["info"]["title"] == "Benchwide"


def test_the_pages_of_the_description_load_nothing_from_elsewhere(client):
    page = client.get("/api/v1/docs/").content.decode()

    assert "//" not in page.replace("<!--", "")
    assert "/static/drf_spectacular_sidecar/swagger-ui-dist/" in page


def test_the_pages_of_the_description_hold_nothing_that_the_policy_forbids(client):
    response = client.get("/api/v1/docs/")

    page = response.content.decode()
    assert "default-src 'self'" in response.headers["Content-Security-Policy"]
    assert "<style" not in page
    assert "style=" not in page
    assert page.count("<script") == page.count("<script src=")


def test_the_script_of_the_pages_is_served_as_a_script(client):
    response = client.get("/api/v1/docs/", {"script": ""})

    assert response.headers["Content-Type"].startswith("application/javascript")
    assert "/api/v1/openapi.yaml" in response.content.decode()
