"""Two at once: on a server's database for real, elsewhere one after the other."""

from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

from django.db import connection

from results.policy.refusals import Refusal


def together(*deeds):
    """Do things at once, each on a connection of its own; return what came of each.

    A deed that is refused gives the type of its refusal.
    """
    if connection.vendor == "sqlite":
        # The trial database lives in memory: one connection, one after the other.
        return [_done(deed) for deed in deeds]
    ready = Barrier(len(deeds))

    def run(deed):
        ready.wait()
        try:
            return _done(deed)
        finally:
            connection.close()

    with ThreadPoolExecutor(len(deeds)) as pool:
        return list(pool.map(run, deeds))


def _done(deed):
    try:
        return deed()
    except Refusal as refusal:
        return type(refusal)
