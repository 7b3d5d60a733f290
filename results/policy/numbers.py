"""Numbers as people type them: with a point or a comma, never with both."""

import math
import re

from results.policy.language import tell

_NUMBER = re.compile(
    r"[+-]?(\d+([.,]\d*)?|[.,]\d+)(e[+-]?\d{1,3})?", re.IGNORECASE | re.ASCII
)
_MINUS = str.maketrans({"−": "-", "–": "-", "\u00a0": "", "\u202f": ""})
# Longer than any meter or balance shows; a longer text is something else.
_LONGEST = 30


class NotANumber(ValueError):
    """What was typed cannot be read as one number; the message says why."""


def normalise(typed: str) -> str:
    """Return the typed number with a point, its digits untouched.

    Raises
    ------
    NotANumber
        The text is not one number, or could be read in two ways.

    Examples
    --------
    >>> normalise(" 0,2104 ")
    '0.2104'
    """
    text = typed.translate(_MINUS).strip()
    if len(text) > _LONGEST:
        message = tell(
            "“{typed}…” is longer than any reading. Type the number only.",
            typed=text[:12],
        )
        raise NotANumber(message)
    if "," in text and "." in text:
        message = tell(
            "“{typed}” has a comma and a point. Use one, for the decimals.", typed=text
        )
        raise NotANumber(message)
    if not _NUMBER.fullmatch(text):
        message = tell(
            "“{typed}” is not a number. Type digits and one comma or point.", typed=text
        )
        raise NotANumber(message)
    return text.replace(",", ".")


def read_number(typed: str | float) -> float:
    """Return the number that was typed.

    Raises
    ------
    NotANumber
        As `normalise`; also when the number is not finite.

    Examples
    --------
    >>> read_number("43,5")
    43.5
    """
    if isinstance(typed, bool):
        message = tell("A number is expected here, not true or false.")
        raise NotANumber(message)
    number = float(normalise(typed)) if isinstance(typed, str) else float(typed)
    if not math.isfinite(number):
        message = tell("The number is not finite. Type the value that was read.")
        raise NotANumber(message)
    return number
