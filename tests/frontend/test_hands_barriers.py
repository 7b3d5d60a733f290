"""What is new at the bench and on paper has no barrier, and fits a narrow phone."""

import pytest
from django.urls import reverse

from tests.factories import (
    make_bench,
    make_group,
    make_staff,
    make_station,
    slip_code,
)
from tests.frontend.browsers import sign_in, staff_sign_in, violations
from tests.frontend.chromium import NEEDS_BROWSER, PHONE

pytestmark = NEEDS_BROWSER


def width_of(tab):
    return tab.evaluate("document.documentElement.scrollWidth")


def make_laboratory():
    bench = make_bench(slip=slip_code(), vial_labels_checked=True)
    make_group(bench.section, "2", students=("A. Alder", "B. Birch"))
    make_station(bench.course, code="12", place="Annexe, bench 3", in_service=False)
    make_staff("ada", course=bench.course)
    return bench


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_pages_to_print_have_no_barrier_and_fit(tab, scheme):
    bench = make_laboratory()
    tab.emulate_media(color_scheme=scheme)
    staff_sign_in(tab, "ada")
    tab.set_viewport_size({"width": 320, "height": PHONE["height"]})
    tab.goto(reverse("station-stickers", args=[bench.course.code]))
    found, widths = violations(tab), [width_of(tab)]
    tab.goto(reverse("section-slips", args=[bench.section.pk]))
    found += violations(tab)
    tab.get_by_role("button", name="Make the slips").click()
    tab.locator("[data-slip-code]").wait_for()
    found += violations(tab)
    widths.append(width_of(tab))

    assert found == []
    assert widths == [320, 320]
    assert tab.complaints == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_labels_that_are_refused_and_accepted_have_no_barrier(tab, scheme):
    bench = make_laboratory()
    bench.group.issues.all().delete()
    tab.emulate_media(color_scheme=scheme)
    tab.goto(reverse("slip-door"))
    tab.get_by_label("Slip code").fill("ACD-3FH-K7Y")
    found = violations(tab)
    sign_in(tab)
    for typed in ("ACD-3F", "A"):
        tab.get_by_label("Vial").fill(typed)
        found += violations(tab)

    assert found == []


@pytest.mark.parametrize("width", [390, 320])
def test_the_reader_is_no_wider_than_its_phone(tab, width):
    make_laboratory()
    sign_in(tab)
    tab.set_viewport_size({"width": width, "height": PHONE["height"]})

    tab.locator("[data-reader-open]").click()

    assert tab.locator("dialog").evaluate("d => d.scrollWidth") == width
    assert width_of(tab) == width


def test_nothing_on_the_sheet_moves_by_itself(tab):
    make_laboratory()
    sign_in(tab)
    tab.locator("[data-timer-button]").click()
    tab.locator("[data-reader-open]").click()

    assert tab.evaluate("document.getAnimations().length") == 0


def test_a_reader_of_the_screen_hears_the_sheet_in_the_order_of_the_work(tab):
    make_laboratory()
    sign_in(tab)

    heads = tab.locator("main h2:visible").all_inner_texts()

    assert heads == ["Weighed", "Colour", "Meter", "Readings"]
