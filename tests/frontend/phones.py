"""Phones with a profile of their own: what they keep outlives their browser."""

import contextlib
import os
import signal
import subprocess
import time

from tests.frontend.chromium import CHROMIUM, FLAGS, PHONE

WITHIN_S = 15


class Phone:
    """A browser with its own profile, whose battery can die.

    Parameters
    ----------
    browser_type : BrowserType
        What drives it.
    folder : Path
        Where the profile is kept.
    """

    def __init__(self, browser_type, folder):
        self.browser_type = browser_type
        self.folder = folder
        self.process = self.browser = None

    def start(self):
        """Start the browser anew and return its page."""
        port_file = self.folder / "DevToolsActivePort"
        port_file.unlink(missing_ok=True)
        self.process = subprocess.Popen(
            [
                str(CHROMIUM),
                *FLAGS,
                "--headless=new",
                "--remote-debugging-port=0",
                f"--user-data-dir={self.folder}",
                f"--window-size={PHONE['width']},{PHONE['height']}",
                "about:blank",
            ],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            start_new_session=True,
        )
        until = time.monotonic() + WITHIN_S
        while not (port_file.exists() and port_file.read_text().count("\n")):
            assert time.monotonic() < until, "no browser in time"
            time.sleep(0.05)
        port = port_file.read_text().splitlines()[0]
        self.browser = self.browser_type.connect_over_cdp(f"http://127.0.0.1:{port}")
        page = self.browser.contexts[0].pages[0]
        page.set_viewport_size(PHONE)
        page.set_default_timeout(30_000)
        return page

    def die(self):
        """Take the battery out: nothing is closed, nothing is written any more."""
        if self.process is None:
            return
        with contextlib.suppress(ProcessLookupError):
            os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait()
        self.process = None


def until(page, condition, argument=None):
    """Wait until an asynchronous condition of the page holds; return its value."""
    return page.evaluate(
        f"""async (argument) => {{
          const condition = {condition};
          for (;;) {{
            const found = await condition(argument);
            if (found) return found;
            await new Promise((resolve) => setTimeout(resolve, 20));
          }}
        }}""",
        argument,
    )


def held(page):
    """Wait until the page is held for when there is no network."""
    until(
        page,
        "async () => navigator.serviceWorker.controller && "
        "(await caches.match('/bench/'))?.ok",
    )


def corner(page):
    """Return what the receipt says."""
    return " ".join(page.locator("[data-corner]").inner_text().split())


def kept(page, field):
    """Wait until a box is kept on the phone's disk."""
    until(
        page,
        "async (field) => (await window.bench.keeper.allBoxes())"
        ".some((one) => one.field === field)",
        field,
    )


def synced(page):
    """Wait until the site knows everything that was typed on a phone."""
    until(
        page,
        "async () => (await window.bench.keeper.allBoxes()).every((one) => one.synced)",
    )
