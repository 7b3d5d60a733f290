"""How well the middle of some numbers is known."""

import math
from dataclasses import dataclass
from functools import lru_cache

from scipy import stats

from results.summaries.spread import Spread

# Large-sample ratio of the median's standard error to the mean's, for normal
# values: the square root of pi / 2.
_MEDIAN_TO_MEAN = math.sqrt(math.pi / 2)
_CONFIDENCE = 0.95


@dataclass(frozen=True, slots=True)
class Interval:
    """A 95 % interval."""

    low: float
    high: float


def median_interval(spread: Spread | None) -> Interval | None:
    """Return the 95 % interval of a median; None where there is no claim.

    The robust standard deviation stands in for the standard deviation of normal
    values; Student's t because a section has a dozen groups, not hundreds.

    Examples
    --------
    >>> interval = median_interval(Spread(n=12, median=1.0, sd=0.02))
    >>> round(interval.low, 4), round(interval.high, 4)
    (0.9841, 1.0159)
    """
    if spread is None or spread.sd is None:
        return None
    half = _student_t(spread.n - 1) * _MEDIAN_TO_MEAN * spread.sd / math.sqrt(spread.n)
    return Interval(spread.median - half, spread.median + half)


# Sections come in a few sizes; the quantile takes longer than all else here.
@lru_cache(maxsize=256)
def _student_t(df: int) -> float:
    return float(stats.t.ppf((1 + _CONFIDENCE) / 2, df))
