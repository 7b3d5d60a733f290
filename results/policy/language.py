"""Sentences in the reader's language, and numbers in the format that it has.

In the code every sentence stands in English, whole, with named placeholders; it is
translated when it is read. What is stored is a code and its numbers, never a
sentence, so that two people can read one finding in two languages.

The room that knows the framework binds a `Speech` at the start; until then, and
wherever nothing is translated, sentences are said as they stand.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from string import Formatter
from typing import Any


def _as_it_stands(sentence: str) -> str:
    return sentence


def _as_they_stand(one: str, many: str, count: int) -> str:
    return one if count == 1 else many


def _point() -> str:
    return "."


def _universal(at: datetime) -> str:
    return f"{at:%d %B, %H:%M}"


@dataclass(frozen=True, slots=True)
class Speech:
    """How things are said to whoever reads at this moment.

    Attributes
    ----------
    translate : callable
        A sentence in English to the same in the reader's language.
    translate_counted : callable
        The sentence for one, the sentence for several, and how many there are, to
        the sentence that fits.
    decimal_sign : callable
        What stands before the decimals.
    moment : callable
        A moment to its day and time of day, where the site is.
    """

    translate: Callable[[str], str] = _as_it_stands
    translate_counted: Callable[[str, str, int], str] = _as_they_stand
    decimal_sign: Callable[[], str] = _point
    moment: Callable[[datetime], str] = _universal


class _InForce:
    speech = Speech()


def speak(speech: Speech) -> None:
    """Say everything from now on in this way."""
    _InForce.speech = speech


def marked(sentence: str) -> str:
    """Return a sentence that is translated only when it is told.

    For sentences that stand in tables; collecting the words finds them by this
    name.
    """
    return sentence


# Translators: a day and a time of day, in the letters of Django's date filter.
DAY_AND_TIME = marked("j F, H:i")


def tell(sentence: str, /, **values: Any) -> str:
    """Return a sentence in the reader's language, its placeholders filled.

    Examples
    --------
    >>> tell("{mass_g:g} g went into {flask}.", mass_g=0.21, flask="flask 2")
    '0.21 g went into flask 2.'
    """
    # An empty text has a meaning of its own in catalogues of words.
    translated = _InForce.speech.translate(sentence) if sentence else ""
    return _FILLING.vformat(translated, (), values)


def tell_counted(one: str, many: str, /, *, n: int, **values: Any) -> str:
    """Return the sentence that fits a number of things, filled; `n` is given to it.

    Examples
    --------
    >>> tell_counted("One tube.", "{n} tubes.", n=3)
    '3 tubes.'
    """
    translated = _InForce.speech.translate_counted(one, many, n)
    return _FILLING.vformat(translated, (), {**values, "n": n})


def in_readers_format(digits: str) -> str:
    """Return a number that was written with a point as the reader writes it."""
    return digits.replace(".", _InForce.speech.decimal_sign())


def day_and_time(at: datetime) -> str:
    """Return a moment as its day and time of day."""
    return _InForce.speech.moment(at)


class _Filling(Formatter):
    """Fills placeholders; a number gets the reader's decimal sign."""

    def format_field(self, value: Any, format_spec: str) -> str:
        """Return one value as it is written."""
        written = str(super().format_field(value, format_spec))
        return in_readers_format(written) if isinstance(value, float) else written


_FILLING = _Filling()
