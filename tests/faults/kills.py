"""Parts of a site killed at random moments, while groups send and a worker computes."""

import random
import time
from collections import Counter, defaultdict
from dataclasses import dataclass, field

from tests.faults.parts import a_claim_is_held, looked_up
from tests.faults.phones import Ledger, Phone
from tests.faults.stored import account, unfinished

#: How often each part is chosen.
CHOSEN = {
    "web": 3,
    "worker": 2,
    "second worker": 2,
    "scheduler": 1,
    "broker": 2,
    "database": 3,
}
#: Every so many kills all is compared that was promised so far.
CHECK_EVERY = 20
#: Longer than this nothing may wait, however loaded the machine.
STUCK_S = 60
_WATCHED = 1 / 3
_AIMED = 1 / 2
_LOOK_EVERY_S = 0.05
_ANSWERS = "SELECT count(*) FROM results_answer"
_LAST = "SELECT max(id) FROM results_pendingrecompute WHERE parked_at IS NULL"
_OF_BEFORE = "SELECT count(*) FROM results_pendingrecompute WHERE id <= {last}"


@dataclass
class Told:
    """What a trial has to tell."""

    kills: Counter = field(default_factory=Counter)
    at_work: Counter = field(default_factory=Counter)
    answered_s: dict = field(default_factory=lambda: defaultdict(list))
    cleared_s: dict = field(default_factory=lambda: defaultdict(list))
    checks: int = 0
    account: object = None
    finished_s: float = 0.0


class Trial:
    """Kills, starts again, and watches how soon all is as before."""

    def __init__(self, site, parts, slips, *, seed, say=lambda _: None):
        self.site, self.parts = site, parts
        self.ledger, self.told = Ledger(), Told()
        self._rng, self._say = random.Random(seed), say
        self._phones = [
            Phone(
                site, label, slip, self.ledger, number=number, of=len(slips), seed=seed
            )
            for number, (label, slip) in enumerate(slips.items())
        ]

    def run(self, kills):
        """Kill so often, let everything be finished, and compare."""
        self.begin()
        for number in range(1, kills + 1):
            self._kill_one(self._chosen(number))
            if number % CHECK_EVERY == 0:
                self._compare()
                self._say(f"{number} kills: {self.told.account}")
                # The next kill meets a large batch.
                self.site.manage("recompute", "iron")
        self.finish()
        return self.told

    def begin(self):
        """Start all but the database, which was there to make the site, and send."""
        for name, part in self.parts.items():
            if name != "database":
                part.start()
        self._until(self._serves, "site to begin with")
        for phone in self._phones:
            phone.start()
        self._until(lambda: self.ledger.receipts, "first sheet")

    def _chosen(self, number):
        if number % CHECK_EVERY == 1:
            return "worker"
        names = sorted(self.parts)
        return self._rng.choices(names, [CHOSEN[name] for name in names])[0]

    def _kill_one(self, name):
        part = self.parts[name]
        self._wait_for_moment(name)
        self._start_what_ended()
        self.told.at_work[name] += bool(
            a_claim_is_held(self.site) if name != "web" else self.ledger.under_way
        )
        part.kill()
        self.told.kills[name] += 1
        time.sleep(self._rng.uniform(0, 0.5))
        part.start()
        if self._rng.random() < _WATCHED:
            self._watch(name, started=time.monotonic())

    def _wait_for_moment(self, name):
        time.sleep(self._rng.uniform(0, 1.5))
        if name in {"web", "broker"} or self._rng.random() > _AIMED:
            return
        # A batch takes hundredths of a second: chance alone would seldom meet one.
        until = time.monotonic() + 2
        while time.monotonic() < until and not a_claim_is_held(self.site):
            time.sleep(0.002)
        time.sleep(self._rng.uniform(0, 0.03))

    def _watch(self, name, *, started):
        self._until(self._serves, f"site after a kill of {name}")
        answers, last = looked_up(self.site, _ANSWERS), looked_up(self.site, _LAST) or 0
        self._until(
            lambda: (looked_up(self.site, _ANSWERS) or 0) > answers,
            f"answer after a kill of {name}",
        )
        self.told.answered_s[name].append(time.monotonic() - started)
        self._until(
            lambda: looked_up(self.site, _OF_BEFORE.format(last=last)) == 0,
            f"end of what waited before a kill of {name}",
        )
        self.told.cleared_s[name].append(time.monotonic() - started)

    def _serves(self):
        self._start_what_ended()
        return all(part.is_up() for part in self.parts.values())

    def _start_what_ended(self):
        for name, part in self.parts.items():
            if part.has_ended():
                self.ledger.faults.append(f"the {name} ended by itself")
                part.start()

    def _compare(self):
        self._until(self._serves, "site to compare with")
        self.told.account = account(self.site, self.ledger)
        self.told.checks += 1

    def finish(self):
        """Let everything be sent and computed, and compare."""
        started = time.monotonic()
        self._until(self._serves, "site in the end")
        for phone in self._phones:
            phone.stopping.set()
        for phone in self._phones:
            phone.join(STUCK_S)
            if phone.is_alive():
                self.ledger.faults.append(f"the {phone.name} has a sheet left")
        self._until(lambda: unfinished(self.site) == 0, "end of the work")
        self.told.finished_s = time.monotonic() - started
        self._compare()

    def _until(self, condition, what):
        deadline = time.monotonic() + STUCK_S
        while not condition():
            if time.monotonic() > deadline:
                self.ledger.faults.append(f"no {what} in {STUCK_S} s")
                return
            time.sleep(_LOOK_EVERY_S)
