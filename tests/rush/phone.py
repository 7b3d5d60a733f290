"""What a group's phones and programs do, as the page's own scripts do it."""

import itertools
import math
import random
import re
import time

from tests.rush.line import JSON, NoAnswer
from tests.rush.typed import FORM, document_of, edits_of, form_of, new_key

POLL_S = 10  # phones.js
WAITS_S = (2, 4, 8, 15, 30)  # outbox.js
REFRESH_S = 0.7  # result.html
PROGRAM_REFRESH_S = 1.5  # "after a second or two", says the description of the API
_SIGN_IN_PATIENCE_S = 3
# Nobody waits so long; it is never, and is told as that.
_ANSWER_WITHIN_S = 180
_FILE = re.compile(r'(?:href|src)="(/static/[^"]+|/(?:home|bench)-scripts.js[^"]*)"')
_HELD = re.compile(r'"files": \[([^\]]*)\]')


def _silences(moments):
    """Yield when the page looks for the other phone between moments at which it met."""
    for before, after in itertools.pairwise(moments):
        n_polls = math.ceil((after - before) / POLL_S)
        yield from (before + POLL_S * n for n in range(1, n_polls))


def sleep_until(moment):
    time.sleep(max(0, moment - time.monotonic()))


class Refused(Exception):
    """The site said something that trying again does not mend."""

    def __init__(self, answer, what):
        super().__init__(f"{what}: {answer.status} {answer.text[:400]}")


class NeverAnswered(Exception):
    """A sheet was received, and no answer came."""


class _Caller:
    """What phones and programs have in common."""

    def __init__(self, sheet, line, ledger, *, seed):
        self.sheet, self.line, self.ledger = sheet, line, ledger
        self.random = random.Random(seed)
        # Every tenth time the network goes away between sending and answer.
        self.is_lost = self.random.random() < 0.1

    def until_answered(self, attempt, waits_s=WAITS_S):
        """Try until the site answers, with the pauses of the outbox."""
        tries = 0
        while True:
            try:
                return attempt()
            except NoAnswer:
                time.sleep(waits_s[min(tries, len(waits_s) - 1)])
                tries += 1

    def send(self, attempt, key):
        """Send a sheet as the outbox does: under one key, until the site has it."""

        def once():
            is_lost, self.is_lost = self.is_lost, False
            return attempt(is_lost)

        answer = self.until_answered(once)
        if answer.status not in {200, 201}:
            raise Refused(answer, "a sheet")
        revision = answer.content["revision"]
        self.ledger.acknowledged(self.sheet.label, key, revision)
        return revision

    def await_answer(self, is_there, every_s):
        """Look for the answer, again and again."""
        deadline = time.monotonic() + _ANSWER_WITHIN_S
        while True:
            time.sleep(every_s)
            if is_there():
                return
            if time.monotonic() > deadline:
                raise NeverAnswered(self.sheet.label)


