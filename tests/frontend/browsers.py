"""What tests with a browser share: people who use the pages."""

from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse

from tests.factories import (
    PASSWORD,
    perfect_readings,
    raw_submission,
    slip_code,
    submit,
    worked_off,
)
from tests.frontend.benches import make_class
from tests.frontend.chromium import DESK

WCAG = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]


def sign_in(tab, number=1):
    tab.goto("/")
    tab.locator("#slip_code").fill(slip_code(number).lower())
    tab.locator("form.sheet button.send").click()
    tab.wait_for_url("**/bench/")


def staff_sign_in(tab, name):
    tab.set_viewport_size(DESK)
    tab.goto(reverse("staff-sign-in"))
    tab.get_by_label("Name").fill(name)
    tab.get_by_label("Password").fill(PASSWORD)
    tab.get_by_role("button", name="Sign in").click()
    tab.wait_for_url("**/staff/")


def type_readings(tab):
    tab.locator("#standard_mass_g").fill("0,2100")
    tab.locator("#unknown_mass_g").fill("0,2500")
    tab.locator("#station").select_option("4")
    for index, value in enumerate(perfect_readings().values()):
        tab.locator(f"#value-{index}").fill(f"{value:.1f}".replace(".", ","))


def violations(tab):
    found = Axe().run(tab, options={"runOnly": {"type": "tag", "values": WCAG}})
    return [
        (v["id"], [node["html"][:120] for node in v["nodes"]])
        for v in found.response["violations"]
    ]


def make_class_in(bench, n_groups=6):
    """Groups 11 onwards beside the bench's own, the first with an odd tube."""
    groups = make_class(bench.section, n_groups, first=11)
    odd = raw_submission(percent_T={"3": 45.0})
    submit(groups[0], odd, key="odd")
    worked_off()
    return groups
