"""The browser, how it is started, and the screens that it stands for."""

import os
from pathlib import Path

import pytest

CHROMIUM = Path(os.environ.get("CHROMIUM", "/usr/bin/chromium"))
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
PHONE = {"width": 390, "height": 844}
DESK = {"width": 1280, "height": 900}
# What a module needs whose tests look at pages: the site works in threads of its own.
NEEDS_BROWSER = [
    pytest.mark.skipif(not CHROMIUM.exists(), reason=f"no browser at {CHROMIUM}"),
    pytest.mark.django_db(transaction=True),
]
