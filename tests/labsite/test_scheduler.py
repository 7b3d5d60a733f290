"""The scheduler's rounds, by a clock that is set: while it runs, and before."""

from datetime import UTC, datetime, timedelta

import pytest
from celery import Celery

from labsite.scheduler import SteadyScheduler

NOON = datetime(2025, 3, 4, 12, 0, tzinfo=UTC)
ROUNDS = {
    "quick": {"task": "quick", "schedule": 5.0},
    "slow": {"task": "slow", "schedule": 20.0},
}


@pytest.fixture
def make_scheduler(tmp_path):
    """Build a scheduler that finds what the former one left; its broker is feigned."""
    app = Celery("rounds", broker="memory://")
    app.conf.beat_schedule = ROUNDS

    def build():
        return SteadyScheduler(app, schedule_filename=str(tmp_path / "schedule"))

    return build


def done_within(scheduler, time_machine, seconds):
    """Count the rounds of each kind that are done while seconds pass."""
    before = {name: scheduler.schedule[name].total_run_count for name in ROUNDS}
    for _ in range(seconds):
        time_machine.shift(timedelta(seconds=1))
        while not scheduler.tick():
            pass
    return {
        name: scheduler.schedule[name].total_run_count - before[name] for name in ROUNDS
    }


def test_rounds_are_done_at_their_pace(make_scheduler, time_machine):
    time_machine.move_to(NOON, tick=False)

    done = done_within(make_scheduler(), time_machine, 60)

    assert done == {"quick": 12, "slow": 3}


def test_rounds_go_on_when_the_clock_is_set_back(make_scheduler, time_machine):
    time_machine.move_to(NOON, tick=False)
    scheduler = make_scheduler()
    done_within(scheduler, time_machine, 30)
    time_machine.move_to(NOON - timedelta(hours=3), tick=False)

    done = done_within(scheduler, time_machine, 61)

    assert done["quick"] >= 11
    assert done["slow"] >= 2


def test_a_new_scheduler_does_not_wait_for_times_that_were_noted_by_a_fast_clock(
    make_scheduler, time_machine
):
    time_machine.move_to(NOON + timedelta(hours=3), tick=False)
    former = make_scheduler()
    done_within(former, time_machine, 30)
    former.close()
    time_machine.move_to(NOON, tick=False)

    done = done_within(make_scheduler(), time_machine, 61)

    assert done["quick"] >= 11
    assert done["slow"] >= 2


def test_a_clock_set_forward_does_each_round_once_at_once(make_scheduler, time_machine):
    time_machine.move_to(NOON, tick=False)
    scheduler = make_scheduler()
    done_within(scheduler, time_machine, 30)
    time_machine.move_to(NOON + timedelta(hours=3), tick=False)

    assert done_within(scheduler, time_machine, 1) == {"quick": 1, "slow": 1}
