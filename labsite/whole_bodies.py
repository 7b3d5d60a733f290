"""No request passes whose body is shorter than it says.

A phone that loses its network in the middle of a form would otherwise have sent a
shorter one: web servers end a body where its line ends.
"""

from collections.abc import Callable, Iterable
from typing import Any, Protocol

from django.core.exceptions import BadRequest

Environ = dict[str, Any]
Application = Callable[[Environ, Callable[..., Any]], Iterable[bytes]]


class CutShort(BadRequest):
    """A body ended, or fell silent, before it was as long as it said."""

    def __init__(self) -> None:
        super().__init__("The body is shorter than its Content-Length.")


class Body(Protocol):
    """What a web server lets an application read from."""

    def read(self, size: int, /) -> bytes:
        """Return as many bytes, and fewer only at the end."""

    def readline(self, size: int, /) -> bytes:
        """Return a line, or as many bytes of it, and less only at the end."""


class WholeBody:
    """A body that tells a wrong end from its own.

    Parameters
    ----------
    body : Body
        What is read from.
    length : int
        How many bytes it has to have.

    Raises
    ------
    CutShort
        By `read` and `readline`, instead of an end that comes too early.
    """

    def __init__(self, body: Body, length: int) -> None:
        self._body = body
        self._left = length

    def read(self, size: int = -1, /) -> bytes:
        """Return as many bytes as are asked for, or all that are left."""
        wanted = self._wanted(size)
        found = self._taken(self._body.read, wanted)
        if len(found) < wanted:
            raise CutShort
        return found

    def readline(self, size: int = -1, /) -> bytes:
        """Return a line, or as many bytes of it as are asked for."""
        wanted = self._wanted(size)
        line = self._taken(self._body.readline, wanted)
        if len(line) < wanted and not line.endswith(b"\n"):
            raise CutShort
        return line

    def _wanted(self, size: int) -> int:
        return self._left if size < 0 else min(size, self._left)

    def _taken(self, take: Callable[[int], bytes], wanted: int) -> bytes:
        try:
            found = take(wanted) if wanted else b""
        except OSError as error:
            # The framework takes a line that failed for a form with nothing in it.
            raise CutShort from error
        self._left -= len(found)
        return found


def whole_bodies(application: Application) -> Application:
    """Return an application that reads whole bodies or none."""

    def inner(environ: Environ, start_response: Callable[..., Any]) -> Iterable[bytes]:
        body = WholeBody(environ["wsgi.input"], _length_of(environ))
        return application({**environ, "wsgi.input": body}, start_response)

    return inner


def _length_of(environ: Environ) -> int:
    """Return the length that the framework goes by."""
    try:
        return max(int(environ.get("CONTENT_LENGTH") or 0), 0)
    except ValueError:
        return 0
