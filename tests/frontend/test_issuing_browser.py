"""Planning and issuing in a browser: no barrier, no wide page, ready for paper."""

import re

import pytest
from django.urls import reverse

from results.models import Issue
from tests.factories import make_staff
from tests.frontend.browsers import staff_sign_in, violations
from tests.frontend.chromium import DESK, NEEDS_BROWSER, PHONE
from tests.results.issued import make_prepared

pytestmark = NEEDS_BROWSER


@pytest.fixture
def desk(tab):
    """The coordinator of a course that is ready for issuing."""
    course = make_prepared(lots=5, stations=6, per_section=8)
    make_staff("ada", course=course)
    staff_sign_in(tab, "ada")
    tab.goto(reverse("prepare-issuing", args=["IRON-1"]))
    return tab


def look(tab):
    tab.get_by_role("button", name="See the plan").click()
    tab.get_by_role("heading", name="vials would be issued").wait_for()


def issue(tab):
    tab.get_by_role("button", name=re.compile(r"Issue \d+ vials")).click()
    tab.get_by_role("heading", name="vials by bench").wait_for()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("screen", [PHONE, DESK], ids=["phone", "desk"])
def test_form_plan_and_list_have_no_barrier_and_fit_the_screen(desk, screen, scheme):
    desk.emulate_media(color_scheme=scheme)
    desk.set_viewport_size(screen)
    found = []

    for name, move in (("form", None), ("plan", look), ("list", issue)):
        if move:
            move(desk)
        desk.evaluate(
            "document.querySelectorAll('details').forEach(d => d.open = true)"
        )
        found += [(name, *one) for one in violations(desk)]
        width = desk.evaluate("document.documentElement.scrollWidth")
        if width > screen["width"]:
            found.append((name, "is wide", width))

    assert found == []
    assert desk.complaints == []


def test_what_is_seen_is_issued(desk):
    look(desk)
    desk.get_by_text("Every vial of the plan as a table").click()
    rows = desk.get_by_role("region", name="Vials of the plan").locator("tbody tr")
    planned = {row.inner_text().split()[3] for row in rows.all()}

    issue(desk)

    assert planned == set(Issue.objects.values_list("vial__code", flat=True))


def test_the_issue_list_prints_a_sheet_a_section(desk):
    look(desk)
    issue(desk)

    sheet = desk.pdf(format="A4", landscape=True, prefer_css_page_size=True)

    assert len(re.findall(rb"/Type\s*/Page\b", sheet)) == 2
