"""Kills parts of real sites and fills their disks, and compares: `make faults`."""

import argparse
import os
import secrets
import shutil
import sys
import tempfile
import time
from pathlib import Path

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "labsite.settings")
django.setup()

from results.management import processes  # noqa: E402
from tests.bench import machine  # noqa: E402
from tests.faults import disks, report  # noqa: E402
from tests.faults.kills import Trial  # noqa: E402
from tests.faults.trial_site import LEASE_S, site_with_parts  # noqa: E402


def main():
    parser = argparse.ArgumentParser(prog="python -m tests.faults", description=__doc__)
    parser.add_argument("--kills", type=int, default=200, help="0 for disks alone")
    parser.add_argument(
        "--databases",
        nargs="+",
        choices=["sqlite", "postgres"],
        default=["sqlite", "postgres"],
        help="the kills are parted evenly among them",
    )
    parser.add_argument("--seed", type=int, default=secrets.randbelow(10**6))
    chosen = parser.parse_args()
    processes.stop_on_signals()
    say(machine.describe())
    kills = -(-chosen.kills // len(chosen.databases))
    trials = [
        in_folder(trial, database_kind, kills, chosen.seed)
        for trial in ([killed, filled] if kills else [filled])
        for database_kind in chosen.databases
    ]
    sys.exit(0 if all(trials) else 1)


def in_folder(trial, database_kind, kills, seed):
    """Run a trial in a folder of its own, which is kept if something went amiss."""
    started = time.monotonic()
    folder = Path(tempfile.mkdtemp(prefix="benchwide-faults-"))
    is_clean = trial(database_kind, folder, kills, seed)
    say(f"took {time.monotonic() - started:.0f} s")
    if is_clean:
        shutil.rmtree(folder)
    else:
        say(f"what its processes said is in {folder / 'output.txt'}")
    return is_clean


def killed(database_kind, folder, kills, seed):
    say(f"\n{database_kind}, {kills} kills, seed {seed}")
    with site_with_parts(database_kind, folder) as (site, parts, slips):
        trial = Trial(site, parts, slips, seed=seed, say=say)
        told = trial.run(kills)
    for line in report.lines(told, trial.ledger, lease_s=LEASE_S):
        say(line)
    return told.account.is_clean


def filled(database_kind, folder, _kills, _seed):
    say(f"\n{database_kind}, a disk that fills up")
    if not disks.can_mount():
        say("not tried: only root can make a small disk")
        return True
    return disks.trial(database_kind, folder, say)


def say(line):
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


main()
