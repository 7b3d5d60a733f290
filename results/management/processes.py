"""Web server, worker and scheduler as children that start and stop together."""

import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from types import FrameType

_STOP_WITHIN_S = 10.0
_LOOK_EVERY_S = 0.1


@dataclass(frozen=True, slots=True)
class Child:
    """One running child."""

    name: str
    process: "subprocess.Popen[bytes]"


def web_command(host: str, port: int) -> list[str]:
    """Return the command of the web server."""
    return [
        sys.executable,
        "-m",
        "gunicorn",
        "labsite.wsgi",
        "--config=python:labsite.serving",
        f"--bind={host}:{port}",
        "--workers=2",
        "--log-level=warning",
    ]


def worker_command() -> list[str]:
    """Return the command of a background worker."""
    return [
        sys.executable,
        "-m",
        "celery",
        "--app=labsite",
        "--quiet",
        "worker",
        # One process that a signal reaches; numpy needs no second one.
        "--pool=threads",
        "--concurrency=1",
        "--loglevel=WARNING",
        "--without-gossip",
        "--without-mingle",
        "--without-heartbeat",
    ]


def scheduler_command(folder: Path) -> list[str]:
    """Return the command of the scheduler, with its notes in a folder."""
    return [
        sys.executable,
        "-m",
        "celery",
        "--app=labsite",
        "--quiet",
        "beat",
        "--loglevel=WARNING",
        f"--schedule={folder / 'schedule'}",
        # A killed one leaves its number behind, and would not start again while
        # another program has that number.
        "--pidfile=",
    ]


def is_free(host: str, port: int) -> bool:
    """Whether a server could listen on an address."""
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, port))
        except OSError:
            return False
    return True


def answers(host: str, port: int) -> bool:
    """Whether a server listens on an address."""
    with socket.socket() as probe:
        probe.settimeout(1)
        return probe.connect_ex((host, port)) == 0


@contextmanager
def running(commands: dict[str, list[str]]) -> Iterator[list[Child]]:
    """Start the children, and stop all of them at the end, come what may.

    Each leads a session of its own: a Ctrl-C at the terminal reaches this
    process alone, which then stops them in order.
    """
    children = [
        Child(
            name,
            subprocess.Popen(command, start_new_session=True),  # noqa: S603 - our own
        )
        for name, command in commands.items()
    ]
    try:
        yield children
    finally:
        stop(children)


def stop(children: list[Child]) -> None:
    """Ask the children to end; end those by force that do not in time."""
    for child in children:
        if child.process.poll() is None:
            child.process.terminate()
    deadline = time.monotonic() + _STOP_WITHIN_S
    for child in children:
        try:
            child.process.wait(max(0.0, deadline - time.monotonic()))
        except subprocess.TimeoutExpired:
            os.killpg(child.process.pid, signal.SIGKILL)
            child.process.wait()


class StopAsked(Exception):
    """Somebody wants the program to end."""


def stop_on_signals() -> None:
    """Turn the usual signals into `StopAsked`."""

    def ask(_number: int, _frame: FrameType | None) -> None:
        raise StopAsked

    signal.signal(signal.SIGINT, ask)
    signal.signal(signal.SIGTERM, ask)


def wait_until(condition: Callable[[], bool], *, within_s: float) -> bool:
    """Wait for a condition to come true; return whether it did in time."""
    deadline = time.monotonic() + within_s
    while not condition():
        if time.monotonic() > deadline:
            return False
        time.sleep(_LOOK_EVERY_S)
    return True


def first_to_end(children: list[Child]) -> Child:
    """Wait until one of the children ends, and return it."""
    while True:
        for child in children:
            if child.process.poll() is not None:
                return child
        time.sleep(_LOOK_EVERY_S)
