"""Every address of the site, asked for by everybody who should not have it.

The addresses come from the site itself: a new one that nobody has put behind a
wall here fails.
"""

import re
from urllib.parse import urlsplit

import pytest
from django.contrib.auth.models import User
from django.db import connection
from django.urls import URLPattern, get_resolver

from tests.factories import (
    make_bench,
    make_grading,
    make_section,
    make_staff,
    slip_code,
    submit,
    worked_off,
)

pytestmark = pytest.mark.django_db

OPEN = {
    "home",
    "slip-door",
    "station-door",
    "sign-out",
    "set-language",
    "bench-worker",
    "bench-scripts",
    "staff-sign-in",
    "staff-sign-out",
    "signed-out",
    "sign-on",
    "sign-on-back",
    "welcome",
    "welcome-link",
    "health-live",
    "health-ready",
    "metrics",
}
FOR_GROUPS = {
    "bench-sheet",
    "bench-draft",
    "bench-own-answer",
    "bench-result-current",
    "bench-result",
    "bench-result-state",
    "own-data",
    "recheck-ask",
}
# For whoever has a duty in the course, whichever it is.
ANY_STAFF = {"staff-home", "change-password", "station-stickers", "tolerances"}
# Beside what stands under staff/sections/ and staff/groups/.
SECTION_ROUTES = ("staff/sections/", "staff/groups/")
COURSE_ROUTES = ("staff/courses/",)
# Changes by itself, and is nobody's.
RESTLESS = {"django_session", "benchwide_cache"}


def addresses(patterns=None, before=""):
    """Every route of the site as (name, route, converters)."""
    for one in patterns or get_resolver().url_patterns:
        route = before + str(one.pattern)
        if isinstance(one, URLPattern):
            yield one.name, route, one.pattern.converters
        elif not route.startswith(("api/", "admin/")):
            yield from addresses(one.url_patterns, route)


ROUTES = sorted(
    (name, route)
    for name, route, _ in addresses()
    if not route.startswith(("api/", "admin/"))
)


def wall_of(name, route):
    """Who may come: everybody, groups, the staff, a section's or a course's staff."""
    if name in OPEN:
        return "open"
    if name in FOR_GROUPS:
        return "groups"
    if name in ANY_STAFF:
        return "staff"
    if route.startswith(SECTION_ROUTES):
        return "section"
    if route.startswith(COURSE_ROUTES):
        return "course"
    return None


@pytest.mark.parametrize(("name", "route"), ROUTES)
def test_every_address_stands_behind_a_wall(name, route):
    assert name, f"{route} has no name"
    assert wall_of(name, route), f"{name} stands behind no wall"


@pytest.fixture
def site(client):
    """A bench with an answer, and everybody who might come by."""
    bench = make_bench(slip=slip_code())
    make_grading(bench.course)
    submit(bench.group)
    worked_off()
    other = make_section(bench.course, "Z9")
    make_staff("ada")
    make_staff("ben", role="assistant", section=bench.section)
    make_staff("eve", role="assistant", section=other)
    return bench


def filled(route, bench):
    """Put numbers of things that exist into a route."""
    numbers = {
        "section_id": bench.section.pk,
        "group_id": bench.group.pk,
        "lot_id": bench.lot.pk,
        "station_id": bench.station.pk,
        "course_code": bench.course.code,
        "revision": 1,
        "deed": "accept",
        "code": "4",
    }

    def value(found):
        kind, name = found.groups()
        return str(numbers.get(name, 1 if kind == "int" else "x"))

    return "/" + re.sub(r"<(?:(\w+):)?(\w+)>", value, route)


def signed_in(client, who):
    client.logout()
    if who == "group":
        client.post("/", {"slip_code": slip_code()})
    elif who != "nobody":
        client.force_login(User.objects.get(username=who))


def everything():
    """Every row of every table that does not change by itself."""
    with connection.cursor() as cursor:
        found = {}
        for table in connection.introspection.table_names(cursor):
            if table not in RESTLESS:
                quoted = connection.ops.quote_name(table)
                cursor.execute(f"SELECT * FROM {quoted}")  # noqa: S608 - its own name
                found[table] = sorted(map(repr, cursor.fetchall()))
        return found


KEPT_OUT = {
    "groups": ("nobody", "ada", "ben"),
    "staff": ("nobody", "group"),
    "section": ("nobody", "group", "eve"),
    "course": ("nobody", "group", "eve", "ben"),
}


@pytest.mark.parametrize("who", ["nobody", "group", "eve", "ben", "ada"])
def test_nobody_comes_past_a_wall(client, site, who):
    signed_in(client, who)
    before = everything()
    came_past = []

    for name, route in ROUTES:
        wall = wall_of(name, route)
        if who not in KEPT_OUT.get(wall, ()):
            continue
        address = filled(route, site)
        for method in (client.get, client.post):
            answer = method(address)
            is_at_the_door = answer.status_code == 302 and urlsplit(
                answer.headers["Location"]
            ).path in {"/", "/staff/sign-in/"}
            if not is_at_the_door and answer.status_code not in {401, 403, 404, 405}:
                came_past.append((name, method.__name__, answer.status_code))

    assert came_past == []
    assert everything() == before


def test_coordinators_and_assistants_see_their_pages(client, site):
    for who, walls in (("ada", {"staff", "course", "section"}), ("ben", {"section"})):
        signed_in(client, who)
        opened = [
            client.get(filled(route, site)).status_code
            for name, route in ROUTES
            if wall_of(name, route) in walls
        ]

        assert opened.count(200) > 5
        assert not [status for status in opened if status >= 500]
