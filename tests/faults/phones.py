"""Groups that send as the outbox of their phones does, and what they were promised.

A sheet keeps its key until the site has it; whatever is not an answer of the site is
tried again. Some answers get lost on the way back, some sheets are sent twice.
"""

import contextlib
import http.client
import json
import random
import threading
import time
import uuid
from collections import Counter
from dataclasses import dataclass, field

from tests.factories import perfect_readings

# A tenth of the waits of the outbox: more sheets meet more kills.
WAITS_S = (0.2, 0.4, 0.8, 1.5, 3.0)
#: Iron contents of two sheets differ by this much at least, in percent.
IRON_STEP = 0.002
_TIMEOUT_S = 30
_LOST_ON_THE_WAY = 0.1
_SENT_TWICE = 0.1


@dataclass(frozen=True, slots=True)
class Receipt:
    """What the site promised to have: one sheet of one group."""

    group: str
    key: str
    iron_percent: float
    submission_id: int
    revision: int


@dataclass
class Ledger:
    """Everything that was sent, promised, or answered as it should not be."""

    receipts: list[Receipt] = field(default_factory=list)
    sent: dict[str, float] = field(default_factory=dict)
    answers: Counter = field(default_factory=Counter)
    faults: list[str] = field(default_factory=list)
    under_way: int = 0
    lock: threading.Lock = field(default_factory=threading.Lock)

    def note(self, answer):
        with self.lock:
            self.answers[answer] += 1


class NoAnswer(Exception):
    """The site said nothing, or that something went wrong there."""


class Phone(threading.Thread):
    """One group's phone, which sends sheet after sheet until it is stopped."""

    def __init__(self, site, label, slip_code, ledger, *, number, of, seed, pace_s=0.3):
        super().__init__(name=f"phone of {label}", daemon=True)
        self._site, self._label, self._slip_code = site, label, slip_code
        self._ledger, self._rng = ledger, random.Random(f"{seed} {number}")
        self._number, self._of, self._pace_s = number, of, pace_s
        self._token, self._sheets = None, 0
        self.stopping = threading.Event()

    def run(self):
        while not self.stopping.is_set():
            self._send_until_received(*self._next_sheet())
            self.stopping.wait(self._rng.uniform(0, 2 * self._pace_s))

    def _next_sheet(self):
        serial = self._sheets * self._of + self._number
        self._sheets += 1
        iron_percent = round(8 + serial * IRON_STEP % 8, 4)
        readings = perfect_readings(iron_percent=iron_percent)
        body = {
            "station": "S1",
            "standard_mass_g": 0.21,
            "unknown_mass_g": 0.25,
            "readings": [{"tube": t, "percent_T": v} for t, v in readings.items()],
        }
        key = str(uuid.UUID(int=self._rng.getrandbits(128)))
        self._ledger.sent[key] = iron_percent
        return key, iron_percent, body

    def _send_until_received(self, key, iron_percent, body):
        tries = 0
        while True:
            try:
                self._send(key, iron_percent, body)
                break
            except (OSError, http.client.HTTPException, NoAnswer):
                time.sleep(WAITS_S[min(tries, len(WAITS_S) - 1)])
                tries += 1
        if self._rng.random() < _SENT_TWICE:
            with contextlib.suppress(OSError, http.client.HTTPException, NoAnswer):
                self._send(key, iron_percent, body)

    def _send(self, key, iron_percent, body):
        if self._token is None:
            status, answer = self._post("sign-in", {"slip_code": self._slip_code}, {})
            if status != 200:
                raise NoAnswer
            self._token = answer["token"]
        headers = {"Authorization": f"Bearer {self._token}", "Idempotency-Key": key}
        status, answer = self._post("submissions", body, headers)
        if status == 401:
            self._token = None
            raise NoAnswer
        if status not in {200, 201}:
            self._ledger.faults.append(f"{status} for {key}: {answer}")
            raise NoAnswer
        self._ledger.receipts.append(
            Receipt(
                self._label,
                key,
                iron_percent,
                answer["submission_id"],
                answer["revision"],
            )
        )

    def _post(self, path, body, headers):
        connection = http.client.HTTPConnection(
            "127.0.0.1", self._site.port, timeout=_TIMEOUT_S
        )
        with self._ledger.lock:
            self._ledger.under_way += 1
        try:
            connection.request(
                "POST",
                f"/api/v1/{path}",
                json.dumps(body),
                {"Content-Type": "application/json", **headers},
            )
            if self._rng.random() < _LOST_ON_THE_WAY:
                time.sleep(self._rng.uniform(0, 0.05))
                raise NoAnswer
            response = connection.getresponse()
            return self._read(response)
        finally:
            connection.close()
            with self._ledger.lock:
                self._ledger.under_way -= 1

    def _read(self, response):
        kind = response.getheader("Content-Type", "")
        self._ledger.note(f"{response.status} {kind.partition(';')[0]}")
        content = response.read()
        if response.status >= 500:
            if kind != "application/problem+json":
                self._ledger.faults.append(f"{response.status} is no problem document")
            raise NoAnswer
        return response.status, json.loads(content)
