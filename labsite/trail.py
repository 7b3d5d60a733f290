"""One line in the log for every request, and one name for all that it causes."""

import json
import logging
import re
import time
from collections.abc import Callable
from contextvars import ContextVar
from uuid import uuid4

from django.http import HttpRequest
from django.http.response import HttpResponseBase

HEADER = "X-Request-ID"
# What a proxy in front may hand on; anything else could forge lines of the log.
_USABLE = re.compile(r"[A-Za-z0-9._-]{8,64}")
_current: ContextVar[str] = ContextVar("request_id", default="-")
logger = logging.getLogger("benchwide.requests")


class RequestTrail:
    """Name each request, say so in its answer, and log what became of it.

    Only the route is logged, never the address: that could hold a code. Nor are
    bodies, headers or who is signed in.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self._get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Answer a request under its name."""
        brought = request.headers.get(HEADER, "")
        name = brought if _USABLE.fullmatch(brought) else uuid4().hex
        token = _current.set(name)
        started = time.perf_counter()
        try:
            response = self._get_response(request)
            response.headers[HEADER] = name
            self._log(request, response, time.perf_counter() - started)
        finally:
            _current.reset(token)
        return response

    @staticmethod
    def _log(request: HttpRequest, response: HttpResponseBase, seconds: float) -> None:
        found = request.resolver_match
        if found is None and response.status_code < 400:
            # A file or a redirect to HTTPS; the server in front counts those.
            return
        logger.info(
            "%s %s %s",
            request.method,
            found.route if found else "(no such address)",
            response.status_code,
            extra={
                "method": request.method,
                "route": found.route if found else None,
                "status": response.status_code,
                "ms": round(1000 * seconds, 1),
            },
        )


class NamesRequest(logging.Filter):
    """Put the name of the request in hand on every line."""

    def filter(self, record: logging.LogRecord) -> bool:
        """Let every line through, with `request_id`."""
        record.request_id = _current.get()
        return True


class NoContexts(logging.Filter):
    """Keep back what the framework says at its loudest of pages and statements.

    A name that a template does not find is logged with all that the page is made of,
    and a statement with its values: assigned ones among them.
    """

    def filter(self, record: logging.LogRecord) -> bool:
        """Let every other line through."""
        return record.levelno > logging.DEBUG


class JsonLines(logging.Formatter):
    """One JSON object a line, for programs that collect logs."""

    _FIELDS = ("method", "route", "status", "ms")

    def format(self, record: logging.LogRecord) -> str:
        """Return the line."""
        line = {
            "at": self.formatTime(record, "%Y-%m-%dT%H:%M:%S%z"),
            "level": record.levelname,
            "logger": record.name,
            "request_id": getattr(record, "request_id", "-"),
            "message": record.getMessage(),
        }
        line |= {
            name: value
            for name in self._FIELDS
            if (value := getattr(record, name, None)) is not None
        }
        if record.exc_info:
            line["error"] = self.formatException(record.exc_info)
        return json.dumps(line, ensure_ascii=False)
