"""Workers on machines whose clocks are hours off, beside a right one."""

import sys
import time

import pytest

from results.management import processes
from tests.processes.site import pause, wait_for

HOURS_S = 3 * 3600
LEASE_S = 2
GROUPS = 600
pytestmark = pytest.mark.timeout(240)
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


def test_work_of_a_killed_worker_passes_from_a_fast_clock_to_a_slow_one(
    make_site, table
):
    site = make_site("postgres")
    site.manage("import_readings", "iron", table(range(GROUPS)), "--create")
    fast = start_worker(site, shift_s=HOURS_S)
    wait_for(lambda: site.ask(_HELD), within_s=60, what="claim")
    site.kill(fast)
    assert site.ask("SELECT count(*) FROM results_pendingrecompute") > 0
    pause(LEASE_S)

    start_worker(site, shift_s=-HOURS_S)

    site.wait_until_computed(GROUPS, within_s=60)
    assert site.ask("SELECT max(computations) FROM results_answer") == 1
    latest = site.ask("SELECT extract(epoch FROM max(computed_at)) FROM results_answer")
    assert abs(float(latest) - time.time()) < 60
