"""The clock of the colour keeps the moment at which it ends."""

from datetime import UTC, datetime

import pytest

from tests.factories import make_bench, protocol_document, slip_code
from tests.frontend.browsers import sign_in, violations
from tests.frontend.chromium import NEEDS_BROWSER, PHONE

pytestmark = NEEDS_BROWSER
START = datetime(2025, 3, 4, 14, 37, tzinfo=UTC)


@pytest.fixture
def phone(chromium, live_server):
    """A phone whose clock stands still until a test moves it; 24-hour, UTC."""
    bench = make_bench(slip=slip_code())
    bench.course.protocols.update(document=protocol_document(develop_min=15))
    context = chromium.new_context(
        viewport=PHONE,
        base_url=live_server.url,
        locale="en-GB",
        timezone_id="UTC",
    )
    context.clock.install(time=START)
    context.add_init_script(
        "window.vibrations = 0; navigator.vibrate = () => { window.vibrations += 1; };"
    )
    tab = context.new_page()
    sign_in(tab)
    tab.clock.pause_at(START.replace(minute=40))
    yield tab
    context.close()


def clock(tab):
    return tab.locator("[data-timer-left]").inner_text()


def words(tab):
    return tab.locator("[data-timer-words]").inner_text()


def said(tab):
    return tab.locator("[data-timer-said]").text_content()


def press(tab):
    tab.locator("[data-timer-button]").click()


def test_one_button_starts_it_and_stops_it(phone):
    before = clock(phone)
    press(phone)
    phone.clock.run_for(61_000)
    running, ends = clock(phone), words(phone)
    press(phone)

    assert (before, running, ends) == ("15:00", "13:59", "Ends at 14:55.")
    assert clock(phone) == "15:00"
    assert phone.evaluate("Object.keys(localStorage)") == []


def test_it_goes_on_in_a_closed_page(phone):
    press(phone)
    page = phone.url
    phone.goto("about:blank")
    phone.clock.run_for(5 * 60_000)

    phone.goto(page)

    assert clock(phone) == "10:00"
    assert words(phone) == "Ends at 14:55."


def test_it_is_right_at_once_when_a_locked_phone_wakes(phone):
    press(phone)
    # A locked phone runs no timers: the clock moves and nothing is told.
    phone.clock.set_fixed_time(START.replace(minute=50))

    phone.evaluate("document.dispatchEvent(new Event('visibilitychange'))")

    assert clock(phone) == "5:00"


def test_its_end_is_told_once(phone):
    press(phone)
    phone.clock.run_for(15 * 60_000)
    told, vibrated = said(phone), phone.evaluate("window.vibrations")
    phone.clock.run_for(3 * 60_000)
    phone.reload()

    assert told == "15 minutes are over. Read your tubes now."
    assert vibrated == 1
    assert words(phone) == "Over since 14:55: read your tubes now."
    assert said(phone) == ""
    assert phone.evaluate("window.vibrations") == 0


def test_an_end_that_nobody_saw_is_told_when_the_page_is_opened(phone):
    press(phone)
    page = phone.url
    phone.goto("about:blank")
    phone.clock.run_for(20 * 60_000)

    phone.goto(page)

    assert said(phone) == "15 minutes are over. Read your tubes now."
    assert clock(phone) == "0:00"


def test_a_phone_that_refuses_storage_has_a_clock_all_the_same(phone):
    phone.add_init_script(
        "Object.defineProperty(window, 'localStorage', "
        "{ get() { throw new Error('refused'); } });"
    )
    phone.reload()

    press(phone)
    phone.clock.run_for(60_000)

    assert clock(phone) == "14:00"


def test_what_was_kept_by_mistake_does_not_stop_it(phone):
    key = phone.locator("[data-timer]").get_attribute("data-timer-of")
    phone.evaluate(
        "key => localStorage.setItem('benchwide-timer:' + key, '{nonsense')", key
    )

    phone.reload()

    assert clock(phone) == "15:00"


def test_another_group_on_the_same_phone_has_a_clock_of_its_own(phone):
    press(phone)
    key = phone.locator("[data-timer]").get_attribute("data-timer-of")

    assert key == "IRON-1/A1/1"
    assert phone.evaluate("Object.keys(localStorage)") == [f"benchwide-timer:{key}"]


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_clock_that_runs_and_one_that_is_over_have_no_barrier(phone, scheme):
    phone.emulate_media(color_scheme=scheme)
    press(phone)
    phone.clock.resume()
    found = violations(phone)
    phone.clock.fast_forward(16 * 60_000)
    phone.get_by_text("Over since").wait_for()

    assert found + violations(phone) == []
