"""Measures the site in a rush: `make rush`.

Real web processes and workers on PostgreSQL and Redis, and a thread for each phone,
which signs in, types, polls, sends until it is answered, and waits for its answer.
Everything acknowledged is then held against the database.
"""

import argparse
import sys
import tempfile
from pathlib import Path

import pytest

from tests.bench import machine
from tests.rush import report
from tests.rush.crowd import Rush
from tests.rush.sites import WORKERS, rushed_site


def main():
    parser = argparse.ArgumentParser(prog="python -m tests.rush", description=__doc__)
    parser.add_argument(
        "--minutes", type=float, default=10, help="for the whole course to send"
    )
    parser.add_argument(
        "--part",
        type=float,
        default=1,
        help="of the groups, in this part of the minutes: 0.1 for a quick look",
    )
    chosen = parser.parse_args()
    say(f"{machine.describe()}; 2 web processes, {WORKERS} workers, PostgreSQL, Redis")
    outcomes = []
    for rush in rushes(chosen.minutes, chosen.part):
        with tempfile.TemporaryDirectory() as folder:
            outcomes.append(endured(rush, Path(folder)))
        for line in report.details(outcomes[-1]):
            say(line)
    say("")
    for line in report.table(outcomes):
        say(line)
    if any(one.compared.faults or one.crowd.failures for one in outcomes):
        sys.exit(1)


def rushes(minutes, part):
    """The end of a section of many rooms, and a whole course in one afternoon."""
    yield Rush(groups=round(500 * part), within_s=30, arriving_s=60, typing_s=60)
    yield Rush(
        groups=round(2000 * part),
        within_s=60 * minutes * part,
        arriving_s=60 * minutes * part,
        typing_s=120,
    )


def endured(rush, folder):
    try:
        with rushed_site("postgres", "redis", folder, rush.groups) as site:
            return site.endure(rush)
    except pytest.skip.Exception as missing:
        sys.exit(f"This needs PostgreSQL and redis-server: {missing}.")


def say(line):
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


main()
