"""Numbers as they are printed: a value and its uncertainty with matching digits."""

import math
import re

from results.policy.language import in_readers_format

_WORDS = (
    "none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine",
    "ten", "eleven", "twelve",
)  # fmt: skip
_MOST_DECIMALS = 8
MINUS = "−"
_RAISED = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")
# Atoms and brackets are counted behind; water of a hydrate is counted before it.
_COUNT = re.compile(r"(?<=[A-Za-z)])[0-9]+")
_LOWERED = str.maketrans("0123456789", "₀₁₂₃₄₅₆₇₈₉")


def decimals_for(uncertainty: float, significant: int = 2) -> int:
    """Return the decimals that show an uncertainty with two significant digits.

    Examples
    --------
    >>> decimals_for(0.0213), decimals_for(0.0996), decimals_for(31.0)
    (3, 2, 0)
    """
    if not (math.isfinite(uncertainty) and uncertainty > 0):
        return 2
    places = significant - 1 - math.floor(math.log10(uncertainty))
    # Rounding may carry into a new digit: 0.0996 is 0.10, not 0.100.
    rounded = round(uncertainty, places)
    places = significant - 1 - math.floor(math.log10(rounded))
    return min(max(places, 0), _MOST_DECIMALS)


def fixed(value: float, decimals: int) -> str:
    """Return a number with that many decimals and a real minus sign.

    Examples
    --------
    >>> fixed(-0.0312, 3)
    '−0.031'
    """
    text = f"{value:.{decimals}f}"
    if float(text) == 0:
        text = text.lstrip("-")
    return in_readers_format(text).replace("-", MINUS)


def with_uncertainty(value: float, uncertainty: float) -> str:
    """Return "value ± uncertainty", both to the uncertainty's last digit.

    Examples
    --------
    >>> with_uncertainty(12.0374, 0.2137)
    '12.04 ± 0.21'
    """
    decimals = decimals_for(uncertainty)
    return f"{fixed(value, decimals)} ± {fixed(uncertainty, decimals)}"


def significant(value: float | None, digits: int) -> str:
    """Return a number to so many significant digits, powers of ten written out.

    Examples
    --------
    >>> significant(0.0123456, 3), significant(6.59804e-06, 9), significant(-2.5, 9)
    ('0.0123', '6.59804 × 10⁻⁶', '−2.5')
    >>> significant(None, 3)
    '–'
    """
    if value is None:
        return "–"
    text = f"{value:.{digits}g}"
    if "e" in text:
        text, exponent = text.split("e")
        text += f" × 10{str(int(exponent)).translate(_RAISED)}"
    return in_readers_format(text).replace("-", MINUS)


def spaced(number: int) -> str:
    """Return a whole number with its thousands apart.

    Examples
    --------
    >>> spaced(100_000).split()
    ['100', '000']
    """
    return f"{number:,}".replace(",", "\N{NARROW NO-BREAK SPACE}")


def counted(number: int) -> str:
    """Return a small number as a word, a larger one in digits: for staff, in English.

    Examples
    --------
    >>> counted(3), counted(30)
    ('three', '30')
    """
    return _WORDS[number] if 0 <= number < len(_WORDS) else str(number)


def lowered(formula: str) -> str:
    """Return a chemical formula with its numbers lowered, but for numbers of parts.

    Examples
    --------
    >>> lowered("CH3COONa·3H2O")
    'CH₃COONa·3H₂O'
    """
    return _COUNT.sub(lambda count: count[0].translate(_LOWERED), formula)
