"""The numbers a group reports, with the digits it typed."""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, fields
from functools import cache

import numpy as np

from results.science.arrays import FloatArray, IntArray

_NONE = (math.nan, math.nan)
_NUMBER = re.compile(r"([+-]?)(\d*)(?:\.(\d*))?(?:[eE]([+-]?\d{1,3}))?")


@dataclass(frozen=True, slots=True)
class ReportedValues:
    """One group's own numbers as typed; an empty text is a number not reported.

    Attributes
    ----------
    slope : str
        Absorbance per mg/L.
    intercept : str
        Absorbance.
    unknown_mg_L : str
        Concentration of the unknown in the tube that was read.
    iron_percent : str
        Iron content of the unknown, percent of mass.
    iron_mg : str
        Mass of iron in the first flask of the unknown; optional.
    """

    slope: str = ""
    intercept: str = ""
    unknown_mg_L: str = ""
    iron_percent: str = ""
    iron_mg: str = ""


@dataclass(frozen=True, slots=True)
class Digits:
    """Numbers of N groups (NaN if not reported) and half a unit of the last place."""

    value: FloatArray
    half: FloatArray

    def rows(self, chosen: IntArray) -> "Digits":
        """Return some of the groups."""
        return Digits(self.value[chosen], self.half[chosen])


NAMES = tuple(field.name for field in fields(ReportedValues))


def read_digits(typed: str) -> tuple[float, float]:
    """Return a typed number and half a unit of its last place; NaN if there is none.

    Trailing zeros of a whole number may be there only to hold the place, so they do
    not count as places.

    Examples
    --------
    >>> read_digits("0.2040"), read_digits("1,5e3"), read_digits("1200")
    ((0.204, 5e-05), (1500.0, 50.0), (1200.0, 50.0))
    >>> read_digits("none")
    (nan, nan)
    """
    if not typed:
        return _NONE
    text, match = typed, _NUMBER.fullmatch(typed)
    if match is None:
        text = typed.strip().replace(",", ".").replace("−", "-").rstrip("%").strip()
        match = _NUMBER.fullmatch(text)
    if match is None or not (match[2] or match[3]):
        return _NONE
    whole, decimals, power = match[2] or "", match[3], int(match[4] or 0)
    place = -len(decimals or "")
    if decimals is None and len(whole) > 1:
        place = min(len(whole) - len(whole.rstrip("0")), len(whole) - 1)
    return float(text), _five(place - 1 + power)


@cache
def _five(power: int) -> float:
    """Five times a power of ten: less exact if not read from text."""
    return float(f"5e{power}")


def lay_out(reported: Sequence[ReportedValues]) -> dict[str, Digits]:
    """Turn the typed numbers of N groups into arrays, by name."""
    found = {}
    for name in NAMES:
        read = [read_digits(getattr(one, name)) for one in reported]
        pairs = np.array(read, dtype=np.float64).reshape(len(reported), 2)
        found[name] = Digits(pairs[:, 0].copy(), pairs[:, 1].copy())
    return found
