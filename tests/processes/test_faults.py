"""Killed workers and dead brokers cost seconds, never a submission.

Real processes on a database of their own; a message only wakes a worker, and the
table of pending work is the queue of record.
"""

import json
import os
import urllib.request

import pytest

from tests.factories import perfect_readings
from tests.processes.site import own_redis, pause, wait_for

GROUPS = 700
KILLS = 3
pytestmark = pytest.mark.timeout(240)


def post(site, path, body, **headers):
    request = urllib.request.Request(  # noqa: S310 - an address on this machine
        site.address + path,
        data=json.dumps(body).encode(),
        headers={"Content-Type": "application/json", **headers},
    )
    with urllib.request.urlopen(request, timeout=20) as response:  # noqa: S310
        return response.status, json.loads(response.read())


def slip_of_first_group(site):
    code = site.manage(
        "shell",
        "--no-imports",
        "-c",
        "from results.models import Group; from django.utils import timezone; "
        "from results.rosters import issue_slip; "
        "print(issue_slip(Group.objects.order_by('pk').first().pk, "
        "now=timezone.now()))",
    )
    return code.strip().splitlines()[-1]


def sign_in(site, slip_code):
    _, answer = post(site, "/api/v1/sign-in", {"slip_code": slip_code})
    return {"Authorization": f"Bearer {answer['token']}"}


def readings():
    return {
        "station": "S1",
        "standard_mass_g": "0,2100",
        "unknown_mass_g": "0,2500",
        "readings": [
            {"tube": tube, "percent_T": str(percent_T).replace(".", ",")}
            for tube, percent_T in perfect_readings().items()
        ],
    }


def a_claim_is_held(site):
    return (
        site.ask(
            "SELECT count(*) FROM results_pendingrecompute WHERE claimed_by IS NOT NULL"
        )
        > 0
    )


@pytest.mark.parametrize("database_kind", ["sqlite", "postgres"])
def test_a_worker_killed_while_it_computes_loses_and_doubles_nothing(
    make_site, table, database_kind
):
    site = make_site(database_kind)
    site.manage("import_readings", "iron", table(range(GROUPS)), "--create")
    killed_at_work = 0

    for _ in range(KILLS):
        worker = site.start_worker()
        wait_for(lambda: a_claim_is_held(site), within_s=30, what="claim")
        killed_at_work += a_claim_is_held(site)
        site.kill(worker)
        if site.ask("SELECT count(*) FROM results_pendingrecompute") == 0:
            break
        pause(2.1)  # a lease
    site.start_worker()
    site.wait_until_computed(GROUPS, within_s=60)

    assert killed_at_work >= 1
    assert site.ask("SELECT count(*) FROM results_pendingrecompute") == 0
    assert site.ask("SELECT max(computations) FROM results_answer") == 1
    assert (
        site.ask("SELECT count(DISTINCT submission_id) FROM results_answer") == GROUPS
    )


def test_with_a_dead_broker_readings_are_accepted_and_computed_after(
    make_site, table, tmp_path
):
    port, start_redis = own_redis(tmp_path)
    site = make_site(broker_url=f"redis://127.0.0.1:{port}/0")
    site.manage("import_readings", "iron", table(["1"]), "--create")
    slip_code = slip_of_first_group(site)
    site.start_web()

    key = {"Idempotency-Key": "sheet-1"}
    status, _ = post(
        site, "/api/v1/submissions", readings(), **sign_in(site, slip_code), **key
    )
    assert status == 201
    assert site.ask("SELECT count(*) FROM results_answer") == 0

    site.start(start_redis)
    site.start_worker()
    site.start_scheduler()
    site.wait_until_computed(2, within_s=45)


def test_a_killed_scheduler_starts_again_though_another_program_has_its_number(
    make_site, tmp_path
):
    site = make_site()
    for noted in ("scheduler.pid", "celerybeat.pid"):
        (tmp_path / noted).write_text(f"{os.getpid()}\n")

    scheduler = site.start_scheduler()

    wait_for(
        lambda: list(tmp_path.glob("schedule.*")) or scheduler.poll() is not None,
        within_s=60,
        what="scheduler",
    )
    assert scheduler.poll() is None


@pytest.mark.parametrize(
    ("database_kind", "broker_kind"),
    [
        ("sqlite", "folder"),
        ("sqlite", "redis"),
        ("postgres", "redis"),
        ("postgres", "rabbitmq"),
    ],
)
def test_a_reading_is_computed_within_seconds_on_any_database_and_broker(
    make_site, table, database_kind, broker_kind
):
    site = make_site(database_kind, broker_kind)
    site.manage("import_readings", "iron", table(["1"]), "--create")
    slip_code = slip_of_first_group(site)
    site.start_web()
    site.start_worker()
    site.wait_until_computed(1, within_s=30)

    # Without a scheduler: it is the message that wakes the worker.
    key = {"Idempotency-Key": "sheet-1"}
    status, _ = post(
        site, "/api/v1/submissions", readings(), **sign_in(site, slip_code), **key
    )

    assert status == 201
    site.wait_until_computed(2, within_s=3)
