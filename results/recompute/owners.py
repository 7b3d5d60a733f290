"""Who is at work on this machine, and who ended over its work.

A run holds a lock on a file that is named as the owner of its claims. The system takes
the lock away when the process ends, however it ends, so the next run on this machine
knows what was left without waiting for the lease. Workers on other machines see no such
file, and a machine without room for one works without: then there is the lease.
"""

import fcntl
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path
from typing import IO
from uuid import UUID, uuid4

from django.conf import settings

_ENDING = ".at-work"


@contextmanager
def at_work() -> Iterator[UUID]:
    """Give an owner for the claims of one run, which counts as alive until it ends.

    A run that an error ends leaves its file behind, as one that is killed does.
    """
    owner = uuid4()
    path: Path = settings.CLAIMS_FOLDER / f"{owner}{_ENDING}"
    with ExitStack() as held:
        with suppress(OSError):
            path.parent.mkdir(parents=True, exist_ok=True)
            held.enter_context(_locked(path, "x"))
        yield owner
        with suppress(OSError):
            path.unlink()


@contextmanager
def left_behind() -> Iterator[list[UUID]]:
    """Give the owners that ended over their work; they are forgotten afterwards."""
    with ExitStack() as held:
        gone: dict[UUID, Path] = {}
        for owner, path in _noted():
            with suppress(OSError):
                held.enter_context(_locked(path, "r+"))
                gone[owner] = path
        yield list(gone)
        for path in gone.values():
            with suppress(OSError):
                path.unlink()


def _noted() -> Iterator[tuple[UUID, Path]]:
    for path in settings.CLAIMS_FOLDER.glob(f"*{_ENDING}"):
        with suppress(ValueError):
            yield UUID(path.stem), path


@contextmanager
def _locked(path: Path, mode: str) -> Iterator[IO[str]]:
    """Open and lock a file; raises OSError where somebody else has it."""
    with path.open(mode) as file:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        yield file
