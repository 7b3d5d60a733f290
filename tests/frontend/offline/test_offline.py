"""The bench sheet without a network: a real service worker, a real disk."""

import re

from django.contrib.sessions.models import Session
from django.urls import reverse
from playwright.sync_api import expect

from results.models import Submission
from tests.factories import (
    make_bench,
    make_group,
    make_staff,
    perfect_readings,
    slip_code,
)
from tests.frontend.browsers import sign_in, staff_sign_in, type_readings
from tests.frontend.chromium import NEEDS_BROWSER
from tests.frontend.phones import Phone, corner, held, kept, synced, until

pytestmark = NEEDS_BROWSER


SHEET = "**/bench/"


RESULT = "**/bench/result/1/"


def reopened(tab):
    """Close the tab and open the sheet in another one of the same phone."""
    context = tab.context
    tab.close()
    page = context.new_page()
    page.set_default_timeout(30_000)
    page.goto(reverse("bench-sheet"))
    return page


def sign_in_again(page, number=1):
    page.locator("#again").fill(slip_code(number))
    page.get_by_role("button", name="Sign in, then send").click()


def test_a_sheet_typed_without_a_network_arrives_once(tab, bench):
    tab.context.set_offline(True)
    tab.reload()
    type_readings(tab)
    kept(tab, "value/U2/1")
    page = reopened(tab)
    typed = f"{perfect_readings()['U2']:.1f}".replace(".", ",")
    expect(page.locator("#value-6")).to_have_value(typed)
    page.get_by_role("button", name="Send").click()
    page.get_by_text("No network: not sent").wait_for()
    receipt = corner(page)
    page = reopened(page)
    page.get_by_text("No network: not sent").wait_for()

    page.context.set_offline(False)
    page.wait_for_url(RESULT)

    assert re.fullmatch(r"on this phone \d\d:\d\d", receipt)
    assert Submission.objects.count() == 1
    assert page.evaluate("indexedDB.databases().then((all) => all.length)") == 1
    assert page.evaluate("Object.keys(localStorage)") == []


def test_the_home_page_leads_to_the_sheet_without_a_network(tab, bench):
    tab.context.set_offline(True)

    tab.goto(reverse("home"))

    assert tab.url.endswith(reverse("bench-sheet"))


def test_pressing_twice_is_sending_once(tab, bench):
    type_readings(tab)
    tab.context.set_offline(True)
    for _ in range(2):
        tab.get_by_role("button", name="Send").click()
        tab.get_by_text("No network: not sent").wait_for()

    tab.context.set_offline(False)
    tab.wait_for_url(RESULT)

    assert Submission.objects.count() == 1


def test_a_lost_answer_makes_no_second_submission(tab, bench):
    lost = []

    def lose_the_first(route):
        if route.request.method != "POST" or lost:
            route.continue_()
            return
        lost.append(route.fetch().status)
        route.abort()

    tab.route(re.compile(r"/bench/$"), lose_the_first)
    type_readings(tab)

    tab.get_by_role("button", name="Send").click()
    tab.wait_for_url(RESULT)

    assert lost == [201]
    assert Submission.objects.count() == 1


def test_a_sheet_refused_later_comes_back_with_its_problems(tab, bench):
    type_readings(tab)
    tab.locator("#standard_mass_g").fill("210")
    tab.context.set_offline(True)
    tab.get_by_role("button", name="Send").click()
    tab.get_by_text("No network: not sent").wait_for()
    tab.locator("#unknown_mass_g").fill("0,2600")

    tab.context.set_offline(False)
    tab.locator("#problems").wait_for()

    box = tab.locator("#standard_mass_g")
    assert (box.input_value(), box.get_attribute("aria-invalid")) == ("210", "true")
    assert "milligrams" in tab.locator("#standard_mass_g-problem").inner_text()
    assert "standard_mass_g-problem" in box.get_attribute("aria-describedby")
    expect(tab.locator("#unknown_mass_g")).to_have_value("0,2600")
    box.fill("0,2100")
    tab.get_by_role("button", name="Send").click()
    tab.wait_for_url(RESULT)
    assert Submission.objects.get().unknown_mass_g == 0.26


def test_what_is_typed_after_sending_is_the_next_revision(tab, bench):
    type_readings(tab)
    tab.context.set_offline(True)
    tab.get_by_role("button", name="Send").click()
    tab.get_by_text("No network: not sent").wait_for()
    tab.locator("#unknown_mass_g").fill("0,2600")

    tab.context.set_offline(False)
    tab.get_by_role("button", name="Send revision 2").wait_for()
    tab.get_by_text("not sent yet").wait_for()

    assert Submission.objects.get().unknown_mass_g == 0.25
    assert tab.url.endswith(reverse("bench-sheet"))
    expect(tab.locator("#unknown_mass_g")).to_have_value("0,2600")


def test_an_expired_session_costs_a_slip_code_and_nothing_else(tab, bench):
    tab.context.set_offline(True)
    type_readings(tab)
    tab.get_by_role("button", name="Send").click()
    tab.get_by_text("No network: not sent").wait_for()
    Session.objects.all().delete()

    tab.context.set_offline(False)
    expect(tab.locator("[data-sending-words]")).to_contain_text("Sign in again")
    before = Submission.objects.count()
    sign_in_again(tab)
    tab.wait_for_url(RESULT)

    assert before == 0
    assert Submission.objects.count() == 1


