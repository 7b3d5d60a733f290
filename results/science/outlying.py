"""Whether one of some replicates lies too far out to be one of them."""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import stdtrit

#: ISO 5725-2: beyond the first limit a straggler, beyond the second an outlier.
STRAGGLER_LEVEL, OUTLIER_LEVEL = 0.05, 0.01


class Standing(StrEnum):
    """How far out the furthest replicate lies, in the standard's words."""

    USUAL = "usual"
    STRAGGLER = "straggler"
    OUTLIER = "outlier"


@dataclass(frozen=True, slots=True)
class Furthest:
    """The replicate that is furthest from the mean.

    Attributes
    ----------
    place : int
        Its place among the values.
    statistic : float
        Its distance from the mean in standard deviations.
    straggler_limit, outlier_limit : float
        What the distance exceeds by chance in 5 % and in 1 % of cases.
    """

    place: int
    statistic: float
    straggler_limit: float
    outlier_limit: float

    @property
    def standing(self) -> Standing:
        """What the distance says."""
        if self.statistic > self.outlier_limit:
            return Standing.OUTLIER
        if self.statistic > self.straggler_limit:
            return Standing.STRAGGLER
        return Standing.USUAL


def furthest_out(values: ArrayLike) -> Furthest | None:
    """Look at the replicate furthest out by Grubbs' test, ISO 5725-2.

    Parameters
    ----------
    values : array (n,)

    Returns
    -------
    Furthest or None
        None where nothing can be said: fewer than three values, or all equal.

    Examples
    --------
    >>> found = furthest_out([12.01, 12.03, 12.02, 12.02, 12.31])
    >>> found.place, round(found.statistic, 3), str(found.standing)
    (4, 1.786, 'outlier')
    """
    numbers = np.asarray(values, dtype=np.float64)
    if numbers.size < 3 or np.ptp(numbers) == 0.0:
        return None
    distance = np.abs(numbers - np.mean(numbers)) / np.std(numbers, ddof=1)
    place = int(np.argmax(distance))
    return Furthest(
        place,
        float(distance[place]),
        grubbs_limit(numbers.size, STRAGGLER_LEVEL),
        grubbs_limit(numbers.size, OUTLIER_LEVEL),
    )


def grubbs_limit(n: int, level: float) -> float:
    """Return what the furthest of n values exceeds by chance, either way.

    Parameters
    ----------
    n : int
        Number of values, at least three.
    level : float
        Share of cases: 0.05 or 0.01 in ISO 5725-2.

    Raises
    ------
    ValueError
        If there are fewer than three values.

    Notes
    -----
    From Student's t on n - 2 degrees of freedom at level / (2 n): F. E. Grubbs,
    Technometrics 11 (1969) 1.

    Examples
    --------
    >>> round(grubbs_limit(5, 0.05), 3)
    1.715
    """
    if n < 3:
        message = "Grubbs' test needs at least three values."
        raise ValueError(message)
    t = float(stdtrit(n - 2, 1.0 - level / (2 * n)))
    return float((n - 1) / np.sqrt(n) * np.sqrt(t * t / (n - 2 + t * t)))
