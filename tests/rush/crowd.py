"""A crowd of phones: who comes when, and what they did."""

import random
import threading
import time
from dataclasses import dataclass

from tests.rush.ledger import Ledger
from tests.rush.line import Line
from tests.rush.phone import Phone, Program, sleep_until
from tests.rush.timed import Timed

# Of ten groups one sends by a program; of three at the sheet, one has two phones out.
_PROGRAMS = 10
_PAIRS = 3
_STACK_BYTES = 256 * 1024


@dataclass(frozen=True, slots=True, kw_only=True)
class Rush:
    """Who comes within which time.

    Attributes
    ----------
    within_s : float
        Time within which all send.
    arriving_s : float
        Time within which all sign in; in the order in which they send.
    typing_s : float
        Least time from signing in to sending, while phones poll.
    """

    groups: int
    within_s: float
    arriving_s: float
    typing_s: float

    @property
    def first_send_s(self):
        return max(0.0, self.arriving_s - self.within_s) + self.typing_s

    @property
    def title(self):
        many = f"{self.groups:,} groups in"
        if self.within_s < 120:
            return f"{many} {self.within_s:.0f} s"
        return f"{many} {self.within_s / 60:.0f} min"


class Crowd:
    """Phones and programs of a course, each a thread that mostly sleeps."""

    def __init__(self, site, sheets, *, seed=1):
        self.port, self.sheets, self.seed = site.port, sheets, seed
        self.timed, self.ledger, self.failures = Timed(), Ledger(), []

    def run(self, rush):
        """Let all come, type, send and read; return when the last has its answer."""
        before = threading.stack_size(_STACK_BYTES)
        try:
            self._run(rush)
        finally:
            threading.stack_size(before)

    def _run(self, rush):
        places = random.Random(self.seed)
        start = time.monotonic()
        moments = sorted(places.random() for _ in self.sheets)
        threads = []
        for number, (sheet, moment) in enumerate(
            zip(self.sheets, moments, strict=True)
        ):
            sleep_until(start + rush.arriving_s * moment)
            send_at = start + rush.first_send_s + rush.within_s * moment
            for deed in self._deeds(number, sheet, send_at):
                threads.append(
                    threading.Thread(target=self._do, args=deed, daemon=True)
                )
                threads[-1].start()
        for thread in threads:
            thread.join()

    def _deeds(self, number, sheet, send_at):
        """Yield what each device of a group does."""
        if number % _PROGRAMS == 0:
            yield (
                Program(sheet, self._line(number, 1), self.ledger, seed=number).work,
                send_at,
            )
            return
        yield (
            Phone(sheet, self._line(number, 1), self.ledger, seed=number).work,
            send_at,
        )
        if number % _PAIRS == 0:
            other = Phone(sheet, self._line(number, 2), self.ledger, seed=-number)
            yield other.look_on, lambda: sheet.label in self.ledger.acknowledged_at

    def _line(self, number, device):
        address = f"10.{device}.{number // 250}.{number % 250 + 1}"
        return Line(self.port, address, self.timed)

    def _do(self, deed, *arguments):
        try:
            deed(*arguments)
        except Exception as error:  # noqa: BLE001 - told at the end, whatever it was
            self.failures.append(f"{type(error).__name__}: {error}")
