"""Comparisons in a browser: no barrier, no wide page, one sheet of paper."""

import re

import pytest
from django.urls import reverse

from tests.compared import compared_course, share_a_slip
from tests.factories import make_staff
from tests.frontend.browsers import staff_sign_in, violations
from tests.frontend.chromium import DESK, NEEDS_BROWSER, PHONE
from tests.frontend.test_comparing_pages import PAGES, address

pytestmark = NEEDS_BROWSER


@pytest.fixture
def desk(tab):
    """The coordinator of a course with a station, a lot and a handout in doubt."""
    share_a_slip(compared_course(gain={"S3": 1.05}, content={"L1": 0.95}))
    make_staff("ada")
    staff_sign_in(tab, "ada")
    return tab


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("screen", [PHONE, DESK], ids=["phone", "desk"])
def test_comparisons_have_no_barrier_and_fit_the_screen(desk, screen, scheme):
    desk.emulate_media(color_scheme=scheme)
    desk.set_viewport_size(screen)
    found = []
    for name in PAGES:
        desk.goto(address(name))
        open_everything(desk)
        found += [(name, *one) for one in violations(desk)]
        width = desk.evaluate("document.documentElement.scrollWidth")
        if width > screen["width"]:
            found.append((name, "is wide", width))

    assert found == []
    assert desk.complaints == []


def test_every_figure_of_a_page_is_drawn(desk):
    for name in PAGES:
        desk.goto(address(name))
        open_everything(desk)
        places = desk.locator("[data-figure]").count()
        assert desk.locator("[data-figure] .main-svg").count() >= places > 0


def test_point_of_a_group_leads_to_the_group(desk):
    desk.goto(address("slopes"))
    point = desk.locator(".scatterlayer .trace").nth(1).locator(".point").first
    box = point.bounding_box()

    with desk.expect_navigation():
        desk.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)

    assert re.search(r"/staff/groups/\d+/$", desk.url)


def test_report_is_one_sheet_of_paper_black_on_white(desk):
    desk.emulate_media(color_scheme="dark")
    desk.goto(address("report"))
    desk.evaluate(
        """addEventListener("beforeprint", () => {
            window.ink = getComputedStyle(document.querySelector(".xtick text")).fill;
        })"""
    )

    sheet = desk.pdf(format="A4", prefer_css_page_size=True)

    assert len(re.findall(rb"/Type\s*/Page\b", sheet)) == 1
    assert desk.evaluate("window.ink") == "rgb(0, 0, 0)"


def test_comparisons_are_reached_from_the_course(desk):
    desk.goto(reverse("course", args=["IRON-1"]))

    desk.get_by_role("navigation", name="Comparisons").get_by_text("Stations").click()

    assert desk.locator("h1").inner_text().startswith("Station S3 reads")


def open_everything(tab):
    tab.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
    tab.wait_for_timeout(150)
