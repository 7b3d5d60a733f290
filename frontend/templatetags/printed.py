"""Numbers and bench terms in templates."""

from collections.abc import Sequence
from datetime import datetime

from django import template

from frontend.numerals import (
    MINUS,
    counted,
    decimals_for,
    fixed,
    lowered,
    significant,
    spaced,
    with_uncertainty,
)
from results.policy.language import day_and_time, in_readers_format, marked, tell
from results.policy.protocol import Span
from results.summaries.bench import TypedReading

register = template.Library()
register.filter(lowered)

_DELIVERIES = {
    "pipette": marked("pipette"),
    "burette": marked("burette"),
    "autopipette": marked("piston pipette"),
}
_ROLES = {
    "reductant": marked("reductant"),
    "ligand": marked("ligand"),
    "buffer": marked("buffer"),
}
_NOTHING = "–"
_STAGES = {
    "line": marked("the line"),
    "unknown": marked("reading the unknown off the line"),
    "flask": marked("the way back to the first flask"),
    "solid": marked("the step from the flask to the powder"),
}
_SOME_STAGE = marked("a step of the working")
_CHANCES = ((0.9, "very likely"), (0.6, "likely"), (0.2, "possible"), (0.0, "unlikely"))
# A probability is never printed as certain.
_CERTAIN = 0.99


@register.filter
def decimals(value: float | None, places: int) -> str:
    """Return a number with fixed decimals; a dash where there is none."""
    return _NOTHING if value is None else fixed(value, places)


@register.filter
def plus_minus(value: float | None, uncertainty: float | None) -> str:
    """Return a value with its uncertainty; a dash where there is none."""
    if value is None or uncertainty is None:
        return _NOTHING
    return with_uncertainty(value, uncertainty)


@register.filter
def half_width(low: float, high: float) -> float:
    """Return half the width of an interval."""
    return (high - low) / 2


@register.filter
def up_to(low: float, high: float) -> str:
    """Return an interval, to the digits that its width leaves."""
    decimals = decimals_for((high - low) / 2)
    return _from_to(fixed(low, decimals), fixed(high, decimals))


def _from_to(low: str, high: str) -> str:
    return tell("{low} to {high}", low=low, high=high)


@register.filter
def roundly(span: Span) -> str:
    """Return the limits of what can be typed, to two decimals at most."""
    low, high = (
        in_readers_format(f"{round(end, 2) + 0.0:g}") for end in (span.low, span.high)
    )
    return _from_to(low.replace("-", MINUS), high)


@register.filter
def likelihood(probability: float) -> str:
    """Return a probability in percent, certainty never claimed."""
    if probability > _CERTAIN:
        return f"over {_CERTAIN:.0%}"
    return f"{probability:.0%}"


@register.filter
def chance(probability: float) -> str:
    """Return a probability in words."""
    return next(words for least, words in _CHANCES if probability >= least)


@register.filter
def step_named(stage: str) -> str:
    """Return where in the working a slip sits, in words."""
    return tell(_STAGES.get(stage, _SOME_STAGE))


@register.filter
def moment(at: datetime) -> str:
    """Return a moment as day and time of day, as the reader writes them."""
    return day_and_time(at)


@register.filter
def plain(value: float | None) -> str:
    """Return a number with the digits it has, as in "0.21" or "25"."""
    return "" if value is None else in_readers_format(_shortest(value))


def _shortest(value: float) -> str:
    return f"{value:.12g}"


@register.filter
def like(value: float, readings: Sequence[TypedReading]) -> str:
    """Return a reading with as many decimals as the longest of its table has."""
    digits = [_shortest(reading.value).partition(".")[2] for reading in readings]
    return fixed(value, max(map(len, digits), default=0))


@register.filter
def digits(value: float | None, places: int) -> str:
    """Return a number to so many significant digits; a dash where there is none."""
    return significant(value, places)


@register.filter
def percent(share: float, places: int) -> str:
    """Return a share in percent."""
    return f"{fixed(100 * share, places)} %"


@register.filter
def thousands(number: int) -> str:
    """Return a whole number with its thousands apart."""
    return spaced(number)


@register.filter
def in_words(number: int) -> str:
    """Return a small number as a word; for staff, in English."""
    return counted(number)


@register.filter
def delivered(name: str) -> str:
    """Return what a volume is delivered with, in words."""
    return tell(_DELIVERIES[name]) if name in _DELIVERIES else name


@register.filter
def role_named(role: str) -> str:
    """Return what a reagent is for; what the course has written stays as it is."""
    return tell(_ROLES[role]) if role in _ROLES else role
