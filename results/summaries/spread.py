"""Middle and spread of some numbers, with how many there are."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from statistics import median

# Fewer values than this carry no claim.
FEWEST_FOR_A_CLAIM = 5
# Scale of the median absolute deviation to a normal standard deviation.
_MAD_TO_SD = 1.4826


@dataclass(frozen=True, slots=True)
class Spread:
    """Median and robust spread of n values.

    Attributes
    ----------
    sd : float or None
        1.4826 times the median absolute deviation; None for fewer than five
        values, which carry no claim.
    """

    n: int
    median: float
    sd: float | None


def spread_of(values: Iterable[float]) -> Spread | None:
    """Return the spread of some values; None if there are none.

    Examples
    --------
    >>> spread_of([1.0, 2.0, 3.0, 4.0, 100.0])
    Spread(n=5, median=3.0, sd=1.4826)
    """
    # Sections are small and many: sorting a dozen values takes no array.
    present = [value for value in values if math.isfinite(value)]
    if not present:
        return None
    middle = median(present)
    sd = None
    if len(present) >= FEWEST_FOR_A_CLAIM:
        sd = _MAD_TO_SD * median([abs(value - middle) for value in present])
    return Spread(n=len(present), median=middle, sd=sd)
