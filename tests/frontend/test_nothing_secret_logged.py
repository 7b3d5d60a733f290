"""No line of any log, and no report of a fault, holds what lets somebody in.

Nor what a vial holds. All loggers speak at their loudest meanwhile.
"""

import logging
import re

import pytest
from django.conf import settings as site_settings
from django.core import mail
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from results.models import AssignedValue
from results.rosters.staff import make_link
from tests import factories
from tests.api.bodies import body
from tests.api.conftest import Program
from tests.factories import NOW, PASSWORD, slip_code
from tests.frontend.walls import make_site
from tests.stored import everything

pytestmark = pytest.mark.django_db
ASSIGNED, U_ASSIGNED, IMPORTED = "13.3777", "0.0717", "14.4888"
NEW_PASSWORD = "another wide bench, warm bath"
WRONG = {"slip": "ZZZ-ZZZ-ZZZ", "password": "a wrong but dear password"}


class Kept(logging.Handler):
    """Keeps all lines with everything that hangs on them."""

    def __init__(self):
        super().__init__(logging.NOTSET)
        self.lines = []
        self.setFormatter(logging.Formatter("%(name)s %(message)s"))

    def emit(self, record):
        self.lines.append(f"{self.format(record)} {record.__dict__}")


@pytest.fixture
def lines():
    """Every line of every logger, at DEBUG."""
    kept = Kept()
    loggers = [logging.getLogger(name) for name in logging.root.manager.loggerDict]
    levels = [(one, one.level, one.disabled) for one in [logging.root, *loggers]]
    for one, _, _ in levels:
        one.setLevel(logging.DEBUG)
        one.disabled = False
        if not one.propagate or one is logging.root:
            one.addHandler(kept)
    yield kept.lines
    for one, level, disabled in levels:
        one.setLevel(level)
        one.disabled = disabled
        one.removeHandler(kept)


def by_slip(client):
    client.post("/", {"slip_code": WRONG["slip"]})
    client.post("/", {"slip_code": slip_code()})
    return [slip_code(), WRONG["slip"], client.session.session_key]


def by_password(client):
    door = reverse("staff-sign-in")
    client.post(door, {"username": "ada", "password": WRONG["password"]})
    client.post(door, {"username": "ada", "password": PASSWORD})
    client.post(
        reverse("change-password"),
        {"old_password": PASSWORD, "new_password1": NEW_PASSWORD},
    )
    return [PASSWORD, WRONG["password"], NEW_PASSWORD, client.session.session_key]


def by_link(client):
    token = make_link("ada", now=timezone.now()).token
    client.get(reverse("welcome-link", args=[token]))
    client.get(reverse("welcome-link", args=[f"{token}x"]))
    client.get(reverse("welcome-link", args=[token]))
    form = {"password": NEW_PASSWORD, "again": NEW_PASSWORD}
    client.post(reverse("welcome"), form)
    return [token, NEW_PASSWORD, client.cookies["sessionid"].value]


def by_token(client):
    program = Program()
    secrets = [slip_code(), PASSWORD]
    for signed_in in (program.as_group(slip_code()), program.as_staff("ada")):
        token = signed_in._credentials["HTTP_AUTHORIZATION"].removeprefix("Bearer ")
        secrets.append(token)
        for path in ("bench-sheet", "submissions", "courses", "answers", "nowhere"):
            signed_in.get(f"/api/v1/{path}")
            signed_in.get(
                f"/api/v1/{path}", headers={"Authorization": f"Bearer {token}x"}
            )
        signed_in.send(body(station="77"))
    return secrets


def by_value(client):
    client.force_login(factories.User.objects.get(username="ada"))
    lot = AssignedValue.objects.get().lot_id
    typed = {
        "lot": lot,
        "iron_percent": ASSIGNED,
        "u_iron_percent": U_ASSIGNED,
        "valid_from": "2025-03-05T14:00",
        "reason": "assayed again",
    }
    address = reverse("lot-value", args=["IRON-1"])
    page = client.post(address, typed).content.decode()
    seen = re.search(r'name="seen" value="([^"]+)"', page)
    client.post(address, {**typed, "seen": seen[1], "assign": "1"})
    client.post(address, {**typed, "iron_percent": f"{ASSIGNED} percent"})
    assert AssignedValue.objects.filter(iron_percent=float(ASSIGNED)).exists()
    factories.worked_off()
    return [ASSIGNED, U_ASSIGNED]


def by_table(client):
    client.force_login(factories.User.objects.get(username="ada"))
    head, address = "vial,lot,iron_percent,u_iron_percent", "prepare-vials"
    for row in (f"V8,L8,{IMPORTED},0.04", f"V9,L8,{IMPORTED},x", f"V8,L8,{IMPORTED}"):
        form = {"deed": "paste", "pasted": f"{head}\n{row}"}
        client.post(reverse(address, args=["IRON-1"]), form)
    assert AssignedValue.objects.filter(iron_percent=float(IMPORTED)).exists()
    return [IMPORTED]


@pytest.mark.parametrize(
    "deed", [by_slip, by_password, by_link, by_token, by_value, by_table]
)
def test_no_secret_stands_in_any_line(client, lines, deed):
    make_site()

    secrets = [*deed(client), site_settings.SECRET_KEY]

    assert any("benchwide.requests" in line for line in lines)
    found = [(s[:3], line[:200]) for s in secrets for line in lines if s in line]
    assert found == []


@pytest.mark.urls("tests.frontend.failing")
def test_the_report_of_a_fault_holds_no_secret(lines, settings):
    """As the site is served; the framework would mail one to administrators."""
    settings.ADMINS = [("Keeper", "keeper@benchwide.example")]
    make_site()
    client = Client(raise_request_exception=False)
    client.post("/", {"slip_code": slip_code()})
    key, csrf = client.session.session_key, "a-token-of-a-form-that-was-sent"

    answer = client.post(
        "/broken/",
        {"slip_code": slip_code(), "password": PASSWORD, "iron_percent": ASSIGNED},
        headers={"Authorization": f"Bearer {csrf}"},
    )

    assert answer.status_code == 500
    secrets = [slip_code(), PASSWORD, ASSIGNED, key, csrf, site_settings.SECRET_KEY]
    said = [*lines, answer.content.decode(), *(one.body for one in mail.outbox)]
    assert mail.outbox == []
    assert any("ZeroDivisionError" in line for line in lines)
    assert [s for s in secrets for text in said if s in text] == []


def test_what_lets_somebody_in_is_stored_nowhere_as_it_is(client):
    make_site()
    link = make_link("ben", now=NOW).token
    secrets = [slip_code(), slip_code().replace("-", ""), PASSWORD, link]
    program = Program().as_group(slip_code())
    secrets.append(program._credentials["HTTP_AUTHORIZATION"].removeprefix("Bearer "))

    stored = repr(everything())

    assert [secret for secret in secrets if secret in stored] == []
