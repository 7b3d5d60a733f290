"""Bodies that are not as long as they say, from whoever holds a line open.

Spoken by hand, since no program for HTTP sends such things.
"""

import contextlib
import json
import socket
import time

import pytest

from tests.processes.site import wait_for
from tests.processes.test_faults import readings, sign_in, slip_of_first_group

pytestmark = pytest.mark.timeout(240)
PROCESSES, THREADS = 2, 4
# The patience of `labsite.serving`, and a busy machine.
LONGEST_S = 10 + 6
GB = 10**9
# What a server can wait for; it answers all else at once.
WAITED_FOR = {"longer", "much longer", "in broken pieces", "untold"}


@pytest.fixture
def site(make_site, table):
    site = make_site()
    site.manage("import_readings", "iron", table(["1"]), "--create")
    site.slip_code = slip_of_first_group(site)
    site.start_web()
    wait_for(lambda: site.status_of("/health/live/") == 200, within_s=30, what="site")
    return site


def line_to(site):
    return contextlib.closing(
        socket.create_connection(("127.0.0.1", site.port), timeout=LONGEST_S)
    )


def send(line, path, content, *headers):
    head = [f"POST {path} HTTP/1.1", "Host: 127.0.0.1", *headers]
    line.sendall("\r\n".join(head).encode() + b"\r\n\r\n" + content)


def status(line):
    """The status of an answer; nothing if the line was closed instead."""
    try:
        first = line.recv(65536).partition(b"\r\n")[0]
    except ConnectionResetError:
        return None
    return int(first.split()[1]) if first else None


def lies(length):
    """What may be said of a body's length beside the truth; what is sent of it."""
    return {
        "longer": [f"Content-Length: {length + 9}"],
        "much longer": [f"Content-Length: {10 * GB}"],
        "shorter": [f"Content-Length: {length - 9}"],
        "negative": [f"Content-Length: -{length}"],
        "signed": [f"Content-Length: +{length}"],
        "no number": ["Content-Length: many"],
        "hexadecimal": [f"Content-Length: {length:#x}"],
        "of digits of elsewhere": ["Content-Length: ٣٣"],
        "of digits without end": ["Content-Length: " + "9" * 5000],
        "empty": ["Content-Length: "],
        "twice": [f"Content-Length: {length}", f"Content-Length: {length + 9}"],
        "in two ways": [f"Content-Length: {length}", "Transfer-Encoding: chunked"],
        "in broken pieces": ["Transfer-Encoding: chunked"],
        "in unknown pieces": [f"Content-Length: {length}", "Transfer-Encoding: x"],
        "untold": [],
    }


def counted(site):
    tables = ("results_submission", "django_session", "results_draftedit")
    return [site.ask(f"SELECT count(*) FROM {table}") for table in tables]  # noqa: S608


@pytest.mark.parametrize("hangs_up", [True, False], ids=["hung up", "held open"])
def test_no_body_of_another_length_than_it_says_is_taken(site, hangs_up):
    sheet = json.dumps(readings()).encode()
    form = f"csrfmiddlewaretoken={'x' * 32}&slip_code={site.slip_code}".encode()
    token = sign_in(site, site.slip_code)["Authorization"]
    to_api = [f"Authorization: {token}", "Content-Type: application/json"]
    to_page = [
        f"Cookie: csrftoken={'x' * 32}",
        "Content-Type: application/x-www-form-urlencoded",
    ]
    before, taken, slow = counted(site), [], []

    for path, body, headers in (
        ("/api/v1/submissions", sheet, [*to_api, "Idempotency-Key: lie"]),
        ("/", form, to_page),
    ):
        for name, lie in lies(len(body)).items():
            if not hangs_up and name not in WAITED_FOR:
                continue
            started = time.monotonic()
            with line_to(site) as line:
                send(line, path, body, *headers, *lie)
                if hangs_up:
                    line.shutdown(socket.SHUT_WR)
                else:
                    # Whoever comes meanwhile does not wait.
                    assert site.status_of("/health/live/") == 200
                answered = status(line)
            if answered is not None and not 400 <= answered < 500 and answered != 501:
                taken.append((path, name, answered))
            if time.monotonic() - started > LONGEST_S:
                slow.append((path, name))

    assert (taken, slow) == ([], [])
    assert counted(site) == before
    with line_to(site) as line:
        send(
            line,
            "/api/v1/submissions",
            sheet,
            *to_api,
            "Idempotency-Key: truth",
            f"Content-Length: {len(sheet)}",
        )
        assert status(line) == 201


BODY = (
    b"POST /api/v1/sign-in HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 90\r\n"
    b"Content-Type: application/json\r\n\r\n{"
)
HEAD = b"POST / HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Le"
# Far more than a line holds, asked for by somebody who reads nothing of it.
ANSWER = b"GET /static/plotly/plotly.min.js HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n"


@pytest.mark.parametrize(
    "begun", [BODY, HEAD, ANSWER], ids=["in a body", "in a head", "in an answer"]
)
def test_lines_that_fall_silent_hold_up_nobody_for_long(site, begun):
    with contextlib.ExitStack() as lines:
        for _ in range(PROCESSES * THREADS):
            line = lines.enter_context(line_to(site))
            line.sendall(begun)
        started = time.monotonic()

        assert site.status_of("/health/live/") == 200
        # The server waits a little for each to close, one after the other.
        assert time.monotonic() - started < LONGEST_S + 2 * THREADS
