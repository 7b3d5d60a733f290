"""No byte that a student can get depends on an assigned value, whatever is asked.

Addresses come from the URL map and the API's list: a new one joins by itself.
"""

import re
from datetime import UTC, datetime

import pytest
import time_machine
from django.db import transaction
from django.test import Client

from api.urls import urlpatterns
from results.models import AssignedValue, Course
from tests.factories import slip_code
from tests.frontend.walls import ROUTES, filled, make_site, signed_in

pytestmark = pytest.mark.django_db
AT = datetime(2025, 3, 4, 14, 0, tzinfo=UTC)
# A value whose digits stand nowhere else.
SECRET = "13.3777"
# Drawn anew for each page or session, or counting on; nothing of these is a value.
RESTLESS = re.compile(
    rb'(?:csrfmiddlewaretoken|key)" value="[\w-]+"|"csrf": ?"\w+"|"submission_id": ?\d+'
    rb"|/(?:groups|sections|lots|stations)/\d+/?|metrics|_seconds\S* \S+"
)


def routes():
    """Every address of pages and API."""
    yield from (route for name, route in ROUTES if name != "metrics")
    yield from (
        f"api/v1/{one.pattern}" for one in urlpatterns if one.name != "nothing-here"
    )


def everything_got(client, *, assigned, shown, title="Iron"):
    """Let a group ask for all there is, by its session and by its token."""
    site = make_site()
    Course.objects.update(iron_shown=shown, title=title)
    AssignedValue.objects.update(iron_percent=assigned)
    signed_in(client, "group")
    token = client.post(
        "/api/v1/sign-in", {"slip_code": slip_code()}, content_type="application/json"
    ).json()["token"]
    found = {}
    for route in routes():
        address = filled(route, site)
        headers = {"Authorization": f"Bearer {token}"} if "api/" in route else {}
        answer = client.get(address, headers=headers)
        content = b"".join(answer) if answer.streaming else answer.content
        heads = {**answer.headers, "X-Request-ID": ""}
        said = repr(sorted(heads.items())).encode() + content
        found[route] = (answer.status_code, RESTLESS.sub(b"", said))
    return found


def undone(**case):
    with time_machine.travel(AT, tick=False), transaction.atomic():
        found = everything_got(Client(), **case)
        transaction.set_rollback(True)
    return found


@pytest.mark.parametrize("shown", ["at_once", "on_release"])
def test_nothing_that_a_group_can_get_depends_on_an_assigned_value(shown):
    near = undone(assigned=12.0, shown=shown)
    far = undone(assigned=float(SECRET), shown=shown)

    assert [route for route in near if near[route] != far[route]] == []
    assert [route for route in far if SECRET.encode() in far[route][1]] == []
    assert [status for status, _ in near.values()].count(200) > 15


def test_the_search_sees_a_value_that_leaks():
    one = undone(assigned=12.0, shown="at_once", title="Iron, 12.0 %")
    other = undone(assigned=float(SECRET), shown="at_once", title=f"Iron, {SECRET} %")

    leaks = [route for route in one if one[route] != other[route]]
    assert "api/v1/bench-sheet" in leaks
    assert all(SECRET.encode() in other[route][1] for route in leaks)
