"""How many requests a site under test still has in hand."""

import threading
import time

from django.core.signals import request_finished, request_started

WITHIN_S = 5


class InHand:
    """Requests that have begun and not ended, counted by the framework's signals."""

    def __init__(self):
        self._lock = threading.Lock()
        self._n = 0
        request_started.connect(self._begin)
        request_finished.connect(self._end)

    def _begin(self, **_):
        with self._lock:
            self._n += 1

    def _end(self, **_):
        with self._lock:
            self._n -= 1

    def forget(self):
        """Count from none: a test's own client may not have ended what it began."""
        with self._lock:
            self._n = 0

    def wait(self):
        """Return when nothing is in hand; never later than in a few seconds."""
        until = time.monotonic() + WITHIN_S
        while self._n > 0 and time.monotonic() < until:
            time.sleep(0.02)
