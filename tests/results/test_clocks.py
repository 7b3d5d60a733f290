"""Work by clocks that disagree, and by one that is set: neither stolen nor stuck."""

from datetime import timedelta

import pytest
from django.db import connection

from results import recompute
from results.models import Answer, PendingRecompute
from results.recompute import pending
from results.summaries.work import queue_state
from tests.factories import NOW, make_bench, submit

pytestmark = pytest.mark.django_db
HOURS = timedelta(hours=3)


@pytest.fixture
def submission():
    return submit(make_bench().group).submission_id


def test_workers_go_by_the_clock_of_the_database_not_by_their_own(time_machine):
    time_machine.move_to(NOW)
    before = recompute.common_now()
    time_machine.shift(HOURS)

    passed = recompute.common_now() - before

    # SQLite has no server that could have a clock.
    own = HOURS if connection.vendor == "sqlite" else timedelta()
    assert abs(passed - own) < timedelta(minutes=1)


def test_a_claim_made_before_the_clock_was_set_back_is_free(submission):
    pending.claim(now=NOW + HOURS)

    assert set(pending.claim(now=NOW).requests) == {submission}


def test_a_claim_is_held_through_a_small_step_of_the_clock(submission):
    pending.claim(now=NOW)

    assert not pending.claim(now=NOW - timedelta(seconds=5)).requests


def test_the_queue_names_a_claim_from_the_future_as_lost(submission):
    pending.claim(now=NOW + HOURS)

    assert queue_state(now=NOW).n_waiting == 1


def test_what_was_asked_for_by_a_fast_clock_is_due_at_once(submission):
    PendingRecompute.objects.update(available_at=NOW + HOURS)

    recompute.work_off(clock=lambda: NOW)

    assert Answer.objects.filter(submission=submission).exists()


def test_the_next_attempt_waits_its_seconds_by_any_clock(submission):
    failed = pending.claim(now=NOW)
    pending.fail(failed, submission, error="", now=NOW)

    assert not pending.claim(now=NOW + timedelta(seconds=1)).requests
    assert pending.claim(now=NOW + timedelta(seconds=2)).requests


def test_the_next_attempt_does_not_wait_for_hours_after_the_clock_was_set_back(
    submission,
):
    failed = pending.claim(now=NOW + HOURS)
    pending.fail(failed, submission, error="", now=NOW + HOURS)

    assert pending.claim(now=NOW).requests
