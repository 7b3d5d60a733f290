"""Every error is a problem document (RFC 9457); what becomes which stands here."""

import logging
import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from django.core.exceptions import BadRequest, PermissionDenied, RequestDataTooBig
from django.core.signals import got_request_exception
from django.db import InterfaceError, OperationalError
from django.http import Http404
from rest_framework import exceptions
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import set_rollback

from api.problems import KINDS, PROBLEM_MEDIA_TYPE, ProblemKind
from results.policy.refusals import NotAdmitted, Problem, Refusal

logger = logging.getLogger(__name__)
# Where the framework puts what concerns an object as a whole.
_WHOLE = "non_field_errors"


class KeyMissing(exceptions.APIException):
    """The header that makes a repeated request harmless is missing or unusable."""

    status_code = 400


_KIND_BY_ERROR: Mapping[type[Exception], str] = {
    KeyMissing: "idempotency-key-missing",
    RequestDataTooBig: "body-too-large",
    exceptions.ParseError: "malformed",
    BadRequest: "malformed",
    exceptions.NotAuthenticated: "sign-in-needed",
    exceptions.AuthenticationFailed: "sign-in-needed",
    exceptions.PermissionDenied: "not-for-this-token",
    PermissionDenied: "not-for-this-token",
    exceptions.NotFound: "not-found",
    Http404: "not-found",
    exceptions.MethodNotAllowed: "method-not-allowed",
    exceptions.NotAcceptable: "not-acceptable",
    exceptions.UnsupportedMediaType: "unsupported-media-type",
    exceptions.Throttled: "too-many-attempts",
    # What goes on around the database, as against what it was asked for.
    OperationalError: "not-now",
    InterfaceError: "not-now",
}
_NOT_NOW_WAIT_S = 5


def problem_response(error: Exception, context: Mapping[str, Any]) -> Response:
    """Answer an error of a view with a problem document."""
    set_rollback()
    request: Request = context["request"]
    if isinstance(error, exceptions.ValidationError):
        error = NotAdmitted(problems_in(error.detail))
    kind = _kind_of(error)
    if kind.status >= 500:
        logger.error("%s failed", request.path, exc_info=error)
        got_request_exception.send(sender=problem_response, request=request._request)  # noqa: SLF001
    return Response(
        _document(kind, error, request.path),
        status=kind.status,
        headers=_headers(kind, error),
        content_type=PROBLEM_MEDIA_TYPE,
    )


def problems_in(detail: Any, where: tuple[str | int, ...] = ()) -> Iterator[Problem]:
    """Yield every problem of a nested validation error, each with its place.

    Examples
    --------
    >>> [p.pointer for p in problems_in({"readings": [{}, {"tube": ["Name it."]}]})]
    ['/readings/1/tube']
    """
    if isinstance(detail, Mapping):
        for key, inner in detail.items():
            yield from problems_in(inner, where if key == _WHOLE else (*where, key))
    elif isinstance(detail, Sequence) and not isinstance(detail, str):
        for index, inner in enumerate(detail):
            is_sentence = isinstance(inner, str)
            yield from problems_in(inner, where if is_sentence else (*where, index))
    else:
        yield Problem(where, str(detail))


def _kind_of(error: Exception) -> ProblemKind:
    if isinstance(error, Refusal):
        return KINDS.get(error.code, KINDS["refused"])
    for kind_of_error, code in _KIND_BY_ERROR.items():
        if isinstance(error, kind_of_error):
            return KINDS[code]
    return KINDS["server-error"]


def _document(kind: ProblemKind, error: Exception, path: str) -> dict[str, Any]:
    return {
        "type": kind.uri,
        "title": kind.title,
        "status": kind.status,
        "detail": _writable(_detail(kind, error)),
        "instance": _writable(path),
        "errors": _errors(error),
    }


def _detail(kind: ProblemKind, error: Exception) -> str:
    if isinstance(error, Refusal):
        return error.sentence
    if isinstance(error, exceptions.APIException) and kind.status < 500:
        return str(error.detail)
    return kind.meaning


def _errors(error: Exception) -> list[dict[str, str]]:
    if isinstance(error, KeyMissing):
        return [{"header": "Idempotency-Key", "detail": str(error.detail)}]
    if isinstance(error, NotAdmitted):
        return [
            {"pointer": _writable(one.pointer), "detail": _writable(one.message)}
            for one in error.problems
        ]
    return []


def _headers(kind: ProblemKind, error: Exception) -> dict[str, str]:
    headers = {}
    if kind is KINDS["not-now"]:
        headers["Retry-After"] = str(_NOT_NOW_WAIT_S)
    if challenge := getattr(error, "auth_header", None):
        headers["WWW-Authenticate"] = challenge
    if wait := getattr(error, "wait", None):
        headers["Retry-After"] = str(math.ceil(wait))
    return headers


def _writable(text: str) -> str:
    """Return text that UTF-8 can hold: JSON can smuggle in halves of characters."""
    return text.encode("utf-8", "replace").decode("utf-8")
