"""A reading travels the whole way: a phone, a real site, an assistant's page."""

import re
import time

import pytest

from results.management import processes
from results.management.seeding import ASSISTANT, PASSWORD
from tests.frontend.chromium import CHROMIUM, FLAGS, PHONE
from tests.processes.site import Site, wait_for
from tests.processes.test_demo import start

sync_api = pytest.importorskip("playwright.sync_api")
# Read by an invented pair at a needle, for standards 1 to 5 and unknowns U1 to U3
# of the invented course's scheme.
PERCENT_T = {
    "1": "87,0",
    "2": "72,5",
    "3": "55,0",
    "4": "40,0",
    "5": "27,5",
    "U1": "47.0",
    "U2": "47,5",
    "U3": "47,0",
}
pytestmark = pytest.mark.timeout(180)


@pytest.fixture
def browser():
    with sync_api.sync_playwright() as playwright:
        try:
            browser = playwright.chromium.launch(
                executable_path=str(CHROMIUM), args=FLAGS
            )
        except sync_api.Error:
            pytest.skip(f"no Chromium at {CHROMIUM}")
        yield browser
        browser.close()


@pytest.fixture
def site(tmp_path):
    site = Site(
        tmp_path, f"sqlite:///{tmp_path / 'demo.sqlite3'}", "filesystem://localhost"
    )
    start(site)
    wait_for(
        lambda: processes.answers("127.0.0.1", site.port), within_s=20, what="page"
    )
    site.wait_until_computed(
        site.ask("SELECT count(*) FROM results_submission"), within_s=60
    )
    yield site
    site.started[0].terminate()
    site.started[0].wait(timeout=20)
    site.stop_all()


def printed(site, label, place):
    """A word of the welcome: the one at a place in the line of a label."""
    lines = (site.folder / "output.txt").read_text().splitlines()
    (line,) = [line for line in lines if line.strip().startswith(label)]
    return line.split()[place]


def test_a_pair_types_sends_and_sees_its_line_and_its_assistant_sees_it_too(
    site, browser
):
    page = browser.new_context(viewport=PHONE, has_touch=True).new_page()
    page.goto(site.address)
    page.fill("input[name=slip_code]", printed(site, "student", 3))
    page.keyboard.press("Enter")
    page.wait_for_url("**/bench/")

    page.get_by_label("Iron salt weighed").fill("0,1503")
    page.get_by_label("Unknown weighed").fill("0.3512")
    page.get_by_label("Station").select_option(index=1)
    page.get_by_label("% transmittance", exact=True).check()
    for tube, typed in PERCENT_T.items():
        box = page.locator(f"[data-tube='{tube}'] [data-reading]").first
        box.press_sequentially(typed)
    page.get_by_role("button", name="Send").click()
    page.wait_for_url("**/bench/result/**")
    sent_at = time.monotonic()
    page.get_by_text("computed").first.wait_for(timeout=3000)
    page.locator("svg").first.wait_for(timeout=3000)

    assert time.monotonic() - sent_at < 3
    assert page.get_by_text("L/mg").first.is_visible()

    desk = browser.new_page()
    desk.goto(f"{site.address}/staff/sign-in/")
    desk.fill("input[name=username]", ASSISTANT)
    desk.fill("input[name=password]", PASSWORD)
    desk.keyboard.press("Enter")
    desk.get_by_role("link", name="FRI-A").first.click()
    group = printed(site, "student", 7).rstrip(")")
    row = desk.get_by_role("row", name=re.compile(rf"^{group}\b")).first
    assert row.get_by_text("computed").is_visible()
