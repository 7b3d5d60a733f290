"""Submitting by HTTP, beside a bare view that checks and inserts the same rows.

Both are served by the same web server with the same settings, on one database, and
take turns; no worker runs.  Every group sends once, as in a rush: a second revision
would also mark the first one, which the bare view does not.
"""

import contextlib
import http.client
import json
import os
import statistics
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from itertools import count
from pathlib import Path

import pytest

from results.management import processes
from tests.api.bodies import body
from tests.processes.site import Site, broker, database, free_port, wait_for

GROUPS = 400
ROUNDS = 6
PHONES = 8
PERCENTILES = (50, 95, 99)
KINDS = {"sqlite": "folder", "postgres": "redis"}


def report():
    """Measure, and yield what was found line by line."""
    yield f"\nSubmitting by HTTP, {PHONES} connections at a time"
    for kind, broker_kind in KINDS.items():
        try:
            with (
                tempfile.TemporaryDirectory() as folder,
                database(kind, Path(folder)) as url,
            ):
                site = Site(Path(folder), url, broker(broker_kind, Path(folder)))
                yield from _beside_bare(site, kind)
        except pytest.skip.Exception as missing:
            yield f"{kind}: not measured, {missing}"


def _beside_bare(site, kind):
    try:
        site.manage("migrate", "--verbosity=0")
        sign_in = (
            f"from tests.bench.signed_in import tell; tell({GROUPS * (1 + ROUNDS)})"
        )
        tokens = json.loads(site.manage("shell", "--no-imports", "-c", sign_in))
        doors = {"ours": (site.start_web(), site.port), "bare": _start_bare(site)}
        takes = {name: [] for name in doors}
        numbers = count()
        for start in range(0, len(tokens), GROUPS):
            some = tokens[start : start + GROUPS]
            for name, (process, port) in doors.items():
                takes[name].append(_take(process, port, some, numbers))
    finally:
        site.stop_all()
    # The first of each warms up.
    yield from _told(kind, {name: each[1:] for name, each in takes.items()})


def _start_bare(site):
    port = free_port()
    command = processes.web_command("127.0.0.1", port)
    command[command.index("labsite.wsgi")] = "tests.bench.bare_site:bare_application()"
    process = site.start(command)
    wait_for(
        lambda: processes.answers("127.0.0.1", port), within_s=30, what="bare view"
    )
    return process, port


@dataclass
class Take:
    """One round: seconds in all, of the server's processors, and of each request."""

    wall_s: float
    server_s: float
    each_s: list[float]


def _take(process, port, tokens, numbers):
    keyed = [(token, f"key-{next(numbers)}") for token in tokens]
    before, started = _processor_s(process.pid), time.perf_counter()
    with ThreadPoolExecutor(PHONES) as pool:
        shares = [keyed[start::PHONES] for start in range(PHONES)]
        each_s = [
            s for some in pool.map(lambda one: _send(port, one), shares) for s in some
        ]
    wall_s = time.perf_counter() - started
    return Take(wall_s, _processor_s(process.pid) - before, each_s)


def _send(port, keyed):
    text, each_s = json.dumps(body()), []
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    for token, key in keyed:
        headers = {
            "Content-Type": "application/json",
            "Authorization": f"Bearer {token}",
            "Idempotency-Key": key,
        }
        started = time.perf_counter()
        connection.request("POST", "/api/v1/submissions", text, headers)
        answer = connection.getresponse()
        content = answer.read()
        each_s.append(time.perf_counter() - started)
        assert answer.status == 201, content
    connection.close()
    return each_s


def _processor_s(group):
    """Seconds that all processes of a group have used."""
    ticks = 0
    for path in Path("/proc").glob("[0-9]*/stat"):
        with contextlib.suppress(OSError):
            # The name, in brackets, may hold spaces.
            after = path.read_text().rpartition(")")[2].split()
            if int(after[2]) == group:
                ticks += int(after[11]) + int(after[12])
    return ticks / os.sysconf("SC_CLK_TCK")


def _told(kind, takes):
    for name, rounds in takes.items():
        per_s = statistics.median(len(one.each_s) / one.wall_s for one in rounds)
        used_ms = statistics.median(
            1e3 * one.server_s / len(one.each_s) for one in rounds
        )
        cuts = statistics.quantiles([s for one in rounds for s in one.each_s], n=100)
        shares = ", ".join(f"p{p} {1e3 * cuts[p - 1]:.0f} ms" for p in PERCENTILES)
        yield (
            f"{kind:8s} {name:4s} {per_s:4.0f} a second; {shares}; "
            f"{used_ms:.1f} ms of the server's processors each"
        )
    pairs = list(zip(takes["ours"], takes["bare"], strict=True))
    throughput = statistics.median(bare.wall_s / ours.wall_s for ours, bare in pairs)
    processor = statistics.median(bare.server_s / ours.server_s for ours, bare in pairs)
    yield (
        f"{kind:8s} {throughput:.2f} of the bare view's throughput, {processor:.2f} of "
        "what the server's processors do"
    )
