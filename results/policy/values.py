"""A lot's new value, as typed and as it may be stored."""

from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime, tzinfo

from results.policy.moments import read_moment
from results.policy.numbers import NotANumber, read_number
from results.policy.refusals import NotAdmitted, Problem

_MOST_PERCENT = 100


@dataclass(frozen=True, slots=True)
class NewValue:
    """A value that a lot is to have from a moment on.

    Attributes
    ----------
    iron_percent, u_iron_percent : float
        Iron content and its standard uncertainty, % by mass.
    assay_id, homogeneity_id : int or None
        The records that it rests on; None where it was typed.
    """

    lot_id: int
    iron_percent: float
    u_iron_percent: float
    valid_from: datetime
    assay_id: int | None = None
    homogeneity_id: int | None = None


def read_new_value(
    lot_id: int, typed: Mapping[str, str | float | None], *, zone: tzinfo
) -> NewValue:
    """Return a value as typed.

    Parameters
    ----------
    typed : mapping
        `iron_percent`, `u_iron_percent` and `valid_from`, the last as ISO 8601.
    zone : tzinfo
        Of a moment without a zone of its own.

    Raises
    ------
    NotAdmitted
        Something needs mending; all of it is named.
    """
    problems: list[Problem] = []
    numbers = {}
    moment: datetime | None = None
    for name in ("iron_percent", "u_iron_percent"):
        try:
            numbers[name] = read_number(_or_nothing(typed.get(name)))
        except NotANumber as error:
            problems.append(Problem((name,), str(error)))
    with suppress(ValueError):
        moment = read_moment(str(typed.get("valid_from", "")), zone)
    if moment is None:
        message = "Give the day and time from which it holds, as 2025-03-04T14:00."
        problems.append(Problem(("valid_from",), message))
    if problems or moment is None:
        raise NotAdmitted(problems)
    value = NewValue(lot_id, numbers["iron_percent"], numbers["u_iron_percent"], moment)
    if problems := list(problems_of(value)):
        raise NotAdmitted(problems)
    return value


def _or_nothing(typed: str | float | None) -> str | float:
    return "" if typed is None else typed


def problems_of(value: NewValue) -> Iterator[Problem]:
    """Yield what keeps a value from being one."""
    if not 0 < value.iron_percent <= _MOST_PERCENT:
        yield Problem(("iron_percent",), "Give percent by mass, above 0 to 100.")
    if not 0 <= value.u_iron_percent <= _MOST_PERCENT:
        message = "Give the standard uncertainty in percent by mass, from 0."
        yield Problem(("u_iron_percent",), message)
