"""Takes the pictures of the read-me: python -m tests.pictures ADDRESS SLIP.

ADDRESS is where the invented course runs (make demo), SLIP the slip code that it
prints. The group of that slip sends nothing, so the pictures can be taken again.
"""

import sys
from pathlib import Path

from playwright.sync_api import Browser, sync_playwright

from tests.frontend.chromium import CHROMIUM, DESK, FLAGS, PHONE

FOLDER = Path(__file__).parent.parent / ".pictures"
# As the invented course prints them.
ASSISTANT, PASSWORD = "assistant", "orange-red-510"
MASSES_G = {"standard_mass_g": "0.1517", "unknown_mass_g": "0.3482"}
# Made up: a group has read its standards and the first of three unknown tubes.
PERCENT_T = {
    "1": "86.9",
    "2": "72.1",
    "3": "54.3",
    "4": "39.4",
    "5": "27.0",
    "U1": "38.6",
}


def bench_sheet(browser: Browser, address: str, slip: str) -> Path:
    """Picture a sheet that is being filled in, as a phone shows it."""
    context = browser.new_context(
        viewport=PHONE, base_url=address, device_scale_factor=2, has_touch=True
    )
    tab = context.new_page()
    tab.goto("/")
    tab.get_by_label("Slip code").fill(slip)
    tab.get_by_role("button", name="Sign in").click()
    tab.wait_for_url("**/bench/")
    for box, mass_g in MASSES_G.items():
        tab.locator(f"#{box}").fill(mass_g)
    meter = tab.locator("#station [data-scale=percent_T]").first
    tab.locator("#station").select_option(meter.get_attribute("value"))
    for tube, value in PERCENT_T.items():
        tab.locator(f"[data-tube='{tube}'] [data-reading]").fill(value)
    tab.evaluate("document.activeElement.blur()")
    tab.evaluate("document.querySelector('[data-live]').scrollIntoView(false)")
    # The heading above the first tube is hidden by the bar, not cut by it.
    tab.evaluate("window.scrollBy(0, 21)")
    return _taken(tab, "bench-sheet.png")


def section(browser: Browser, address: str) -> Path:
    """Picture a section of which everything was received, as a desk shows it."""
    tab = browser.new_context(viewport=DESK, base_url=address).new_page()
    tab.goto("/staff/")
    tab.get_by_label("Name").fill(ASSISTANT)
    tab.get_by_label("Password").fill(PASSWORD)
    tab.get_by_role("button", name="Sign in").click()
    tab.locator(".doors a", has_text="MON-A").click()
    tab.locator(".tile svg").first.wait_for()
    return _taken(tab, "section.png")


def _taken(tab, name: str) -> Path:
    path = FOLDER / name
    tab.screenshot(path=path)
    return path


def main(address: str, slip: str) -> None:
    """Take both pictures and say where they are."""
    FOLDER.mkdir(exist_ok=True)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=str(CHROMIUM), args=FLAGS, headless=True
        )
        for path in (bench_sheet(browser, address, slip), section(browser, address)):
            print(path, f"{path.stat().st_size / 1000:.0f} kB")  # noqa: T201
        browser.close()


if __name__ == "__main__":
    main(*sys.argv[1:])
