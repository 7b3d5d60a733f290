"""How long answers took, from as many threads as there are phones."""

import statistics
import time
from collections import Counter, deque
from dataclasses import dataclass

# "arrived" is the time of many requests, and none itself.
_NOT_REQUESTS = frozenset({"arrived"})
_BUSIEST_S = 10


@dataclass(frozen=True, slots=True)
class Sample:
    """One answer: when it was asked for, how long it took, what it was."""

    kind: str
    started: float
    seconds: float
    outcome: object

    @property
    def is_error(self):
        """Whether the phone has to try again: no answer, or "could not" (5xx)."""
        return not isinstance(self.outcome, int) or self.outcome >= 500


class Timed:
    """Takes samples from all threads."""

    def __init__(self):
        self._samples = deque()  # appending to it is one step for all threads

    def note(self, kind, started, outcome):
        seconds = time.monotonic() - started
        self._samples.append(Sample(kind, started, seconds, outcome))

    def of(self, *kinds):
        return [one for one in self._samples if one.kind in kinds]

    @property
    def requests(self):
        return [one for one in self._samples if one.kind not in _NOT_REQUESTS]

    def errors(self):
        """Count what made phones try again."""
        return Counter(
            f"{one.kind}: {one.outcome}" for one in self._samples if one.is_error
        )


def rate(samples):
    """Answers a second, from the first to the last."""
    starts = [one.started for one in samples]
    return len(samples) / max(1.0, max(starts) - min(starts))


def busiest(samples):
    """Answers a second in the busiest ten seconds."""
    counts = Counter(int(one.started // _BUSIEST_S) for one in samples)
    return max(counts.values()) / _BUSIEST_S


def percentiles(seconds, *which):
    """Percentiles of some times; all the same if there is only one."""
    if len(seconds) < 2:
        return [*seconds] * len(which)
    cuts = statistics.quantiles(seconds, n=100, method="inclusive")
    return [cuts[one - 1] for one in which]
