"""Rosters and groups in a browser: no barrier, no wide page, all of it by keyboard."""

import pytest
from django.urls import reverse

from tests.factories import make_staff
from tests.frontend.browsers import staff_sign_in, violations
from tests.frontend.chromium import DESK, NEEDS_BROWSER, PHONE
from tests.results.roster.courses import enter, make_rostered, places

pytestmark = NEEDS_BROWSER
CSV = (
    "Surname;First name;Student-ID;E-mail;Section\r\n"
    "Marsh;Ivo;0;i@college.example;A2\r\nReed-Voss;Ida;1;;A1\r\n"
    "Birk;Jördis;9;;A2\r\nVoss;Eva;3;;A1\r\nVoss;Eva;3;;A1\r\n"
)


@pytest.fixture
def desk(tab):
    """The coordinator of a course with people, two of them in no group."""
    course = make_rostered().course
    enter("Late Birk", "7", course.sections.get(code="A1"))
    enter("Una Birk", "8", course.sections.get(code="A2"))
    make_staff("ada", course=course)
    staff_sign_in(tab, "ada")
    return tab


def address(name):
    return reverse(name, args=["IRON-1"])


def choose(tab, content):
    tab.goto(address("prepare-roster"))
    file = {"name": "roster.csv", "mimeType": "text/csv", "buffer": content.encode()}
    tab.locator("#file").set_input_files(file)
    tab.get_by_role("button", name="Read the file").click()
    tab.locator("h1").filter(has_text="Is this what the columns are?").wait_for()


def to_the_list(tab):
    choose(tab, CSV)
    tab.get_by_text("This is the whole roster").click()
    tab.get_by_role("button", name="Show what would change").click()
    tab.locator("h1").filter(has_text="nothing is changed yet").wait_for()


def to_the_rows(tab):
    choose(tab, CSV + "Stone;Ada;;;Q9\r\n;;1;;\r\n")
    tab.get_by_role("button", name="Show what would change").click()
    tab.locator("h1").filter(has_text="need").wait_for()


def to_the_groups(tab):
    tab.goto(address("prepare-groups"))
    tab.get_by_role("button", name="Show the groups").click()
    tab.locator("h1").filter(has_text="nothing is changed yet").wait_for()


WAYS = {
    "people": lambda tab: tab.goto(address("prepare-roster")),
    "columns": lambda tab: choose(tab, CSV),
    "list": to_the_list,
    "rows": to_the_rows,
    "groups": lambda tab: tab.goto(address("prepare-groups")),
    "filling": to_the_groups,
}


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("screen", [PHONE, DESK], ids=["phone", "desk"])
def test_pages_have_no_barrier_and_fit_the_screen(desk, screen, scheme):
    desk.emulate_media(color_scheme=scheme)
    desk.set_viewport_size(screen)
    found = []
    for name, way in WAYS.items():
        way(desk)
        found += [(name, *one) for one in violations(desk)]
        width = desk.evaluate("document.documentElement.scrollWidth")
        if width > screen["width"]:
            found.append((name, "is wide", width))

    assert found == []


def test_a_roster_is_brought_without_a_script(chromium, live_server):
    course = make_rostered().course
    make_staff("ada", course=course)
    context = chromium.new_context(base_url=live_server.url, java_script_enabled=False)
    tab = context.new_page()
    staff_sign_in(tab, "ada")

    to_the_list(tab)
    assert "2 are new" in tab.locator("h1").inner_text()
    tab.get_by_role("button", name="Carry out").click()
    tab.locator("[role=status]").filter(has_text="Carried out").wait_for()

    assert places()["Jördis Birk"] == "A2 -"
    context.close()
