"""A group takes away what is kept about it, and nothing that is kept from it."""

import json

import pytest
from django.urls import reverse

from results.models import AssignedValue, Course
from tests.factories import make_bench, slip_code, submit, worked_off

pytestmark = pytest.mark.django_db


@pytest.fixture
def taken(client):
    bench = make_bench(slip=slip_code())
    submit(bench.group)
    worked_off()
    client.post("/", {"slip_code": slip_code()})

    def take():
        answer = client.get(reverse("own-data"))
        assert answer.headers["Content-Disposition"].startswith("attachment")
        return answer

    return take


def test_it_holds_readings_and_people(taken):
    data = taken().json()

    (sent,) = data["submissions"]
    assert data["group"] == "1"
    assert sent["standard_mass_g"] == 0.21
    assert len(sent["readings"]) >= 6
    assert sent["result"]["line"] is not None


def test_what_is_not_shown_yet_is_not_in_it(taken):
    Course.objects.update(iron_shown="on_release")

    data = taken().json()

    assert data["submissions"][0]["result"]["iron"] is None
    assert data["grade"] is None


def test_it_does_not_depend_on_the_assigned_value(taken):
    before = taken().json()

    AssignedValue.objects.update(iron_percent=3.7, u_iron_percent=0.9)
    after = taken().json()

    before.pop("made_at"), after.pop("made_at")
    assert json.dumps(before) == json.dumps(after)


def test_nobody_else_gets_it(client):
    make_bench(slip=slip_code())

    assert client.get(reverse("own-data")).status_code == 302
