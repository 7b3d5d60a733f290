"""Text at twice its size: nothing is cut, nothing needs pushing sideways.

WCAG 2.2, criterion 1.4.4 (resize text to 200 %).
"""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from tests.factories import make_bench, make_staff, slip_code
from tests.frontend.browsers import sign_in, staff_sign_in
from tests.frontend.chromium import NEEDS_BROWSER, PHONE
from tests.frontend.large import NOTHING, enlarge, lost

pytestmark = NEEDS_BROWSER


@pytest.fixture
def large(tab):
    tab.set_viewport_size(PHONE)
    enlarge(tab)
    return tab


def overlaps(tab, first, second):
    one, two = (tab.locator(name).first.bounding_box() for name in (first, second))
    return (
        one["x"] < two["x"] + two["width"]
        and two["x"] < one["x"] + one["width"]
        and one["y"] < two["y"] + two["height"]
        and two["y"] < one["y"] + one["height"]
    )


def test_the_sheet_loses_nothing(large):
    make_bench(slip=slip_code())
    sign_in(large)
    large.locator("#standard_mass_g").fill("210")
    for index in range(3):
        large.locator(f"#value-{index}").fill("0.12")
    large.locator("#value-4").fill("100,25")
    large.locator("[data-timer-button]").click()
    large.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")

    assert not overlaps(large, ".bar .who", ".corner")
    assert not overlaps(large, "[data-tube='1'] .tube-name b", "#value-0")
    assert large.evaluate("getComputedStyle(document.body).fontSize") == "32px"
    assert lost(large) == NOTHING


def test_the_reader_loses_nothing_and_scrolls_to_its_last_key(large):
    make_bench(slip=slip_code())
    sign_in(large)
    large.locator("[data-reader-open]").click()
    large.keyboard.press("Enter")
    large.keyboard.type("135.25")
    large.keyboard.press("Enter")

    assert lost(large) == NOTHING
    last = large.locator("[data-reader-left-out]")
    last.scroll_into_view_if_needed()
    last.click()
    expect(large.locator("[name=left_out]").first).to_be_checked()


def test_the_sign_in_loses_nothing(large):
    large.goto("/")
    large.get_by_label("Slip code").fill("ACD-3FH-K7Y")

    assert lost(large) == NOTHING


def test_pages_to_print_lose_nothing(large):
    bench = make_bench(slip=slip_code())
    make_staff("ben", role="assistant", section=bench.section)
    staff_sign_in(large, "ben")
    large.set_viewport_size(PHONE)
    large.goto(reverse("section-slips", args=[bench.section.pk]))
    asked = lost(large)
    large.get_by_label("Group 1").check()
    large.get_by_role("button", name="Make the slips").click()
    large.locator("[data-slip-code]").wait_for()
    slips = lost(large)
    large.goto(reverse("station-stickers", args=[bench.course.code]))

    assert (asked, slips, lost(large)) == (NOTHING, NOTHING, NOTHING)
