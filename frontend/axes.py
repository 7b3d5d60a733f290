"""Round numbers along an axis, and columns that stand on one."""

import math
from dataclasses import dataclass

from results.policy.language import in_readers_format

_STEPS = (1, 2, 2.5, 5, 10)


@dataclass(frozen=True, slots=True)
class Tick:
    """One labelled place on an axis."""

    at: float
    text: str


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a histogram, from its upper left corner."""

    x: float
    y: float
    width: float
    height: float


def tick(at: float, value: float) -> Tick:
    """Label a place with the number that it stands for."""
    return Tick(at, in_readers_format(f"{value:g}"))


def ticks(low: float, high: float, most: int = 5) -> tuple[float, ...]:
    """Return round numbers between two ends, few enough to be read.

    Examples
    --------
    >>> ticks(0, 4.4)
    (0.0, 1.0, 2.0, 3.0, 4.0)
    """
    if not high > low:
        return (low,)
    power = 10.0 ** math.floor(math.log10((high - low) / most))
    step = next(s * power for s in _STEPS if (high - low) / (s * power) <= most)
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return tuple(round(step * i, 10) + 0.0 for i in range(first, last + 1))
