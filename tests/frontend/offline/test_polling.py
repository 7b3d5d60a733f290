"""A phone looks for the other one's sheet only after a silence."""

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from results import intake
from tests.factories import make_bench, slip_code
from tests.frontend.browsers import sign_in
from tests.frontend.chromium import NEEDS_BROWSER
from tests.frontend.draft_messages import NOW_MS, PHONES
from tests.frontend.phones import synced

pytestmark = NEEDS_BROWSER

POLL_MS = 10_000


@pytest.fixture
def group(tab):
    """A group whose phone, with the sheet open, has a clock that is moved by hand."""
    bench = make_bench(slip=slip_code())
    tab.clock.install()
    with tab.expect_response(is_poll):
        sign_in(tab)
    # The page has taken its first look in, and plans its next one.
    tab.wait_for_timeout(300)
    return bench.group


def is_poll(answer):
    return "/bench/draft/?seen=" in answer.url


def polls_of(tab):
    polls = []
    tab.on("request", lambda asked: is_poll(asked) and polls.append(asked.url))
    return polls


def test_an_idle_phone_shows_what_the_other_one_types(tab, group):
    intake.take_edits(
        group_id=group.pk,
        document={
            "phone": PHONES[1],
            "sent_ms": NOW_MS,
            "edits": [{"field": "value/3/1", "value": "61,5", "stamp_ms": NOW_MS}],
        },
        received_at=timezone.now(),
    )

    tab.clock.run_for(POLL_MS + 100)

    expect(tab.locator("#value-2")).to_have_value("61,5")


def test_a_phone_that_types_does_not_look_as_well(tab, group):
    polls = polls_of(tab)
    for value in ("0,2100", "0,2200", "0,2300"):
        tab.locator("#standard_mass_g").fill(value)
        tab.clock.run_for(2_000)
        synced(tab)
        # Its answer is read by the page before more time passes.
        tab.wait_for_timeout(300)
        tab.clock.run_for(4_000)
    meanwhile = list(polls)

    with tab.expect_response(is_poll):
        tab.clock.run_for(POLL_MS + 100)

    assert meanwhile == []
