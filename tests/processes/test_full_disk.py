"""A disk without room: nothing that was received is lost, and it goes on by itself.

Feigned by the greatest size of a file that a process may write, which the system lets
everybody lower and raise again.
"""

import contextlib
import http.client
import resource
import urllib.parse
from pathlib import Path

import pytest

from tests.faults.phones import Ledger, Phone
from tests.faults.stored import account, unfinished
from tests.processes.site import wait_for
from tests.processes.test_faults import slip_of_first_group

pytestmark = pytest.mark.timeout(240)
_KEPT_BYTES = 40_000


def family(pid):
    """A process and its children."""
    children = Path(f"/proc/{pid}/task/{pid}/children").read_text().split()
    return [pid, *map(int, children)]


def limit_files(processes, size):
    for process in processes:
        for pid in family(process.pid):
            resource.prlimit(pid, resource.RLIMIT_FSIZE, (size, resource.RLIM_INFINITY))


def signed_in_on_a_page(site, slip_code):
    """The status and the kind of what a phone is shown that brings a slip code."""
    token = "x" * 32
    page = http.client.HTTPConnection("127.0.0.1", site.port, timeout=30)
    page.request(
        "POST",
        "/",
        urllib.parse.urlencode({"slip_code": slip_code, "csrfmiddlewaretoken": token}),
        {
            "Content-Type": "application/x-www-form-urlencoded",
            "Cookie": f"csrftoken={token}",
        },
    )
    with contextlib.closing(page), page.getresponse() as answer:
        return answer.status, answer.getheader("Content-Type").partition(";")[0]


def test_a_site_whose_disk_is_full_says_so_keeps_everything_and_goes_on(
    make_site, table
):
    site = make_site()
    site.manage("import_readings", "iron", table(["1"]), "--create")
    ledger = Ledger()
    slip_code = slip_of_first_group(site)
    phone = Phone(site, "1", slip_code, ledger, number=0, of=1, seed=1, pace_s=0)
    parts = [site.start_web(), site.start_worker()]
    phone.start()
    wait_for(lambda: len(ledger.receipts) > 5, within_s=30, what="receipts")
    assert site.status_of("/health/ready/") == 200

    written = Path(f"{site.database_url.removeprefix('sqlite:///')}-wal").stat().st_size
    limit_files(parts, written + _KEPT_BYTES)
    refused = "503 application/problem+json"
    wait_for(lambda: ledger.answers[refused] > 3, within_s=60, what="refusals")
    assert site.status_of("/health/ready/") == 503
    assert site.status_of("/health/live/") == 200
    # A session is small: it takes a few until there is no room for one either.
    wait_for(
        lambda: signed_in_on_a_page(site, slip_code) == (503, "text/html"),
        within_s=60,
        what="page without room",
    )
    assert account(site, ledger).is_clean

    limit_files(parts, resource.RLIM_INFINITY)
    received = len(ledger.receipts)
    wait_for(lambda: len(ledger.receipts) > received, within_s=30, what="receipt")
    phone.stopping.set()
    phone.join(30)
    wait_for(lambda: unfinished(site) == 0, within_s=30, what="end of the work")
    assert site.status_of("/health/ready/") == 200
    assert signed_in_on_a_page(site, slip_code)[0] == 302
    assert account(site, ledger).is_clean
