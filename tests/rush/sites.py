"""A site for a rush: two web processes, two workers, servers of its own."""

import contextlib
import os
import time
import urllib.request
from dataclasses import dataclass

from tests.processes.site import Site, broker, database, own_redis, wait_for
from tests.rush.course import enter_at
from tests.rush.crowd import Crowd
from tests.rush.ledger import compare
from tests.rush.watched import Watched

WORKERS = 2
_READY_TIMES = 20


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of a rush."""

    rush: object
    crowd: Crowd
    watched: Watched
    compared: object


class RushedSite:
    """A running site with a course whose groups wait to sign in."""

    def __init__(self, site, roles, sheets):
        self.site, self.roles, self.sheets = site, roles, sheets

    @property
    def output(self):
        """What all processes have written."""
        return (self.site.folder / "output.txt").read_text()

    def endure(self, rush, *, rest_within_s=60):
        """Let a rush come, wait until the site is at rest, and compare."""
        crowd = Crowd(self.site, self.sheets)
        watched = Watched(self.roles, self.site.database_url)
        with watched.watching():
            crowd.run(rush)
        wait_for(
            lambda: self.site.ask("SELECT count(*) FROM results_pendingrecompute") == 0,
            within_s=rest_within_s,
            what="end of pending work",
        )
        return Outcome(rush, crowd, watched, compare(crowd.ledger, self.site))


@contextlib.contextmanager
def rushed_site(database_kind, broker_kind, folder, n_groups, *, in_full=True):
    """Start everything; stop it, and drop the database, at the end.

    Parameters
    ----------
    broker_kind : str
        ``redis``, for a Redis that nobody else's workers listen to, or ``folder``.
    in_full : bool
        With a scheduler, and with static files gathered as in the container's image.
    """
    with database(database_kind, folder) as url:
        if broker_kind == "redis":
            port, start_redis = own_redis(folder)
            site = Site(folder, url, f"redis://127.0.0.1:{port}/0")
        else:
            start_redis = None
            site = Site(folder, url, broker(broker_kind, folder))
        # A phone is told from others by the address that the proxy in front names.
        site.environment |= {"TRUSTED_PROXIES": "1", "CLAIM_LEASE_SECONDS": "30"}
        try:
            yield _started(site, start_redis, n_groups, in_full=in_full)
        finally:
            site.stop_all()


def _started(site, start_redis, n_groups, *, in_full):
    roles = {"Redis": [site.start(start_redis)]} if start_redis else {}
    if in_full:
        site.manage("collectstatic", "--no-input", "--verbosity=0")
    # It needs no tables before it is asked for a page.
    roles["web"] = [site.start_web()]
    sheets = enter_at(site, n_groups)
    roles["worker"] = [site.start_worker() for _ in range(WORKERS)]
    if in_full:
        roles["scheduler"] = [site.start_scheduler()]
    roles["phones"] = [_ThisProcess()]
    # A port is open before there is a site behind it.
    for _ in range(_READY_TIMES):
        wait_for(lambda: _is_ready(site), within_s=60, what="site that is ready")
    return RushedSite(site, roles, sheets)


class _ThisProcess:
    pid = os.getpid()


def _is_ready(site):
    try:
        with urllib.request.urlopen(site.address + "/health/ready/", timeout=10):  # noqa: S310
            return True
    except OSError:
        time.sleep(0.1)
        return False
