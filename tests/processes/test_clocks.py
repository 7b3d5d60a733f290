"""Workers on machines whose clocks are hours off, beside a right one."""

import sys
import time

import pytest

from results.management import processes
from tests.processes.site import pause, wait_for

HOURS_S = 3 * 3600
LEASE_S = 2
pytestmark = pytest.mark.timeout(120)
# Sets the clock of one process; what follows are the words of the worker's command.
_SHIFTED = """
import sys, time, time_machine
time_machine.travel(time.time() + float(sys.argv[1])).start()
sys.argv[:2] = ["celery"]
from celery.__main__ import main
main()
"""
_HELD = "SELECT count(*) FROM results_pendingrecompute WHERE claimed_by IS NOT NULL"


def start_worker(site, *, shift_s):
    words = processes.worker_command()
    words = words[words.index("celery") + 1 :]
    return site.start([sys.executable, "-c", _SHIFTED, str(shift_s), *words])


@pytest.fixture
def site(make_site, table):
    site = make_site("postgres")
    site.manage("import_readings", "iron", table(range(600)), "--create")
    return site


def test_a_worker_whose_clock_is_slow_finds_what_was_just_sent(site):
    start_worker(site, shift_s=-HOURS_S)

    site.wait_until_computed(600, within_s=40)


def test_what_a_killed_worker_of_a_fast_clock_held_is_free_after_a_lease(site):
    fast = start_worker(site, shift_s=HOURS_S)
    wait_for(lambda: site.ask(_HELD), within_s=30, what="claim")
    site.kill(fast)
    assert site.ask("SELECT count(*) FROM results_pendingrecompute") > 0
    pause(LEASE_S)

    site.start_worker()

    site.wait_until_computed(600, within_s=40)
    assert site.ask("SELECT max(computations) FROM results_answer") == 1


def test_answers_bear_the_time_of_the_database(site):
    before = time.time()
    start_worker(site, shift_s=HOURS_S)
    site.wait_until_computed(600, within_s=40)

    latest = site.ask("SELECT extract(epoch FROM max(computed_at)) FROM results_answer")
    assert before - 60 < float(latest) < time.time() + 60
