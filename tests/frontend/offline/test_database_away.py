"""The phone while the site answers but its database does not."""

from contextlib import contextmanager

from django.db import connection
from django.urls import reverse
from playwright.sync_api import expect

from results.models import Submission
from tests.frontend.browsers import type_readings
from tests.frontend.chromium import NEEDS_BROWSER

pytestmark = NEEDS_BROWSER


@contextmanager
def database_away():
    """Take away the table that every page of a group needs first."""
    with connection.cursor() as cursor:
        cursor.execute("ALTER TABLE django_session RENAME TO taken_away")
        try:
            yield
        finally:
            cursor.execute("ALTER TABLE taken_away RENAME TO django_session")


def is_sheet(answer):
    return answer.request.method == "POST" and answer.url.endswith("/bench/")


def test_a_sheet_is_kept_and_sent_when_the_database_is_back(tab, bench):
    type_readings(tab)
    with database_away():
        with tab.expect_response(is_sheet) as answered:
            tab.get_by_role("button", name="Send").click()
        words = tab.locator("[data-sending-words]")
        expect(words).to_contain_text("take nothing just now: not sent. Kept on this")
        tab.reload()
        expect(tab.locator("#value-6")).not_to_have_value("")
        expect(tab.locator("[data-corner]")).to_contain_text("on this phone")

    tab.wait_for_url("**/bench/result/1/")

    assert answered.value.status == 503
    assert Submission.objects.count() == 1


def test_who_could_not_sign_out_still_has_the_sheet(tab, bench):
    with database_away():
        tab.get_by_role("button", name="Sign out").click()
        expect(tab.locator("h1")).to_have_text("Try again in a moment")
        tab.goto(reverse("bench-sheet"))

        expect(tab.locator("form[data-sheet]")).to_be_visible()
