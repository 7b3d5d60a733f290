"""A worker that sleeps through its lease while another one does its work.

The machine of a worker may be frozen and go on, as one that is moved to another host.
"""

import os
import signal
import sqlite3

import psycopg
import pytest

from tests.processes.site import pause, wait_for

GROUPS = 600
LEASE_S = 2
pytestmark = pytest.mark.timeout(240)
_HOLDER = """
    SELECT claimed_by FROM results_pendingrecompute WHERE claimed_by IS NOT NULL
"""
_BATCHES = "SELECT count(*) FROM results_workbatch"


def holders(site):
    return {owner for (owner,) in site.rows(_HOLDER)}


def nothing_is_locked(site):
    """Whether others can write: a worker that stores holds what it stores."""
    if site.database_url.startswith("sqlite"):
        path = site.database_url.removeprefix("sqlite:///")
        with sqlite3.connect(path, timeout=0, isolation_level=None) as probe:
            try:
                probe.execute("BEGIN IMMEDIATE")
            except sqlite3.OperationalError:
                return False
            probe.execute("ROLLBACK")
            return True
    with psycopg.connect(site.database_url) as probe:
        try:
            probe.execute("SELECT 1 FROM results_pendingrecompute FOR UPDATE NOWAIT")
        except psycopg.errors.LockNotAvailable:
            return False
        return True


def stop_while_it_computes(site, worker):
    """Stop a worker that has claimed and does not store; return its claim."""

    def is_caught():
        if not holders(site):
            return False
        os.kill(worker.pid, signal.SIGSTOP)
        if holders(site) and nothing_is_locked(site):
            return True
        os.kill(worker.pid, signal.SIGCONT)
        return False

    wait_for(is_caught, within_s=30, what="claim of a worker that computes")
    (claim,) = holders(site)
    return claim


@pytest.mark.parametrize("database_kind", ["sqlite", "postgres"])
def test_a_worker_that_was_stopped_beyond_its_lease_stores_nothing_over_the_other(
    make_site, table, database_kind
):
    site = make_site(database_kind)
    site.manage("import_readings", "iron", table(range(GROUPS)), "--create")
    stopped = site.start_worker()
    claim = stop_while_it_computes(site, stopped)
    pause(LEASE_S + 0.1)

    site.start_worker()
    site.wait_until_computed(GROUPS, within_s=60)
    wait_for(lambda: claim not in holders(site), within_s=20, what="other's claim")
    by_the_other = site.rows("SELECT id, computed_at FROM results_answer ORDER BY id")
    batches = site.ask(_BATCHES)
    os.kill(stopped.pid, signal.SIGCONT)
    wait_for(lambda: site.ask(_BATCHES) > batches, within_s=20, what="late batch")

    assert by_the_other == site.rows(
        "SELECT id, computed_at FROM results_answer ORDER BY id"
    )
    assert site.ask("SELECT max(computations) FROM results_answer") == 1
    assert site.ask("SELECT count(*) FROM results_pendingrecompute") == 0
