"""The form that fills groups, and the boxes for places along the benches."""

import secrets
from collections.abc import Mapping
from dataclasses import dataclass

from frontend.pressed import is_number, row_number
from results.policy.roster.filling import MOST_SEED, SIZES, Odd, Order, Wish
from results.policy.roster.refusals import CannotRoster

_PLACE = "place-"


@dataclass(frozen=True, slots=True)
class Choice:
    """One entry of a list to choose from."""

    value: str
    label: str
    chosen: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class FillingForm:
    """What stands on the form that fills groups."""

    sizes: tuple[Choice, ...]
    orders: tuple[Choice, ...]
    odds: tuple[Choice, ...]
    seed: str
    anew: bool
    all_sections: bool


def typed_wish(typed: Mapping[str, str]) -> Wish:
    """Return how groups are to be filled.

    Raises
    ------
    CannotRoster
        The seed is no number that is small enough to be noted down.
    """
    size, order, odd = typed.get("size"), typed.get("order"), typed.get("odd")
    seed = typed.get("seed", "").strip() or "0"
    if not is_number(seed) or int(seed) > MOST_SEED:
        message = f"A seed is a whole number from 0 to {MOST_SEED}."
        raise CannotRoster(message)
    return Wish(
        size=int(size) if size in {str(one) for one in SIZES} else 2,
        order=Order(order) if order in set(Order) else Order.NAME,
        odd=Odd(odd) if odd in set(Odd) else Odd.LARGER,
        seed=int(seed),
        anew="anew" in typed,
    )


def filling_choices(typed: Mapping[str, str]) -> FillingForm:
    """Return the form as it was typed; with a fresh seed if nothing was."""
    size, order = typed.get("size", "2"), typed.get("order", Order.NAME.value)
    odd = typed.get("odd", Odd.LARGER.value)
    words = {1: "one person", 2: "two people", 3: "three people"}
    return FillingForm(
        sizes=tuple(Choice(str(n), words[n], str(n) == size) for n in SIZES),
        orders=tuple(Choice(one.value, one.label, one.value == order) for one in Order),
        odds=tuple(Choice(one.value, one.label, one.value == odd) for one in Odd),
        seed=typed.get("seed") or str(secrets.randbelow(MOST_SEED + 1)),
        anew="anew" in typed,
        all_sections=typed.get("scope") == "all",
    )


def read_places(typed: Mapping[str, str]) -> dict[int, int | None]:
    """Return the places by group from the boxes of the page.

    Raises
    ------
    CannotRoster
        One of them holds no whole number.
    """
    places: dict[int, int | None] = {}
    for field, value in typed.items():
        if not field.startswith(_PLACE):
            continue
        text = value.strip()
        if text and not is_number(text):
            message = f"“{text[:20]}” is no place; write a whole number, or nothing."
            raise CannotRoster(message)
        places[row_number(field.removeprefix(_PLACE))] = int(text) if text else None
    return places
