"""What the site acknowledged, held against what it kept."""

import threading
import time
from collections import Counter
from dataclasses import dataclass, field

_STORED = """
    SELECT c.code || '/' || s.code || '/' || g.code, u.idempotency_key, u.revision,
           u.id, a.computations
    FROM results_submission u
    JOIN results_group g ON g.id = u.group_id
    JOIN results_section s ON s.id = g.section_id
    JOIN results_course c ON c.id = s.course_id
    LEFT JOIN results_answer a ON a.submission_id = u.id
"""


class Ledger:
    """Every key that the site acknowledged, and when its answer was seen."""

    def __init__(self):
        self._lock = threading.Lock()
        self.entries = []
        self.acknowledged_at = {}
        self.seen_at = {}

    def acknowledged(self, label, key, revision):
        with self._lock:
            self.entries.append((label, key, revision))
            self.acknowledged_at[label] = time.monotonic()

    def answer_seen(self, label):
        with self._lock:
            self.seen_at[label] = time.monotonic()

    @property
    def seen_after_s(self):
        """By group, from the acknowledgement until its answer was seen."""
        return {
            label: at - self.acknowledged_at[label]
            for label, at in self.seen_at.items()
        }

    @property
    def rest_s(self):
        """From the last acknowledgement until every group had seen its answer."""
        return max(self.seen_at.values()) - max(self.acknowledged_at.values())


@dataclass(frozen=True, slots=True)
class Compared:
    """Acknowledged beside stored and computed.

    Attributes
    ----------
    faults : list of str
        What should not be: lost, doubled, never computed. Empty if all is well.
    computations : int
        Times that a submission was computed; more than there are if its class grew.
    """

    acknowledged: int
    stored: int
    computed: int
    computations: int
    faults: list = field(default_factory=list)


def compare(ledger, site):
    """Compare a ledger with the database of a site at rest."""
    rows = site.rows(_STORED)
    entries = Counter(ledger.entries)
    stored = Counter((label, key, revision) for label, key, revision, _, _ in rows)
    answered = [row for row in rows if row[4] is not None]
    faults = [
        *(f"acknowledged and lost: {one}" for one in entries - stored),
        *(f"stored and never acknowledged: {one}" for one in stored - entries),
        *(f"acknowledged twice: {one}" for one, n in entries.items() if n > 1),
        *(f"never computed: {row[:3]}" for row in rows if row[4] is None),
        *_doubled(Counter((label, key) for label, key, *_ in rows), "stored"),
        *_doubled(Counter(row[3] for row in answered), "answered"),
    ]
    left = site.ask("SELECT count(*) FROM results_pendingrecompute")
    if left:
        faults.append(f"left pending or set aside: {left}")
    return Compared(
        acknowledged=len(ledger.entries),
        stored=len({row[3] for row in rows}),
        computed=len({row[3] for row in answered}),
        computations=sum(row[4] for row in answered),
        faults=faults,
    )


def _doubled(counts, what):
    return [f"{what} {n} times: {one}" for one, n in counts.items() if n > 1]
