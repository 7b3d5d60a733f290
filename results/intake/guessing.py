"""Slows down guessing: only so many wrong sign-ins from one address a minute.

Only wrong ones count, because a whole class may share one address and sign in
within the same minute. Pages and API count together.
"""

from datetime import datetime

from django.core.cache import cache

from results.policy.language import marked

MOST_WRONG_PER_MINUTE = 20
#: Told when it is said: see `results.policy.language`.
TOO_MANY = marked(
    "Too many wrong tries from this network. Wait one minute, then type the code once "
    "more, slowly."
)
_KEPT_S = 120


def seconds_to_wait(address: str, *, now: datetime) -> int:
    """Return how long an address has to wait before its next try; 0 for not at all."""
    if cache.get(_places(address, now)[-1]) is None:
        return 0
    return 60 - now.second


def count_wrong_try(address: str, *, now: datetime) -> None:
    """Count one wrong try."""
    places = _places(address, now)
    taken = len(cache.get_many(places))
    # Each try takes a place of its own: of two processes that add the same one,
    # every cache lets only one succeed, while not every cache can count up in one
    # step.
    for place in places[taken:]:
        if cache.add(place, 1, _KEPT_S):
            return


def _places(address: str, now: datetime) -> list[str]:
    minute = f"wrong-sign-in:{address}:{now:%H%M}"
    return [f"{minute}:{number:02}" for number in range(MOST_WRONG_PER_MINUTE)]
