"""A value whose standard uncertainty is put together from named parts."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from results.science.student import two_sided_95


@dataclass(frozen=True, slots=True)
class Component:
    """One part of a standard uncertainty, in the unit of the value.

    Attributes
    ----------
    df : float
        Degrees of freedom; infinite where it was not estimated from scatter.
    """

    name: str
    u: float
    df: float = math.inf


@dataclass(frozen=True, slots=True)
class Estimated:
    """A value with its combined standard uncertainty.

    Attributes
    ----------
    u, df : float
        Combined standard uncertainty and its effective degrees of freedom; NaN
        where a part is not known.
    k, expanded : float
        Student's t for 95 %, and the interval's half width.
    components : tuple of Component
    """

    value: float
    u: float
    df: float
    k: float
    expanded: float
    components: tuple[Component, ...]

    @property
    def u_for_two(self) -> float:
        """The standard uncertainty of which twice covers 95 %, never below u.

        Whoever uses an assigned value takes k = 2; with few degrees of freedom
        that would claim too much.
        """
        return max(self.u, self.expanded / 2.0) if self.is_known else math.nan

    @property
    def is_known(self) -> bool:
        """Whether every part of the uncertainty is known."""
        return math.isfinite(self.u)


def combined(value: float, components: Iterable[Component]) -> Estimated:
    """Put a standard uncertainty together from independent parts.

    Notes
    -----
    JCGM 100:2008: u² is the sum of squares (5.1.2), its degrees of freedom those of
    Welch and Satterthwaite (G.4.1), k Student's t for 95 % (G.3).

    Examples
    --------
    >>> parts = [Component("scatter", 0.03, 3), Component("titrant", 0.04)]
    >>> found = combined(12.0, parts)
    >>> round(found.u, 3), round(found.df, 1), round(found.k, 2)
    (0.05, 23.1, 2.07)
    """
    parts = tuple(components)
    variance = sum(part.u**2 for part in parts)
    fourths = sum(part.u**4 / part.df for part in parts)
    # What was not estimated from scatter has degrees of freedom without end.
    df = variance**2 / fourths if fourths != 0.0 else math.inf
    k = float(two_sided_95(np.minimum(1.0 / np.asarray(df), 1.0)))
    u = math.sqrt(variance)
    return Estimated(value, u, df, k, k * u, parts)
