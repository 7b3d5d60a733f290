"""Whether the vials of a lot hold the same: ISO Guide 35 and ISO 13528, annex B."""

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import chdtri, fdtr, fdtri

from results.science.effects.one_way import one_way

#: Vials may differ by this share of the standard deviation of what is graded.
ALLOWED_SHARE = 0.3
_LEVEL = 0.05
#: A check that would miss too much scatter more often than this tells nothing.
ENOUGH_POWER = 0.8


class Sameness(StrEnum):
    """What a check of homogeneity comes to."""

    ENOUGH = "enough"
    WITHIN_CHANCE = "within chance"
    TOO_MUCH = "too much"
    TOO_FEW = "too few to tell"
    NO_SCATTER = "no scatter"


@dataclass(frozen=True, slots=True)
class Homogeneity:
    """Scatter between and within the vials of a lot, in the unit of the values.

    Attributes
    ----------
    n_per_vial : float
        Replicates of a vial; ISO Guide 35's n₀ where their numbers differ.
    s_between : float
        √((MS_between - MS_within) / n₀), zero where that is not above zero.
    u_hidden : float
        √(MS_within / n₀) (2 / ν)^¼, what the check could have missed.
    allowed, expanded_limit : float
        0.3 σ_pt, and what s_between stays below by chance if the vials are just
        within that.
    power : float
        Chance that the F-test at 5 % notices vials that differ by 0.3 σ_pt.
    """

    mean: float
    n_vials: int
    n_results: int
    n_per_vial: float
    ms_between: float
    ms_within: float
    df_between: int
    df_within: int
    f_ratio: float
    p_value: float
    s_between: float
    u_hidden: float
    allowed: float
    expanded_limit: float
    power: float

    @property
    def s_within(self) -> float:
        """Repeatability standard deviation."""
        return math.sqrt(self.ms_within)

    @property
    def u_between(self) -> float:
        """What differences between vials add to an assigned value's uncertainty."""
        return max(self.s_between, self.u_hidden)

    @property
    def sameness(self) -> Sameness:
        """What the check comes to."""
        if self.ms_between == self.ms_within == 0.0:
            return Sameness.NO_SCATTER
        if self.s_between > self.expanded_limit:
            return Sameness.TOO_MUCH
        if self.power < ENOUGH_POWER:
            return Sameness.TOO_FEW
        if self.s_between > self.allowed:
            return Sameness.WITHIN_CHANCE
        return Sameness.ENOUGH


def homogeneity(values: ArrayLike, vials: ArrayLike, sigma_pt: float) -> Homogeneity:
    """Check whether vials hold the same, from replicate assays of each.

    Parameters
    ----------
    values : array (n,)
    vials : array (n,)
        The vial of each value.
    sigma_pt : float
        Standard deviation for proficiency assessment, in the unit of the values:
        what the results of those who get the vials scatter by.

    Raises
    ------
    ValueError
        If there are fewer than two vials, or none with two values.

    Notes
    -----
    ISO Guide 35:2017, 7.7 (analysis of variance, s_bb and u'_bb, n₀ of unequal
    numbers); ISO 13528:2015, B.2.2 (0.3 σ_pt) and B.2.3 (F₁ (0.3 σ_pt)² + F₂ s_w²,
    with F₁ = χ²₀.₉₅ / (g - 1) and F₂ = (F₀.₉₅ - 1) / n); clauses from memory.

    Examples
    --------
    >>> found = homogeneity([12.0, 12.1, 12.0, 12.1], ["a", "a", "b", "b"], 0.3)
    >>> found.s_between, round(found.u_hidden, 3), str(found.sameness)
    (0.0, 0.05, 'too few to tell')
    """
    numbers = np.asarray(values, dtype=np.float64)
    _, counts = np.unique(np.asarray(vials), return_counts=True)
    found = one_way(numbers, vials)
    between = found.sum_squares_between / found.df_between
    within = found.sum_squares_within / found.df_within
    n0 = float((numbers.size - np.sum(counts**2) / numbers.size) / found.df_between)
    allowed = ALLOWED_SHARE * sigma_pt
    return Homogeneity(
        mean=float(np.mean(numbers)),
        n_vials=counts.size,
        n_results=numbers.size,
        n_per_vial=n0,
        ms_between=between,
        ms_within=within,
        df_between=found.df_between,
        df_within=found.df_within,
        f_ratio=found.f_ratio,
        p_value=found.p_value,
        s_between=math.sqrt(max((between - within) / n0, 0.0)),
        u_hidden=math.sqrt(within / n0) * (2.0 / found.df_within) ** 0.25,
        allowed=allowed,
        expanded_limit=_expanded_limit(
            allowed, within, n0, (found.df_between, found.df_within)
        ),
        power=_power(allowed, within, n0, (found.df_between, found.df_within)),
    )


def expansion_factors(df_between: int, df_within: int, n: float) -> tuple[float, float]:
    """Return F₁ and F₂ of the criterion that allows for chance (ISO 13528, B.2.3).

    Examples
    --------
    Ten vials in duplicate:

    >>> [round(one, 2) for one in expansion_factors(9, 10, 2)]
    [1.88, 1.01]
    """
    first = float(chdtri(df_between, _LEVEL)) / df_between
    second = (float(fdtri(df_between, df_within, 1.0 - _LEVEL)) - 1.0) / n
    return first, second


def _expanded_limit(
    allowed: float, within: float, n: float, df: tuple[int, int]
) -> float:
    first, second = expansion_factors(*df, n)
    return math.sqrt(first * allowed**2 + second * within)


def _power(allowed: float, within: float, n: float, df: tuple[int, int]) -> float:
    """Chance that vials which differ by what is allowed at most are noticed."""
    if within == 0.0:
        return 1.0
    limit = float(fdtri(*df, 1.0 - _LEVEL))
    return float(1.0 - fdtr(*df, limit / (1.0 + n * allowed**2 / within)))
