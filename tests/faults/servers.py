"""A Redis and a PostgreSQL of one's own, to be killed without harm to anybody."""

import contextlib
import os
import pwd
import shutil
import signal
import subprocess
import tempfile
from pathlib import Path

import psycopg
import pytest

from tests.processes.site import free_port, own_redis, wait_for

ACCOUNT = "postgres"
_QUIET = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}


class OwnRedis:
    """A Redis that keeps nothing: whoever kills it kills all messages too."""

    def __init__(self, folder):
        self.port, self._command = own_redis(folder)
        self.url = f"redis://127.0.0.1:{self.port}/0"
        self._process = None

    def start(self):
        self._process = subprocess.Popen(self._command, **_QUIET)

    def has_ended(self):
        return self._process.poll() is not None

    def kill(self):
        if self._process is not None:
            self._process.kill()
            self._process.wait()


class OwnPostgres:
    """A PostgreSQL server with a folder of its own, by the installed programs."""

    def __init__(self, folder=None):
        self._programs = _programs()
        self._own_folder = folder is None
        self.folder = Path(folder or tempfile.mkdtemp(prefix="benchwide-postgres-"))
        self._data = self.folder / "data"
        self._as = {}
        if os.geteuid() == 0:
            # The server refuses to run as root.
            account = pwd.getpwnam(ACCOUNT)
            os.chown(self.folder, account.pw_uid, account.pw_gid)
            self._as = {"user": ACCOUNT, "group": account.pw_gid, "extra_groups": []}
        self.port = free_port()
        self.server_url = f"postgres://{ACCOUNT}@127.0.0.1:{self.port}/postgres"
        self.url = f"postgres://{ACCOUNT}@127.0.0.1:{self.port}/site"
        self._process = None
        self._run(
            "initdb",
            f"--pgdata={self._data}",
            f"--username={ACCOUNT}",
            "--auth=trust",
            "--encoding=UTF8",
            # The log of a small disk is to be small.
            "--wal-segsize=1",
        )

    def _run(self, program, *arguments):
        subprocess.run(
            [self._programs / program, *arguments],
            check=True,
            cwd=self.folder,
            capture_output=True,
            **self._as,
        )

    def create(self):
        """Start it for the first time, and make the site's database."""
        self.start()
        with psycopg.connect(self.server_url, autocommit=True) as keeper:
            keeper.execute("CREATE DATABASE site")

    def start(self, *, within_s=30):
        options = {
            "listen_addresses": "127.0.0.1",
            "unix_socket_directories": "",
            "port": self.port,
            "max_wal_size": "64MB",
        }
        self._process = subprocess.Popen(
            [
                self._programs / "postgres",
                "-D",
                self._data,
                *(word for pair in options.items() for word in ("-c", _set(*pair))),
            ],
            cwd=self.folder,
            start_new_session=True,
            **_QUIET,
            **self._as,
        )
        wait_for(self.answers, within_s=within_s, what="PostgreSQL")

    def has_ended(self):
        return self._process.poll() is not None

    def answers(self):
        try:
            with psycopg.connect(self.server_url, connect_timeout=2):
                return True
        except psycopg.OperationalError:
            return False

    def kill(self):
        """Kill the postmaster and all its children at once, without a last word."""
        if self._process is None or self.has_ended():
            return
        children = _children(self._process.pid)
        for pid in (self._process.pid, *children):
            _kill(pid)
        self._process.wait()
        wait_for(
            lambda: not any(_lives(pid) for pid in children),
            within_s=10,
            what="end of PostgreSQL's children",
        )

    def remove(self):
        self.kill()
        if self._own_folder:
            shutil.rmtree(self.folder, ignore_errors=True)


def _set(name, value):
    return f"{name}={value}"


def _programs():
    """Find the folder of the installed server's programs; skips without one."""
    found = sorted(
        Path("/usr/lib/postgresql").glob("*/bin/postgres"),
        key=lambda program: int(program.parts[-3]),
    )
    if found:
        return found[-1].parent
    config = shutil.which("pg_config")
    if config is not None:
        named = subprocess.run(
            [config, "--bindir"], capture_output=True, text=True, check=True
        )
        folder = Path(named.stdout.strip())
        if (folder / "postgres").exists():
            return folder
    pytest.skip("no PostgreSQL server is installed")


def _children(pid):
    children = Path(f"/proc/{pid}/task/{pid}/children")
    return [int(word) for word in children.read_text().split()]


def _kill(pid):
    with contextlib.suppress(ProcessLookupError):
        os.kill(pid, signal.SIGKILL)


def _lives(pid):
    """Whether a process is there; one that ended and waits for its parent is not."""
    try:
        state = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0]
    except (FileNotFoundError, ProcessLookupError):
        return False
    return state != "Z"
