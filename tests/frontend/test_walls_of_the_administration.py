"""Every address of the administration, asked for by everybody, and sent nonsense.

The addresses come from the administration itself: a new one joins by itself.
"""

import re
from itertools import cycle
from urllib.parse import urlsplit

import pytest
from django.apps import apps
from django.contrib import admin
from django.contrib.auth.models import User
from django.contrib.contenttypes.models import ContentType
from django.db import transaction

from results.models import Group
from tests.bodies import in_turns
from tests.factories import make_staff
from tests.frontend.forms import forms_of
from tests.frontend.test_any_post import ODD
from tests.frontend.test_every_page import RUNS
from tests.frontend.walls import addresses, make_site, signed_in
from tests.stored import everything

pytestmark = pytest.mark.django_db
# A file of this site, with nothing between.
SCRIPTS = re.compile(rb'<script\b[^>]*\ssrc="/[^"/][^"]*"[^>]*>\s*</script>')
# Where everybody is sent who has no business there, and where everybody may end it.
DOORS = {"login", "logout"}
ROUTES = sorted(
    {(name or "", route) for name, route, _ in addresses(admin.site.urls[0])}
)


@pytest.fixture
def site():
    bench = make_site()
    User.objects.create_superuser("keeper")
    make_staff("clerk", role=None)
    User.objects.filter(username="clerk").update(is_staff=True)
    return bench


def filled(name, route, site):
    """Put numbers of things that exist into a route."""
    if name == "app_list":
        return "/admin/results/"
    if name == "view_on_site":
        kind = ContentType.objects.get_for_model(Group)
        return f"/admin/r/{kind.pk}/{site.group.pk}/"
    if "?P<url>" in route:
        return "/admin/nowhere/"
    number = 1
    if "<" in route:
        model = apps.get_model(*route.split("/")[:2])
        number = model.objects.values_list("pk", flat=True).first() or 1
    for part in ("<path:object_id>", "<id>"):
        route = route.replace(part, str(number))
    return f"/admin/{route}"


def test_every_address_is_filled(site):
    assert len(ROUTES) > 50
    assert not [
        route for name, route in ROUTES if set(filled(name, route, site)) & set("<>^?")
    ]


@pytest.mark.parametrize("who", ["nobody", "group", "eve", "ben", "ada", "clerk"])
def test_nobody_comes_in_who_was_not_let_in(client, site, who):
    signed_in(client, who)
    before, came_in = everything(), []

    for name, route in ROUTES:
        if name in DOORS:
            continue
        for send in (client.get, client.post):
            answer = send(filled(name, route, site))
            is_led_away = answer.status_code == 302 and urlsplit(
                answer.headers["Location"]
            ).path.startswith(("/admin/", "/staff/sign-in/"))
            if not is_led_away and answer.status_code not in {403, 404, 405}:
                came_in.append((name, send.__name__, answer.status_code))

    # Whom the keeper lets in without any permission finds an empty table of contents.
    hall = {"index", "jsi18n", "password_change", "password_change_done"}
    may = hall if who == "clerk" else set()
    assert {name for name, _, _ in came_in} <= may
    assert everything() == before


@pytest.mark.parametrize(
    ("who", "path"), [("nobody", "/staff/sign-in/"), ("group", "/staff/sign-in/")]
)
def test_the_door_leads_to_the_one_sign_in(client, site, who, path):
    signed_in(client, who)

    answer = client.get("/admin/login/")

    assert urlsplit(answer.headers["Location"]).path == path


@pytest.mark.parametrize("who", ["eve", "ben", "ada"])
def test_the_door_sends_nobody_round_in_circles(client, site, who):
    signed_in(client, who)

    assert client.get("/admin/login/").status_code == 403


def pages_of(client, site):
    for name, route in ROUTES:
        if name not in DOORS:
            address = filled(name, route, site)
            answer = client.get(address, follow=True)
            if answer.headers.get("Content-Type", "").startswith("text/html"):
                yield address, answer


def test_no_page_runs_a_script_that_stands_in_it(client, site):
    signed_in(client, "keeper")
    seen, wrong = 0, []

    for address, answer in pages_of(client, site):
        seen += answer.status_code == 200
        content, policy = answer.content, answer.headers["Content-Security-Policy"]
        holds = [
            "default-src 'self'" in policy,
            "unsafe" not in policy,
            "script-src" not in policy,
            len(SCRIPTS.findall(content)) == content.count(b"<script"),
            not RUNS.search(content),
            answer.headers["X-Frame-Options"] == "DENY",
        ]
        if not all(holds) or answer.status_code >= 500:
            wrong.append((address, answer.status_code, holds))

    assert wrong == []
    assert seen > 30


def test_a_body_that_makes_no_sense_breaks_nothing(client, site):
    client.raise_request_exception = False
    signed_in(client, "keeper")
    turns, broken = in_turns(), []

    for name, route in ROUTES:
        if name in DOORS:
            continue
        address = filled(name, route, site)
        for body in next(turns):
            with transaction.atomic():
                answer = client.generic(
                    "POST", address, body.content, content_type=body.media_type
                )
                transaction.set_rollback(True)
            if answer.status_code >= 500:
                broken.append((address, body.name, answer.status_code))

    assert broken == []


def test_no_box_of_any_form_breaks_it(client, site):
    client.raise_request_exception = False
    signed_in(client, "keeper")
    odd, broken, known = cycle(ODD), [], set()
    pressed = [
        (urlsplit(form.action or address).path, sent)
        for address, answer in pages_of(client, site)
        for form in forms_of(answer.content.decode())
        for sent in form.pressed()
    ]

    for action, sent in pressed:
        for box in sent:
            if (action, box) in known or "logout" in action:
                continue
            known.add((action, box))
            with transaction.atomic():
                answer = client.post(action, {**sent, box: next(odd)})
                transaction.set_rollback(True)
            if answer.status_code >= 500:
                broken.append((action, box, answer.status_code))

    assert broken == []
    assert len(known) > 100


@pytest.mark.parametrize("number", ["0", "x" * 300, "9" * 30, "²", "_00", "a%00b"])
def test_a_number_of_nothing_is_not_found(client, site, number):
    client.raise_request_exception = False
    signed_in(client, "keeper")
    broken = []

    for _, route in ROUTES:
        address = f"/admin/{route}".replace("<path:object_id>", number)
        address = address.replace("<id>", number)
        address = address.replace("<path:content_type_id>", number)
        if "<" not in route or "?P" in route:
            continue
        for send in (client.get, client.post):
            status = send(address).status_code
            if status >= 500:
                broken.append((address, send.__name__, status))

    assert broken == []
