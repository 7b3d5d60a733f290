"""Memory and processor time of a site's processes, as Linux tells them."""

import contextlib
import os
import threading
import time
from collections import defaultdict
from pathlib import Path

import psycopg

_LOOK_EVERY_S = 1.0
_TICKS_A_SECOND = os.sysconf("SC_CLK_TCK")
_MB_A_PAGE = os.sysconf("SC_PAGE_SIZE") / 1e6


class Watched:
    """Looks at processes every second while a rush is on.

    Parameters
    ----------
    roles : dict of str to list of process
        Processes of a site by what they do; their children count with them, except
        for this process, whose children the site's are.

    Attributes
    ----------
    most_mb : dict of str to float
        Most memory (resident) that one process of a role had.
    busy : dict of str to float
        Processor seconds of a role.
    connections : int
        Most connections to PostgreSQL at once; 0 on SQLite.
    """

    def __init__(self, roles, database_url):
        self.roles = {role: [one.pid for one in many] for role, many in roles.items()}
        self.database_url = database_url
        self.most_mb = defaultdict(float)
        self.connections = 0
        self._ended = threading.Event()
        self._spent = {}

    @contextlib.contextmanager
    def watching(self):
        thread = threading.Thread(target=self._watch, daemon=True)
        self._began = time.monotonic()
        self._at_first = self._look({})
        thread.start()
        try:
            yield self
        finally:
            self._ended.set()
            thread.join()
            self._look(self._spent)
            self.seconds = time.monotonic() - self._began

    @property
    def busy(self):
        spent = defaultdict(float)
        for (role, pid), seconds in self._spent.items():
            spent[role] += seconds - self._at_first.get((role, pid), 0.0)
        return dict(spent)

    def _watch(self):
        with self._database() as database:
            while not self._ended.wait(_LOOK_EVERY_S):
                backends = self._backends(database)
                self.connections = max(self.connections, len(backends))
                self._look(self._spent, {"PostgreSQL": backends})

    @contextlib.contextmanager
    def _database(self):
        if self.database_url.startswith("sqlite"):
            yield None
            return
        with psycopg.connect(self.database_url, autocommit=True) as connection:
            yield connection

    @staticmethod
    def _backends(database):
        if database is None:
            return []
        rows = database.execute(
            "SELECT pid FROM pg_stat_activity WHERE datname = current_database() "
            "AND pid <> pg_backend_pid()"
        )
        return [pid for (pid,) in rows]

    def _look(self, spent, more=None):
        for role, pids in {**self.roles, **(more or {})}.items():
            for pid in (one for first in pids for one in family(first)):
                found = usage(pid)
                if found is None:
                    continue
                spent[role, pid], mb = found
                self.most_mb[role] = max(self.most_mb[role], mb)
        return spent


def family(pid):
    """A process and all that it started."""
    yield pid
    if pid == os.getpid():
        return
    with contextlib.suppress(OSError):
        for child in Path(f"/proc/{pid}/task/{pid}/children").read_text().split():
            yield from family(int(child))


def usage(pid):
    """Processor seconds and resident MB of a process; None if it is gone."""
    try:
        fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    except OSError:
        return None
    return (
        (int(fields[11]) + int(fields[12])) / _TICKS_A_SECOND,
        int(fields[21]) * _MB_A_PAGE,
    )
