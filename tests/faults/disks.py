"""A disk that fills up under a database while groups send, and is emptied again."""

import contextlib
import errno
import os
import shutil
import subprocess
import tempfile
import time
from pathlib import Path

from tests.faults.kills import STUCK_S, Trial
from tests.faults.stored import account
from tests.faults.trial_site import site_with_parts
from tests.processes.site import wait_for

SIZE_MB = {"sqlite": 24, "postgres": 96}
_BLOCK = bytes(1 << 14)
_REFUSALS = 20


def can_mount():
    """Whether a disk of a fixed size can be made here."""
    return os.geteuid() == 0 and shutil.which("mount") is not None


@contextlib.contextmanager
def small_disk(size_mb):
    """Yield the folder of a disk in memory, of a fixed size."""
    folder = Path(tempfile.mkdtemp(prefix="benchwide-disk-"))
    options = ["-t", "tmpfs", "-o", f"size={size_mb}m", "tmpfs"]
    subprocess.run([shutil.which("mount"), *options, folder], check=True)
    try:
        yield folder
    finally:
        subprocess.run([shutil.which("umount"), "--lazy", folder], check=True)
        folder.rmdir()


def fill(folder):
    """Take all room that is left; return what takes it."""
    ballast = folder / "ballast"
    with ballast.open("ab", buffering=0) as file:
        while True:
            try:
                file.write(_BLOCK)
            except OSError as error:
                if error.errno != errno.ENOSPC:
                    raise
                return ballast


def trial(database_kind, folder, say):
    """Fill and empty the disk of a database; return whether nothing went amiss."""
    with (
        small_disk(SIZE_MB[database_kind]) as disk,
        site_with_parts(database_kind, folder, class_of=30, database_folder=disk) as (
            site,
            parts,
            slips,
        ),
    ):
        sending = Trial(site, parts, slips, seed=1)
        sending.begin()
        say(f"ready before: {ready(site)}")
        ballast = fill(disk)
        wait_for(lambda: refused(sending) > _REFUSALS, within_s=180, what="refusals")
        say(f"ready while full: {ready(site)}")
        if all(part.is_up() for part in parts.values()):
            say(f"while full: {account(site, sending.ledger)}")
        received = len(sending.ledger.receipts)
        ballast.unlink()
        emptied = time.monotonic()
        time.sleep(1)
        if "database" in parts and parts["database"].has_ended():
            say("PostgreSQL had ended by itself, and was started again")
            parts["database"].start()
        wait_for(
            lambda: len(sending.ledger.receipts) > received,
            within_s=STUCK_S,
            what="receipt after the disk was emptied",
        )
        say(f"next receipt {time.monotonic() - emptied:.1f} s after there was room")
        sending.finish()
        say(f"ready after: {ready(site)}")
        say(f"answers to phones: {dict(sorted(sending.ledger.answers.items()))}")
        say(f"in the end: {sending.told.account}")
    return sending.told.account.is_clean


def ready(site):
    """Say whether the site says that it can serve."""
    return site.status_of("/health/ready/") == 200


def refused(sending):
    """Count the answers that nothing can be stored now."""
    return sending.ledger.answers["503 application/problem+json"]
