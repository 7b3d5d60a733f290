"""Pages of lots and vials are open to everybody, and usable without a mouse."""

import random

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from results import issuing
from tests.factories import NOW, actor, make_course, make_lot, make_staff
from tests.frontend.browsers import staff_sign_in, violations
from tests.frontend.chromium import NEEDS_BROWSER, PHONE
from tests.results.lots import enter, make_up, percents, titrations

pytestmark = NEEDS_BROWSER
VIALS = ["a", "a", "b", "b", "a-vial-with-a-very-long-name-of-its-own"]


@pytest.fixture
def lot():
    lot = make_lot(make_course(), "a-lot-with-a-long-code-of-its-own")
    ada = actor(make_staff("ada", course=lot.course))
    enter(lot, make_up(), ada)
    enter(lot, percents(12.0, 12.02, 12.01, 12.0, 13.5, vials=VIALS), ada)
    record = enter(lot, titrations((0.8, 17.3), (0.81, 17.51), (0.79, 17.09)), ada)
    issuing.set_aside_result(
        "IRON-1", (record, 2), counts=False, why="overshot", actor=ada, now=NOW
    )
    issuing.draw_vials(
        "IRON-1", lot.pk, 9, actor=ada, draw_below=random.Random(1).randrange
    )
    return lot


def addresses(lot):
    kinds = ("titration", "percent", "make_up", "certificate")
    return [
        reverse("prepare-lots", args=["IRON-1"]),
        reverse("prepare-lot", args=["IRON-1", lot.pk]),
        reverse("prepare-vials", args=["IRON-1"]),
        *(reverse("prepare-record", args=["IRON-1", lot.pk, one]) for one in kinds),
    ]


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_pages_of_lots_have_no_barrier(tab, lot, scheme):
    tab.emulate_media(color_scheme=scheme)
    staff_sign_in(tab, "ada")
    found = []
    for address in addresses(lot):
        tab.goto(address)
        tab.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
        found += violations(tab)

    assert found == []
    assert tab.complaints == []


@pytest.mark.parametrize("width", [390, 320])
def test_no_page_of_lots_is_wider_than_a_phone(tab, lot, width):
    staff_sign_in(tab, "ada")
    tab.set_viewport_size({"width": width, "height": PHONE["height"]})
    wide = []
    for address in addresses(lot):
        tab.goto(address)
        tab.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
        if tab.evaluate("document.documentElement.scrollWidth") > width:
            wide.append(address)

    assert wide == []


def test_a_refused_record_has_no_barrier_and_keeps_what_was_typed(tab, lot):
    staff_sign_in(tab, "ada")
    tab.goto(reverse("prepare-record", args=["IRON-1", lot.pk, "titration"]))
    tab.get_by_label("sample, g, result 1").fill("0,8x")
    tab.get_by_label("titre, mL, result 1").fill("17,3")

    tab.get_by_role("button", name="Enter it").press("Enter")
    tab.get_by_text("things need mending").wait_for()

    expect(tab.get_by_label("sample, g, result 1")).to_have_value("0,8x")
    assert violations(tab) == []
