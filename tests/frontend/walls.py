"""The site's own addresses, who may come to each, and a course in which all exist."""

import re

from django.contrib.auth.models import User
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

OPEN = {
    "home",
    "slip-door",
    "station-door",
    "sign-out",
    "set-language",
    "bench-worker",
    "bench-scripts",
    "home-scripts",
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


def addresses(patterns=None, before=""):
    """Every route of the site as (name, route, converters)."""
    for one in patterns or get_resolver().url_patterns:
        route = before + str(one.pattern)
        if isinstance(one, URLPattern):
            yield one.name, route, one.pattern.converters
        elif not _is_others(route):
            yield from addresses(one.url_patterns, route)


def routes():
    """Every address of pages, as (name, route)."""
    return [(name, route) for name, route, _ in addresses() if not _is_others(route)]


def _is_others(route):
    return route.startswith(("api/", "admin/"))


ROUTES = sorted(routes())


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


def make_site():
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
