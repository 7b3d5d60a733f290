"""What pages answer while the database does not: come back in a moment."""

import sys
from collections.abc import Iterator

from django.db import InterfaceError, OperationalError
from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string
from django.utils import translation
from django.views import defaults

# What goes on around the database, as against what it was asked for.
_PASSING = (OperationalError, InterfaceError)
_WAIT_S = 5


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Answer a request that makes no sense, or one whose session cannot be stored.

    The framework takes a session that it fails to store for one that has ended.
    """
    if _has_passing_cause(exception):
        return _not_now(request)
    return defaults.bad_request(request, exception)


def server_error(request: HttpRequest) -> HttpResponse:
    """Answer what no view foresees; called while the error is being handled."""
    if _has_passing_cause(sys.exc_info()[1]):
        return _not_now(request)
    return defaults.server_error(request)


def _has_passing_cause(error: BaseException | None) -> bool:
    return any(isinstance(one, _PASSING) for one in _and_causes(error))


def _and_causes(error: BaseException | None) -> Iterator[BaseException]:
    while error is not None:
        yield error
        error = error.__cause__ or error.__context__


def _not_now(request: HttpRequest) -> HttpResponse:
    # Rendered without the request, whose user and messages stand in the database.
    language = getattr(request, "LANGUAGE_CODE", translation.get_language())
    with translation.override(language):
        page = render_to_string("503.html")
    return HttpResponse(page, status=503, headers={"Retry-After": str(_WAIT_S)})
