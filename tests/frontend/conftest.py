"""A browser, started once for each module that looks at pages."""

import os

import pytest
from playwright.sync_api import expect, sync_playwright

from tests.frontend.chromium import CHROMIUM, FLAGS, PHONE
from tests.frontend.quiet import InHand

_in_hand = InHand()
# A busy machine is late, not wrong; what never comes still fails.
expect.set_options(timeout=30_000)


def pytest_collection_modifyitems(items):
    """Mark the tests that need a browser, so that a run can leave them out."""
    for item in items:
        if "chromium" in getattr(item, "fixturenames", ()):
            item.add_marker("browser")


@pytest.fixture(autouse=True)
def _quiet_site(request):
    """Let the site end what a phone has asked for before its tables are emptied.

    A sheet asks by itself, now and then; a request that is in hand while the tables
    are emptied would put rows back in, or fail for what it misses.
    """
    yield
    if "chromium" in request.fixturenames:
        _in_hand.wait()


@pytest.fixture(scope="module")
def chromium():
    # The driver runs an event loop in this thread, for which Django would refuse
    # every query of the tests themselves.
    before = os.environ.get("DJANGO_ALLOW_ASYNC_UNSAFE")
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "1"
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=str(CHROMIUM), args=FLAGS, headless=True
        )
        yield browser
        browser.close()
    if before is None:
        del os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"]


@pytest.fixture
def tab(chromium, live_server):
    """A phone's page, with everything that the browser complained about."""
    context = chromium.new_context(
        viewport=PHONE, base_url=live_server.url, has_touch=True
    )
    page = context.new_page()
    page.complaints = []
    page.on("pageerror", lambda error: page.complaints.append(str(error)))
    page.on(
        "console",
        lambda message: (
            page.complaints.append(message.text) if message.type == "error" else None
        ),
    )
    page.set_default_timeout(30_000)
    yield page
    context.close()
