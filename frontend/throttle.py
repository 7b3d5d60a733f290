"""Slows down guessing: only so many wrong sign-ins from one address a minute.

Only wrong ones count, because a whole class may share one address and sign in
within the same minute.
"""

from datetime import datetime

from django.core.cache import cache
from django.http import HttpRequest
from rest_framework.throttling import BaseThrottle

MOST_WRONG_PER_MINUTE = 20
_KEPT_S = 120
TOO_MANY = (
    "Too many wrong tries from this network. Wait one minute, then type the code once "
    "more, slowly."
)


def is_blocked(request: HttpRequest, *, now: datetime) -> bool:
    """Whether this address has used up its wrong tries of this minute."""
    return int(cache.get(_key(request, now), 0)) >= MOST_WRONG_PER_MINUTE


def count_wrong(request: HttpRequest, *, now: datetime) -> None:
    """Count one wrong try."""
    key = _key(request, now)
    cache.set(key, int(cache.get(key, 0)) + 1, _KEPT_S)


def _key(request: HttpRequest, now: datetime) -> str:
    # One rule for pages and API on which address is behind a proxy.
    address = BaseThrottle().get_ident(request)  # type: ignore[arg-type]
    return f"wrong-sign-in:{address}:{now:%H%M}"
