"""Requests have names, and their lines in the log hold no secret."""

import json
import logging

import pytest
from django.urls import reverse

from labsite.trail import HEADER, JsonLines, NamesRequest
from tests.factories import PASSWORD, make_bench, make_staff, slip_code


@pytest.mark.django_db
def test_a_request_keeps_the_name_that_a_proxy_gave_it(client):
    answer = client.get("/", headers={HEADER: "from-the-proxy-1"})

    assert answer.headers[HEADER] == "from-the-proxy-1"


@pytest.mark.django_db
@pytest.mark.parametrize("brought", ["", "short", "a b c d e f g h", "x" * 65])
def test_a_name_that_could_forge_a_line_is_replaced(client, brought):
    answer = client.get("/", headers={HEADER: brought})

    assert answer.headers[HEADER] != brought
    assert len(answer.headers[HEADER]) == 32


@pytest.mark.django_db
def test_the_log_has_the_route_and_not_the_address(client, caplog):
    caplog.set_level(logging.INFO, "benchwide.requests")

    client.get("/s/STATION-7/?slip=XYZ")

    (line,) = [one for one in caplog.records if one.name == "benchwide.requests"]
    assert line.route == "s/<path:code>/"
    assert "STATION-7" not in caplog.text
    assert "XYZ" not in caplog.text


@pytest.mark.django_db
def test_no_secret_is_logged_at_a_sign_in(client, caplog):
    caplog.set_level(logging.DEBUG)
    make_bench(slip=slip_code())
    make_staff("ada")

    client.post("/", {"slip_code": slip_code()})
    client.post(reverse("staff-sign-in"), {"username": "ada", "password": PASSWORD})
    client.post(reverse("staff-sign-in"), {"username": "ada", "password": "wrong-one"})
    lines = [
        one.getMessage()
        for one in caplog.records
        if not one.name.startswith("django.db")
    ]

    written = "\n".join(lines)
    assert written
    for secret in (slip_code(), slip_code().replace("-", ""), PASSWORD, "wrong-one"):
        assert secret not in written


def test_a_line_for_programs_is_one_json_object():
    record = logging.LogRecord(
        "benchwide", logging.INFO, "", 0, "%s groups\nfound", ("three",), None
    )
    record.status = 200
    NamesRequest().filter(record)

    line = JsonLines().format(record)

    assert "\n" not in line
    told = json.loads(line)
    assert told["message"] == "three groups\nfound"
    assert (told["status"], told["request_id"]) == (200, "-")
