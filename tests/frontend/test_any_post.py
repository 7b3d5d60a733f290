"""Whatever is sent to whichever address, the site answers, and keeps nothing of it."""

import re
import time
from itertools import cycle
from urllib.parse import quote, urlsplit

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction

from tests.bodies import in_turns
from tests.frontend.forms import forms_of
from tests.frontend.walls import ROUTES, filled, make_site, signed_in, wall_of
from tests.spoilt import TIMES
from tests.stored import everything

pytestmark = pytest.mark.django_db
LONGEST_ANSWER_S = 5
# Who is let in; the open doors are tried as nobody.
COMES_IN = {"open": "nobody", "groups": "group"}
ODD = [
    "a\x00b",
    "9" * 400,
    "x" * 3000,
    "1e999",
    "-1",
    "nan",
    "²",
    "0001-01-01T00:00+14:00",
    "9999-12-31T23:59-12:00",
    "\u2028\u202e=1+1",
    "",
]


@pytest.fixture
def site(client):
    client.raise_request_exception = False
    return make_site()


def tried(send):
    """Return the status of an answer; it came in time and, if refused, left nothing."""
    started = time.perf_counter()
    answer = send()
    assert time.perf_counter() - started < LONGEST_ANSWER_S
    return answer.status_code


@pytest.mark.parametrize("who", ["nobody", "group", "ada"])
def test_a_body_that_makes_no_sense_is_refused_and_leaves_nothing(client, site, who):
    signed_in(client, who)
    before = everything()
    turns, broken = in_turns(), []

    for name, route in ROUTES:
        if COMES_IN.get(wall_of(name, route), "ada") != who:
            continue
        address = filled(route, site)
        for body in next(turns):
            with transaction.atomic():
                status = tried(
                    lambda: client.generic(
                        "POST",
                        address,  # noqa: B023
                        body.content,  # noqa: B023
                        content_type=body.media_type,  # noqa: B023
                    )
                )
                transaction.set_rollback(status < 400)
            if status >= 500:
                broken.append((name, body.name, status))

    assert broken == []
    assert everything() == before


@pytest.mark.parametrize("who", ["nobody", "group", "ada"])
def test_numbers_and_names_of_nothing_are_not_found(client, site, who):
    signed_in(client, who)
    broken = []

    for name, route in ROUTES:
        for number, text in ((10**30, "x" * 300), (0, "a\u2028b"), (2**63, "²")):
            address = re.sub(r"<int:\w+>", str(number), route)
            address = "/" + quote(re.sub(r"<\w+(:\w+)?>", text, address))
            for send in (client.get, client.post):
                status = tried(lambda: send(address))  # noqa: B023
                if status >= 500:
                    broken.append((name, send.__name__, number, status))

    assert broken == []


def pressed(client, site, who):
    """Yield what each button of each page sends, with where it goes; each once."""
    known = set()
    for name, route in ROUTES:
        if COMES_IN.get(wall_of(name, route), "ada") not in {who, "nobody"}:
            continue
        page = client.get(filled(route, site))
        if page.status_code != 200 or "html" not in page.headers["Content-Type"]:
            continue
        for form in forms_of(page.content.decode()):
            action = urlsplit(form.action or filled(route, site)).path
            for sent in form.pressed():
                what = (action, repr(sorted(sent)), repr(form.buttons))
                if what not in known:
                    known.add(what)
                    yield action, sent


@pytest.mark.parametrize("who", ["nobody", "group", "ada"])
def test_no_box_of_any_form_breaks_the_site(client, site, who):
    signed_in(client, who)
    odd, before, broken = cycle(ODD), everything(), []

    for action, sent in list(pressed(client, site, who)):
        for box in sent:
            for typed in (next(odd) for _ in range(min(TIMES, len(ODD)))):
                with transaction.atomic():
                    status = tried(lambda: client.post(action, {**sent, box: typed}))  # noqa: B023
                    if status >= 400 and everything() != before:
                        broken.append((action, box, typed[:20], "left something"))
                    transaction.set_rollback(True)
                if status >= 500:
                    broken.append((action, box, typed[:20], status))
            if "sign" in action:
                signed_in(client, who)
                before = everything()

    assert broken == []


@pytest.mark.parametrize(
    ("address", "box", "most_mb"),
    [("readings/", "table", 5), ("prepare/roster/file/", "file", 2)],
)
def test_a_file_beyond_its_limit_is_refused_in_words(
    client, site, address, box, most_mb
):
    signed_in(client, "ada")
    before = everything()
    upload = SimpleUploadedFile("a.csv", b"x" * (most_mb * 2**20 + 1))

    answer = client.post(f"/staff/courses/IRON-1/{address}", {box: upload})

    assert answer.status_code == 422
    assert f"larger than {most_mb} MB" in answer.content.decode()
    assert everything() == before


def test_every_file_that_a_page_takes_has_a_limit_tested_here(client, site):
    signed_in(client, "ada")
    boxes = set()

    for _, route in ROUTES:
        page = client.get(filled(route, site))
        if page.status_code == 200 and "html" in page.headers["Content-Type"]:
            boxes |= {
                box for form in forms_of(page.content.decode()) for box in form.files
            }

    assert boxes == {"table", "file"}