class Phone(_Caller):
    """A phone with the bench sheet."""

    def __init__(self, sheet, line, ledger, *, seed):
        super().__init__(sheet, line, ledger, seed=seed)
        self.name = f"{self.random.getrandbits(64):016x}"
        self.seen = "0-0"
        self.files = set()

    def work(self, send_at):
        """Sign in, type until it is time to send, and read what became of it."""
        self.sign_in()
        self.type(send_at)
        self.meet()
        self.read_result(self.send_sheet())

    def look_on(self, is_over):
        """Be the pair's other phone: sign in, and show what the first one types."""
        self.sign_in()
        while not is_over():
            self.meet()
            time.sleep(POLL_S)

    def sign_in(self):
        began = time.monotonic()
        self._open("/")
        body = f"slip_code={self.sheet.slip_code}"
        headers = {"Content-Type": "application/x-www-form-urlencoded"}
        answer = self.until_answered(
            lambda: self.line.ask("sign-in", "/", body=body, headers=headers),
            [_SIGN_IN_PATIENCE_S],
        )
        if answer.status != 302:
            raise Refused(answer, "signing in")
        self._open("/bench/")
        # The worker that holds the sheet for when there is no network.
        worker = self._get("page", "/bench-worker.js")
        held = _HELD.search(worker.text)
        self._fetch(re.findall(r'"([^"]+)"', held.group(1)))
        self.line.timed.note("arrived", began, 200)

    def _open(self, path):
        page = self._get("page", path)
        self._fetch(_FILE.findall(page.text))
        return page

    def _fetch(self, addresses):
        for address in addresses:
            if address not in self.files:
                self._get("file", address)
                self.files.add(address)

    def _get(self, kind, path):
        answer = self.until_answered(
            lambda: self.line.ask(kind, path), [_SIGN_IN_PATIENCE_S]
        )
        if answer.status != 200:
            raise Refused(answer, path)
        return answer

    def type(self, send_at):
        """Type box after box; each travels at once, and a silence ends in a poll."""
        opened = time.monotonic()
        boxes = list(edits_of(self.sheet))
        end = max(opened, send_at)
        moments = sorted(self.random.uniform(opened, end) for _ in boxes)
        polls = [opened, *_silences([opened, *moments, end])]
        typed = [(at, [box]) for at, box in zip(moments, boxes, strict=True)]
        unsent = []
        for at, new in sorted([*typed, *((at, []) for at in polls)]):
            sleep_until(at)
            unsent += new
            if self.meet(unsent):
                unsent = []
        sleep_until(send_at)

    def meet(self, boxes=()):
        """Meet the other phone's sheet on the site; return whether it answered."""
        path, headers = "/bench/draft/", {"Accept": JSON}
        try:
            if boxes:
                answer = self.line.ask_json("draft", path, self._edits(boxes), headers)
            else:
                path = f"{path}?seen={self.seen}"
                answer = self.line.ask("poll", path, headers=headers)
        except NoAnswer:
            return False
        if answer.status not in {200, 204}:
            raise Refused(answer, "a draft")
        if answer.status == 200:
            self.seen = answer.content["seen"]
        return True

    def _edits(self, boxes):
        now_ms = round(time.time() * 1000)
        return {
            "group": self.sheet.label,
            "phone": self.name,
            "sent_ms": now_ms,
            "edits": [
                {"field": field, "value": value, "stamp_ms": now_ms}
                for field, value in boxes
            ],
        }

    def send_sheet(self):
        key = new_key()
        body, headers = form_of(self.sheet, key), {"Content-Type": FORM, "Accept": JSON}

        def attempt(is_lost):
            return self.line.ask(
                "submit", "/bench/", body=body, headers=headers, is_lost=is_lost
            )

        return self.send(attempt, key)

    def read_result(self, revision):
        """Open the result's page, which looks again until there is an answer."""
        path = f"/bench/result/{revision}/"
        page = self._open(path)
        if _is_waiting(page):
            self.await_answer(
                lambda: not _is_waiting(self._get("result", f"{path}state/")), REFRESH_S
            )
        self.ledger.answer_seen(self.sheet.label)


def _is_waiting(page):
    return "data-waiting" in page.text


class Program(_Caller):
    """A group that sends by the API."""

    def work(self, send_at):
        """Sign in, read the sheet, send, and ask until there is an answer."""
        signed_in = self.until_answered(
            lambda: self.line.ask_json(
                "sign-in", "/api/v1/sign-in", {"slip_code": self.sheet.slip_code}
            )
        )
        token = signed_in.content["token"]
        bearer = {"Authorization": f"Bearer {token}"}
        self.until_answered(
            lambda: self.line.ask("page", "/api/v1/bench-sheet", headers=bearer)
        )
        sleep_until(send_at)
        key, document = new_key(), document_of(self.sheet)
        headers = {**bearer, "Idempotency-Key": key}

        def attempt(is_lost):
            return self.line.ask_json(
                "submit", "/api/v1/submissions", document, headers, is_lost=is_lost
            )

        path = f"/api/v1/submissions/{self.send(attempt, key)}"
        self.await_answer(
            lambda: self._state(path, bearer) != "waiting", PROGRAM_REFRESH_S
        )
        self.ledger.answer_seen(self.sheet.label)

    def _state(self, path, bearer):
        answer = self.until_answered(
            lambda: self.line.ask("result", path, headers=bearer)
        )
        return answer.content["submission"]["state"]
