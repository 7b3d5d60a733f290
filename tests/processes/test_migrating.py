"""The newest migration, made while work waits, groups send and all parts run."""

import sys
from pathlib import Path

import pytest

from results import migrations
from tests.faults.phones import Ledger, Phone
from tests.faults.stored import account, unfinished
from tests.processes.site import wait_for
from tests.processes.test_faults import slip_of_first_group

GROUPS = 200
pytestmark = pytest.mark.timeout(240)


def last_but_one():
    (folder,) = migrations.__path__
    return sorted(path.stem for path in Path(folder).glob("0*.py"))[-2]


@pytest.mark.parametrize("database_kind", ["sqlite", "postgres"])
def test_work_goes_on_through_a_migration(make_site, table, database_kind):
    site = make_site(database_kind)
    site.manage("import_readings", "iron", table(range(GROUPS)), "--create")
    slip_code = slip_of_first_group(site)
    site.manage("migrate", "results", last_but_one(), "--verbosity=0")
    site.start_web()
    assert site.status_of("/health/ready/") == 503
    ledger = Ledger()
    phone = Phone(site, "0", slip_code, ledger, number=0, of=1, seed=1, pace_s=0.1)
    phone.start()

    worker = site.start_worker()
    migrating = site.start([sys.executable, "manage.py", "migrate", "--verbosity=0"])
    assert unfinished(site) >= GROUPS
    assert migrating.wait(60) == 0

    wait_for(
        lambda: site.status_of("/health/ready/") == 200, within_s=30, what="readiness"
    )
    received = len(ledger.receipts)
    wait_for(lambda: len(ledger.receipts) > received, within_s=30, what="receipt")
    phone.stopping.set()
    phone.join(30)
    wait_for(lambda: unfinished(site) == 0, within_s=60, what="end of the work")
    assert worker.poll() is None
    assert account(site, ledger).is_clean
