"""The scheduler, whose rounds go on when the machine's clock is set back."""

import time
from typing import Any

from celery.beat import PersistentScheduler


class SteadyScheduler(PersistentScheduler):
    """Takes no round for done that would have been in the future.

    The library's own would wait until the clock has come to where it was before: for
    hours nobody would look after work that a killed worker left.
    """

    _last_seen = 0.0

    def setup_schedule(self) -> None:
        """Read when rounds were last done, as far as that can be believed."""
        super().setup_schedule()
        self._begin_anew()

    def tick(self, *arguments: Any, **named: Any) -> float:
        """Do what is due; return for how many seconds nothing more is."""
        now = time.time()
        if now < self._last_seen:
            self._begin_anew()
        self._last_seen = now
        return float(super().tick(*arguments, **named))

    def _begin_anew(self) -> None:
        for entry in self.schedule.values():
            last, now = entry.last_run_at, entry.default_now()
            if last is not None and last > now:
                entry.last_run_at = now
        # What was planned was planned by the former clock.
        self._heap = None
