"""How many requests a site under test still has in hand."""

import threading
import time

from django.core.signals import request_finished, request_started

WITHIN_S = 5
# What was asked for last may not have begun yet.
QUIET_S = 0.08


class InHand:
    """Requests that have begun and not ended, counted by the framework's signals.

    Those of a test's own client, which runs in the main thread, do not count.
    """

    def __init__(self):
        self._lock = threading.Lock()
        self._n = 0
        request_started.connect(self._begin)
        request_finished.connect(self._end)

    def _add(self, n):
        if threading.current_thread() is not threading.main_thread():
            with self._lock:
                self._n += n

    def _begin(self, **_):
        self._add(1)

    def _end(self, **_):
        self._add(-1)

    def wait(self):
        """Return when nothing is in hand for a while; never later than in seconds."""
        until = time.monotonic() + WITHIN_S
        quiet_since = time.monotonic()
        while (now := time.monotonic()) < until:
            if self._n > 0:
                quiet_since = now
            elif now - quiet_since >= QUIET_S:
                return
            time.sleep(0.01)