def test_a_wrong_slip_code_is_said_beside_its_box(tab, bench):
    type_readings(tab)
    synced(tab)
    Session.objects.all().delete()
    tab.get_by_role("button", name="Send").click()

    tab.locator("#again").fill("ACD-3FH-K7K")
    tab.get_by_role("button", name="Sign in, then send").click()

    expect(tab.locator("#again-problem")).not_to_be_empty()
    expect(tab.locator("#value-0")).not_to_have_value("")


def test_another_groups_slip_sends_nothing_for_it(tab, bench):
    make_group(bench.section, "2", slip=slip_code(2))
    type_readings(tab)
    kept(tab, "value/U2/1")
    synced(tab)
    Session.objects.all().delete()
    tab.get_by_role("button", name="Send").click()
    tab.get_by_text("Sign in again with").wait_for()

    sign_in_again(tab, 2)
    expect(tab.locator(".who")).to_contain_text("Group 2")

    expect(tab.locator("#value-0")).to_have_value("")
    assert Submission.objects.count() == 0


def test_signing_out_keeps_what_is_not_sent_until_it_is(tab, bench):
    tab.context.set_offline(True)
    type_readings(tab)
    tab.get_by_role("button", name="Send").click()
    tab.get_by_text("No network: not sent").wait_for()
    tab.get_by_role("button", name="Sign out").click()
    tab.get_by_text("you are still signed in").wait_for()
    # Of all that is sent, only signing out gets through.
    tab.route(re.compile(r"/bench/(draft/)?$"), lambda route: route.abort())
    tab.context.set_offline(False)

    tab.get_by_role("button", name="Sign out").click()
    notice = tab.locator("[data-kept-here] .notice")
    said = notice.inner_text()
    caches = tab.evaluate("caches.keys()")
    tab.unroute_all()
    sign_in(tab)
    tab.wait_for_url(RESULT)

    assert "group 1, section A1" in said
    assert "bench-sheet" not in caches
    assert Submission.objects.count() == 1


def test_what_was_sent_is_forgotten_when_nobody_is_signed_in(tab, bench):
    type_readings(tab)
    tab.get_by_role("button", name="Send").click()
    tab.wait_for_url(RESULT)

    tab.get_by_role("button", name="Sign out").click()
    tab.wait_for_url(re.compile(r"/$"))
    until(tab, "async () => !(await window.bench.keeper.allBoxes()).length")

    assert tab.locator(".notice").count() == 0


def test_only_the_sheet_and_its_files_are_held(tab, bench):
    make_staff("ben", role="assistant", section=bench.section)
    staff_sign_in(tab, "ben")
    tab.goto(reverse("section", args=[bench.section.pk]))

    addresses = tab.evaluate(
        """async () => {
          const found = [];
          for (const name of await caches.keys())
            for (const request of await (await caches.open(name)).keys())
              found.push(new URL(request.url).pathname);
          return found;
        }"""
    )

    assert reverse("bench-sheet") in addresses
    assert {one for one in addresses if not one.startswith("/static/frontend/")} == {
        reverse("bench-sheet"),
        reverse("bench-scripts"),
    }
    assert not any("sort.js" in one for one in addresses)


def test_every_file_of_the_sheet_is_held(tab, bench):
    missing = tab.evaluate(
        """async () => {
          const files = performance.getEntriesByType("resource")
            .map((entry) => entry.name).filter((name) => name.includes("?v="));
          const held = await Promise.all(files.map((name) => caches.match(name)));
          return files.length ? files.filter((_, i) => !held[i]) : ["nothing"];
        }"""
    )

    assert missing == []


def test_files_of_an_older_sheet_go_when_nothing_needs_them(tab, bench):
    old = f"{reverse('bench-scripts')}?v=000000000000"
    tab.evaluate(
        """async (old) => {
          await (await caches.open("bench-files")).put(old, new Response("1"));
        }""",
        old,
    )

    tab.reload()
    until(tab, "async (old) => !(await caches.match(old))", old)
    tab.context.set_offline(True)
    tab.reload()
    type_readings(tab)

    assert "slope 0.19" in tab.locator("[data-live-words]").inner_text()


def test_a_dead_battery_takes_nothing(live_server, chromium, tmp_path):
    make_bench(slip=slip_code())
    phone = Phone(chromium.browser_type, tmp_path)
    try:
        page = phone.start()
        page.goto(live_server.url)
        page.get_by_label("Slip code").fill(slip_code())
        page.get_by_role("button", name="Sign in").click()
        page.wait_for_url(SHEET)
        held(page)
        type_readings(page)
        kept(page, "value/U2/1")
        phone.die()
        page = phone.start()
        # Cookies are written to the disk now and then only: this one is lost too.
        page.context.clear_cookies()
        page.goto(live_server.url)
        said = page.locator("[data-kept-here] .notice").inner_text()
        page.get_by_label("Slip code").fill(slip_code())
        page.get_by_role("button", name="Sign in").click()
        expect(page.locator("#value-6")).not_to_have_value("")
        page.get_by_role("button", name="Send").click()
        page.wait_for_url(RESULT)
    finally:
        phone.die()

    assert "kept on this phone: readings of group 1" in said
    assert Submission.objects.count() == 1
