"""Web processes behind a proxy share one queue: none waits beside an idle one."""

import contextlib
import socket
import threading

import pytest

PROCESSES, THREADS = 2, 4
LENGTH = 1000
pytestmark = pytest.mark.timeout(120)


@pytest.fixture
def site(make_site):
    site = make_site()
    site.environment["TRUSTED_PROXIES"] = "1"
    site.start_web()
    ask(site, b"GET", "/health/ready/").close()
    return site


def ask(site, method, path, *headers):
    """Send a request, or the head of one."""
    line = socket.create_connection(("127.0.0.1", site.port), timeout=60)
    head = [b"%s %s HTTP/1.1" % (method, path.encode()), b"Host: 127.0.0.1", *headers]
    line.sendall(b"\r\n".join(head) + b"\r\n\r\n")
    return line


def answer(line):
    return line.recv(65536).partition(b"\r\n")[0]


@contextlib.contextmanager
def sending_now_and_then(lines):
    """Send blanks, so that no line falls silent."""
    ended = threading.Event()

    def send():
        while not ended.wait(2):
            for line in lines:
                line.sendall(b" ")

    sender = threading.Thread(target=send, daemon=True)
    sender.start()
    try:
        yield
    finally:
        ended.set()
        sender.join()


def test_whoever_comes_is_answered_by_whichever_process_is_free(site):
    with contextlib.ExitStack() as open_lines:
        # Slow senders hold every thread of both processes ...
        slow = [
            open_lines.enter_context(
                ask(
                    site,
                    b"POST",
                    "/api/v1/sign-in",
                    b"Content-Type: application/json",
                    b"Content-Length: %d" % LENGTH,
                )
            )
            for _ in range(PROCESSES * THREADS)
        ]
        others = [
            open_lines.enter_context(ask(site, b"GET", "/health/live/"))
            for _ in range(10)
        ]
        open_lines.enter_context(sending_now_and_then(slow[1:]))
        # ... and one of them comes to its end.
        slow[0].sendall(b"{}".ljust(LENGTH))

        assert answer(slow[0]).startswith(b"HTTP/1.1 4")
        assert [answer(line) for line in others] == [b"HTTP/1.1 200 OK"] * 10
