"""Every state of a group's pages is open to everybody, and fits a phone."""

import pytest
from django.contrib.sessions.models import Session
from django.urls import reverse
from playwright.sync_api import expect

from tests.factories import make_bench, slip_code, worked_off
from tests.frontend.browsers import sign_in, type_readings, violations
from tests.frontend.chromium import NEEDS_BROWSER, PHONE
from tests.frontend.phones import held, kept, synced

pytestmark = NEEDS_BROWSER


@pytest.fixture(params=["light", "dark"])
def look(request, tab):
    """Look at the page as it is now: its barriers, and whether it is too wide."""
    tab.emulate_media(color_scheme=request.param)
    found = []

    def look(name):
        found.extend((name, one) for one in violations(tab))
        width = tab.evaluate("document.documentElement.scrollWidth")
        if width > PHONE["width"]:
            found.append((name, f"{width} px wide"))

    look.found = found
    return look


def press(tab, name):
    tab.get_by_role("button", name=name).click()


def test_no_state_without_a_network_has_a_barrier(tab, look):
    make_bench(slip=slip_code())
    sign_in(tab)
    held(tab)
    look("empty")
    type_readings(tab)
    synced(tab)
    look("kept")
    tab.context.set_offline(True)
    press(tab, "Send")
    tab.get_by_text("No network: not sent").wait_for()
    look("waiting to be sent")
    press(tab, "Sign out")
    tab.get_by_text("you are still signed in").wait_for()
    look("still signed in")
    Session.objects.all().delete()
    tab.context.set_offline(False)
    tab.locator("#again").wait_for()
    look("to sign in again")
    tab.locator("#again").fill("ACD")
    press(tab, "Sign in, then send")
    expect(tab.locator("#again-problem")).not_to_be_empty()
    look("wrong slip code")
    tab.goto(reverse("home"))
    tab.locator("[data-kept-here] .notice").wait_for()
    look("kept while nobody is signed in")

    assert look.found == []


def test_no_state_of_two_phones_has_a_barrier(tab, look, chromium, live_server):
    make_bench(slip=slip_code())
    other = chromium.new_context(base_url=live_server.url).new_page()
    sign_in(other)
    other.locator("#value-2").fill("61,5")
    other.locator("#standard_mass_g").fill("0,2150")
    synced(other)
    other.context.close()
    sign_in(tab)
    type_readings(tab)
    kept(tab, "value/U2/1")
    synced(tab)

    tab.locator("#value-2-earlier").wait_for()
    look("earlier values")

    assert look.found == []


def test_no_state_after_sending_has_a_barrier(tab, look):
    make_bench(slip=slip_code(), own_answer_first=True)
    sign_in(tab)
    type_readings(tab)
    tab.locator("#standard_mass_g").fill("210")
    press(tab, "Send")
    tab.locator("#problems").wait_for()
    look("refused")
    tab.locator("#standard_mass_g").fill("0,2100")
    press(tab, "Send")
    tab.wait_for_url("**/bench/result/1/")
    look("sent")
    worked_off()
    tab.locator("#own-answer").wait_for()
    look("own answer asked")
    tab.locator("#own_iron_percent").fill("about 12")
    press(tab, "Send your own answer")
    tab.locator("#own_iron_percent-problem").wait_for()
    look("own answer refused")
    tab.locator("#own_iron_percent").fill("11,2")
    press(tab, "Send your own answer")
    tab.wait_for_url("**/bench/result/2/")
    worked_off()
    tab.get_by_text("95 % interval", exact=True).wait_for()
    look("ours shown")

    assert look.found == []
