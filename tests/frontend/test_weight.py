"""The first visit is light, its files come at once, and it can be typed on soon."""

import pytest
from django.urls import reverse

from tests.factories import make_bench, slip_code
from tests.frontend.browsers import sign_in, type_readings
from tests.frontend.chromium import NEEDS_BROWSER, PHONE
from tests.frontend.phones import held
from tests.frontend.served import served

pytestmark = NEEDS_BROWSER

MOST_BYTES = 150_000
MOST_SENT_BYTES = 1_500
SOON_MS = 1000
# A poor mobile connection: 1.6 Mbit/s down, 0.75 Mbit/s up, 150 ms there and back.
SLOW = {
    "offline": False,
    "latency": 150,
    "downloadThroughput": 1.6e6 / 8,
    "uploadThroughput": 0.75e6 / 8,
}
SLOWED_CPU = 4
# What the phone holds for later is gone; nothing may come from it.
FORGET = """async () => {
  await (await navigator.serviceWorker.getRegistration())?.unregister();
  for (const name of await caches.keys()) await caches.delete(name);
}"""


@pytest.fixture
def site(settings):
    with served(settings) as site:
        yield site


@pytest.fixture
def phone(chromium, site):
    context = chromium.new_context(viewport=PHONE, base_url=site.url, has_touch=True)
    page = context.new_page()
    page.set_default_timeout(20_000)
    yield page
    context.close()


@pytest.fixture
def network(phone):
    """Make the phone slow and its network poor, as its tools do."""

    def slow(**changes):
        tools = phone.context.new_cdp_session(phone)
        tools.send("Network.enable")
        tools.send("Network.emulateNetworkConditions", {**SLOW, **changes})
        tools.send("Emulation.setCPUThrottlingRate", {"rate": SLOWED_CPU})
        return tools

    return slow


VISITS = 5


def soonest_ms(visit):
    """The best of a few visits: other work of the machine only ever adds to one."""
    best = visit()
    for _ in range(VISITS - 1):
        if best < SOON_MS:
            break
        best = min(best, visit())
    return best


def ready_ms(page):
    """How long after it was asked for the sheet could be typed on."""
    page.wait_for_function("performance.getEntriesByName('bench-ready').length")
    return page.evaluate("performance.getEntriesByName('bench-ready')[0].startTime")


def test_the_first_visit_weighs_little(phone, site):
    make_bench(slip=slip_code())

    sign_in(phone)
    held(phone)

    # Everything: both pages, all files, and what the worker fetches to hold.
    assert sum(size for _, size in site.answers) <= MOST_BYTES


def test_a_sheet_that_is_sent_weighs_little(phone):
    make_bench(slip=slip_code())
    sign_in(phone)
    type_readings(phone)

    with phone.expect_response(
        lambda answer: answer.request.method == "POST" and answer.status == 201
    ) as sent:
        phone.get_by_role("button", name="Send").click()

    assert len(sent.value.request.post_data_buffer) <= MOST_SENT_BYTES


def test_nothing_waits_for_a_file_that_another_file_asks_for(phone):
    make_bench(slip=slip_code())
    sign_in(phone)
    ready_ms(phone)

    asked = phone.evaluate(
        """() => {
          const ready = performance.getEntriesByName("bench-ready")[0].startTime;
          return performance.getEntriesByType("resource")
            .filter((entry) => entry.startTime < ready)
            .map((entry) => [new URL(entry.name).pathname, entry.initiatorType]);
        }"""
    )
    files = phone.evaluate(
        "[...document.head.querySelectorAll('[src], link')]"
        ".map((one) => new URL(one.src || one.href).pathname)"
    )

    # The page names every file itself: one request, then all the others at once.
    assert {"/bench-scripts.js"} <= {path for path, _ in asked} <= set(files)
    assert phone.locator("script[src]:not([defer])").count() == 0


def test_the_sheet_can_soon_be_typed_on(phone, network):
    make_bench(slip=slip_code())
    sign_in(phone)
    held(phone)
    tools = network()

    def first_visit():
        phone.evaluate(FORGET)
        tools.send("Network.clearBrowserCache")
        phone.goto(reverse("bench-sheet"))
        return ready_ms(phone)

    assert soonest_ms(first_visit) < SOON_MS


def test_a_sheet_that_is_held_can_be_typed_on_at_once_without_a_network(phone, network):
    make_bench(slip=slip_code())
    sign_in(phone)
    held(phone)
    network()
    phone.context.set_offline(True)

    def visit():
        phone.goto(reverse("bench-sheet"))
        return ready_ms(phone)

    assert soonest_ms(visit) < SOON_MS
