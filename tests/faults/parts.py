"""The parts of a site that can be killed, and how each is started again."""

import sqlite3
from collections.abc import Callable
from dataclasses import dataclass

import psycopg

from results.management import processes

_HELD = "SELECT count(*) FROM results_pendingrecompute WHERE claimed_by IS NOT NULL"


@dataclass(frozen=True)
class Part:
    """One part: start it, kill it; whether it serves, and whether it has ended."""

    start: Callable[[], None]
    kill: Callable[[], None]
    is_up: Callable[[], bool]
    has_ended: Callable[[], bool]


def parts_of(site, redis, postgres=None):
    """Return the parts of a site by name, none of them started."""
    parts = {
        "web": _of_site(
            site,
            lambda: processes.web_command("127.0.0.1", site.port),
            lambda: processes.answers("127.0.0.1", site.port),
        ),
        "worker": _of_site(site, processes.worker_command, lambda: True),
        # As if on another machine: neither sees whether the other is at work.
        "second worker": _of_site(
            site,
            processes.worker_command,
            lambda: True,
            DATA_FOLDER=str(site.folder / "elsewhere"),
        ),
        "scheduler": _of_site(
            site, lambda: processes.scheduler_command(site.folder), lambda: True
        ),
        "broker": Part(
            redis.start,
            redis.kill,
            lambda: processes.answers("127.0.0.1", redis.port),
            redis.has_ended,
        ),
    }
    if postgres is not None:
        parts["database"] = Part(
            postgres.start, postgres.kill, postgres.answers, postgres.has_ended
        )
    return parts


def _of_site(site, command, is_up, **settings):
    """Return a part that is a process of the site, with some settings of its own."""
    running = []

    def start():
        running[:] = [site.start(command(), **settings)]

    def kill():
        if not has_ended():
            site.kill(running[0])
        site.started.remove(running[0])

    def has_ended():
        return running[0].poll() is not None

    return Part(start, kill, is_up, has_ended)


def looked_up(site, query):
    """The answer of a query; None while the database does not answer."""
    try:
        return site.ask(query)
    except (psycopg.OperationalError, sqlite3.OperationalError):
        return None


def a_claim_is_held(site):
    """Whether a worker has work in hand."""
    return bool(looked_up(site, _HELD))
