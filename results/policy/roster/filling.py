"""Putting people into groups of one to three: by name, at random, or as they were.

Chance is a number: the same people and the same seed give the same groups on every
machine, because people are ordered by a digest of the seed and their own key.
"""

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

SIZES = (1, 2, 3)
MOST_SEED = 999_999


class Order(StrEnum):
    """By what people come together."""

    NAME = "name"
    RANDOM = "random"
    TOGETHER = "together"

    @property
    def label(self) -> str:
        """The order in words."""
        return {
            Order.NAME: "by name",
            Order.RANDOM: "at random, by the seed",
            Order.TOGETHER: "whoever was together before, the others by name",
        }[self]


class Odd(StrEnum):
    """What becomes of those who are too few for a group of their own."""

    LARGER = "larger"
    SMALLER = "smaller"

    @property
    def label(self) -> str:
        """The choice in words."""
        return {
            Odd.LARGER: "make a group one larger",
            Odd.SMALLER: "make a smaller group",
        }[self]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """How groups are to be filled.

    Attributes
    ----------
    size : int
        People in a group, 1 to 3.
    seed : int
        Matters to the order at random only.
    anew : bool
        Whether people who have a group are put into groups again, too; only where
        nobody has submitted anything.
    """

    size: int = 2
    order: Order = Order.NAME
    odd: Odd = Odd.LARGER
    seed: int = 0
    anew: bool = False


@dataclass(frozen=True, slots=True)
class Seat:
    """One person to be put into a group.

    Attributes
    ----------
    key : str
        What chance knows the person by: their number, else their name.
    last_group : int or None
        The group that the person was in last.
    """

    pk: int
    name: str
    key: str
    last_group: int | None


def fill(seats: Iterable[Seat], wish: Wish) -> tuple[tuple[Seat, ...], ...]:
    """Return groups of people; nobody is left over.

    With `Odd.LARGER` those too few for a group join the last groups, one each; if
    there are not enough groups to join, they are one.

    Examples
    --------
    >>> people = [Seat(n, name, name, None) for n, name in enumerate("cabed")]
    >>> [[seat.name for seat in group] for group in fill(people, Wish(size=2))]
    [['a', 'b'], ['c', 'd', 'e']]
    """
    ordered = sorted(seats, key=_by_name)
    if wish.order is Order.RANDOM:
        ordered.sort(key=lambda seat: _drawn(seat, wish.seed))
    kept: list[tuple[Seat, ...]] = []
    if wish.order is Order.TOGETHER:
        kept = _together(ordered, wish.size)
        met = {seat.pk for group in kept for seat in group}
        ordered = [seat for seat in ordered if seat.pk not in met]
    return tuple(_cut(ordered, wish, kept))


def _by_name(seat: Seat) -> tuple[str, str, int]:
    return seat.name.casefold(), seat.key, seat.pk


def _drawn(seat: Seat, seed: int) -> bytes:
    return hashlib.sha256(f"{seed} {seat.key}".encode()).digest()


def _together(seats: Sequence[Seat], size: int) -> list[tuple[Seat, ...]]:
    """Return those who were in one group, where they are at least two and fit."""
    by_group: dict[int, list[Seat]] = {}
    for seat in seats:
        if seat.last_group is not None:
            by_group.setdefault(seat.last_group, []).append(seat)
    return [tuple(members) for members in by_group.values() if 1 < len(members) <= size]


def _cut(
    seats: Sequence[Seat], wish: Wish, kept: list[tuple[Seat, ...]]
) -> list[tuple[Seat, ...]]:
    n_full = len(seats) // wish.size
    groups = kept + [
        tuple(seats[start : start + wish.size])
        for start in range(0, n_full * wish.size, wish.size)
    ]
    over = seats[n_full * wish.size :]
    if not over:
        return groups
    if wish.odd is Odd.SMALLER or len(over) > len(groups):
        return [*groups, tuple(over)]
    # The last groups are made larger, in the order of those who are left over.
    first = len(groups) - len(over)
    return groups[:first] + [
        (*group, seat) for group, seat in zip(groups[first:], over, strict=True)
    ]
