"""What the commands share: reading a named file, saying refusals, who acts."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.core.management.base import CommandError

from results.models.courses import find_course
from results.policy.access import Actor, Rights
from results.policy.refusals import NotAdmitted, Refusal


def read_file(name: str) -> bytes:
    """Return a file's content.

    Raises
    ------
    CommandError
        The file cannot be read.
    """
    try:
        return Path(name).read_bytes()
    except OSError as error:
        message = f"{name} cannot be read: {error.strerror}."
        raise CommandError(message) from error


@contextmanager
def refusals_in_words() -> Iterator[None]:
    """Turn a refusal into the message of a failed command."""
    try:
        yield
    except NotAdmitted as refusal:
        lines = [f"{one.pointer or '/'}: {one.message}" for one in refusal.problems]
        raise CommandError("\n".join(lines)) from refusal
    except Refusal as refusal:
        raise CommandError(refusal.sentence) from refusal


def keeper_of(course_code: str) -> Actor:
    """Return who acts in a command: whoever runs the server may prepare any course.

    Raises
    ------
    NotFound
        There is no such course.
    """
    course = find_course(course_code)
    return Actor(0, "command", Rights(coordinated=frozenset({course.pk})))
