"""A course from nothing to its first student, through the pages, in a browser."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from results.models import Course, Group, Protocol, Section, Station
from tests.factories import make_bench, make_course, make_staff
from tests.frontend.browsers import staff_sign_in, violations
from tests.frontend.chromium import DESK, NEEDS_BROWSER, PHONE
from tests.frontend.test_barriers import pages_wider_than

pytestmark = NEEDS_BROWSER
CODE = "IRON-NEW"
DAYS = ("Mon 09:00", "Mon 14:00", "Tue 09:00", "Tue 14:00", "Wed 09:00", "Thu 14:00")
PAGES = (
    "prepare",
    "prepare-protocol",
    "prepare-sections",
    "prepare-policies",
    "prepare-stations",
)


def press(tab, name):
    """Press a button that leads on."""
    with tab.expect_navigation():
        tab.get_by_role("button", name=name).first.click()


def step(tab, title):
    """Go to a step from the hub."""
    tab.goto(reverse("prepare", args=[CODE]))
    with tab.expect_navigation():
        tab.locator(".steps").get_by_role("link", name=title, exact=True).click()


def make_the_course(tab):
    tab.goto(reverse("staff-home"))
    tab.get_by_role("link", name="A new course").click()
    tab.get_by_label("Code").fill(CODE)
    tab.get_by_label("Title").fill("Iron, from nothing")
    press(tab, "Make the course")


def write_the_protocol(tab):
    step(tab, "Protocol")
    tab.get_by_label("Mass to weigh, g").first.fill("0,1600")
    tab.get_by_label("Standard 5: takes, mL").fill("30")
    press(tab, "Look")
    assert "This is what would be adopted" in tab.locator("h1").inner_text()
    press(tab, "Adopt as version 1")


def set_the_policies(tab):
    step(tab, "Policies")
    tab.locator("#iron_shown").select_option("on_release")
    press(tab, "Keep")


def make_the_stations(tab):
    step(tab, "Stations")
    tab.get_by_label("Stations", exact=True).fill("1-14")
    tab.get_by_label("Place", exact=True).fill("north laboratory")
    press(tab, "Make them")


def make_the_sections(tab):
    step(tab, "Sections")
    tab.locator("#first_week").fill("2030-10-07")
    tab.locator("#meetings").fill("\n".join(DAYS))
    tab.locator("#first_code").fill("A1")
    press(tab, "Look at the times")
    assert "Six sections would be made" in tab.locator("h1").inner_text()
    press(tab, "Make the sections")


def prepare_everything(tab):
    make_the_course(tab)
    write_the_protocol(tab)
    set_the_policies(tab)
    make_the_stations(tab)
    make_the_sections(tab)


def check_the_course():
    course = Course.objects.get(code=CODE)
    document = Protocol.objects.get(course=course).document
    assert document["standard"]["mass_g"] == 0.16
    assert document["standards"][4]["take_mL"] == 30
    assert course.iron_shown == "on_release"
    assert Station.objects.filter(course=course, place="north laboratory").count() == 14
    assert Section.objects.filter(course=course, due_at__isnull=False).count() == 6
    assert Group.objects.filter(section__course=course).count() == 72


def test_a_course_is_prepared_from_nothing_through_the_pages(tab):
    make_course()
    make_staff("ada")
    staff_sign_in(tab, "ada")

    prepare_everything(tab)
    tab.goto(reverse("prepare", args=[CODE]))

    check_the_course()
    words = tab.locator("main").inner_text()
    assert "6 sections, 72 groups" in words
    assert "The first section opens on Monday, 7 October 2030, 09:00" in words
    assert tab.complaints == []


def test_everything_works_without_scripts(chromium, live_server):
    make_course()
    make_staff("ada")
    context = chromium.new_context(
        viewport=DESK, base_url=live_server.url, java_script_enabled=False
    )
    tab = context.new_page()
    staff_sign_in(tab, "ada")

    prepare_everything(tab)
    context.close()

    check_the_course()


def test_the_chain_is_drawn_anew_while_somebody_types(tab):
    make_course()
    make_staff("ada")
    staff_sign_in(tab, "ada")
    tab.goto(reverse("prepare-protocol", args=["IRON-1"]))
    before = tab.locator(".landing figcaption").inner_text()

    tab.locator("#standards-4-take_mL").fill("90")
    tab.get_by_text("A burette delivers 50 mL at most, not 90 mL").wait_for()
    after = tab.locator(".landing figcaption").inner_text()
    tab.locator("#standards-4-take_mL").fill("lots")
    tab.get_by_text("It cannot be drawn until one thing is mended").wait_for()

    assert before != after
    expect(tab.locator("#standards-4-take_mL")).to_have_value("lots")
    assert Protocol.objects.count() == 1


def addresses():
    return [
        reverse("new-course"),
        *(reverse(name, args=["IRON-1"]) for name in PAGES),
    ]


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("screen", [PHONE, DESK], ids=["phone", "desk"])
def test_pages_that_prepare_a_course_have_no_barrier(tab, scheme, screen):
    make_bench()
    user = make_staff("ada")
    user.is_staff = True
    user.save()
    make_course("LONELY")
    tab.emulate_media(color_scheme=scheme)
    staff_sign_in(tab, "ada")
    tab.set_viewport_size(screen)
    found = []
    for address in addresses():
        tab.goto(address)
        found += [(address, *one) for one in violations(tab)]
    tab.goto(reverse("prepare-protocol", args=["IRON-1"]))
    tab.locator("#standards-4-take_mL").fill("lots")
    press(tab, "Look")
    found += violations(tab)

    # What is refused is an answer of 422, on which a browser remarks.
    assert [one for one in tab.complaints if "422" not in one] == []
    assert found == []


# 390 px is a common phone; 320 px is what WCAG 2.2 asks for (criterion 1.4.10).
@pytest.mark.parametrize("width", [390, 320])
def test_no_page_that_prepares_a_course_is_wider_than_a_phone(tab, width):
    make_bench()
    make_staff("ada")
    staff_sign_in(tab, "ada")

    assert pages_wider_than(tab, addresses(), width) == []
