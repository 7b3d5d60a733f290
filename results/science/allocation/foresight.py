"""What a class will be able to tell, foreseen from its layout alone."""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import nctdtr, ndtr, ndtri, stdtrit

from results.science.allocation.information import (
    CLASS_SD,
    LOT_SD,
    RECOVERY_SD,
    SECTION_SD,
    SLOPE_SD,
    STATION_SD,
)
from results.science.arrays import BoolArray, FloatArray, IntArray
from results.science.effects.crossed import Q
from results.science.effects.design import Factor, factor
from results.science.effects.equations import Equations
from results.science.effects.plain import FEWEST
from results.science.effects.separable import SAME_ROWS, islands, partners

#: Share of groups that tell something: the others carry slips of their own.  Of those,
#: Tukey's weights keep 95 % of the information.
TELLING = 0.9 * 0.95
SPREADS = {"station": STATION_SD, "section": SECTION_SD, "lot": LOT_SD}
#: Lots' spread is declared by their assays, that of others is estimated.
_DECLARED = "lot"


@dataclass(frozen=True, slots=True)
class FamilyPower:
    """How surely a fault of one level of a factor would be found.

    Attributes
    ----------
    factor : str
    fault_percent : float
        Size of the fault, on top of what the level differs by itself.
    levels : tuple
        L labels in ascending order.
    count : array of int (L,)
        Groups of each.
    power : array (L,)
        Probability of finding it, 0 to 1; zero for levels of fewer than five groups,
        which are not tested, and for such as share nearly all groups with a level of
        another factor.
    """

    factor: str
    fault_percent: float
    levels: tuple[Any, ...]
    count: IntArray
    power: FloatArray

    @property
    def mean(self) -> float:
        """Mean over the levels: where a fault is, nobody knows."""
        return float(np.mean(self.power)) if self.power.size else 0.0

    @property
    def weakest(self) -> int:
        """Place of the level at which a fault is most easily missed."""
        return int(np.argmin(self.power))


@dataclass(frozen=True, slots=True)
class FactorForesight:
    """Which differences of a factor's levels can be estimated.

    Attributes
    ----------
    factor : str
    n_levels, n_contrasts : int
        Levels, and independent differences between them that can be estimated when
        nothing is known of the other factors; one fewer than levels if all.
    islands : dict of str to list of tuple
        By other factor, the sets of levels that no chain of its levels links, where
        there is more than one.
    """

    factor: str
    n_levels: int
    n_contrasts: int
    islands: dict[str, list[tuple[Any, ...]]]

    @property
    def is_whole(self) -> bool:
        """Whether every difference can be estimated."""
        return self.n_contrasts == max(self.n_levels - 1, 0)


@dataclass(frozen=True, slots=True)
class Foresight:
    """Estimability and power, by factor."""

    estimable: dict[str, FactorForesight]
    power: dict[str, FamilyPower]


def foresee(
    labels: Mapping[str, ArrayLike], faults_percent: Mapping[str, float]
) -> Foresight:
    """Foresee what a layout of N groups will tell.

    Stations are compared by their slopes, in a model of stations and sections; lots
    and sections by recoveries, in a model of all three.

    Parameters
    ----------
    labels : mapping of "station", "section", "lot" to array (N,)
    faults_percent : mapping of the same to float

    Notes
    -----
    With the variance v of prediction error from the inverse of Henderson's equations
    (`effects.equations`), a level's own estimate has variance e² = v / (1 - v / tau²);
    a fault d stands out by d / sqrt(tau² + e²) standard deviations.  It is found when
    that exceeds the two-sided bound at Q over the number of levels tested: of a normal
    deviate for lots, whose spread is declared, and for the others of Student's t with
    L - 2 degrees of freedom, as `effects.scan` compares a level with the spread of the
    others; then its power is that of the noncentral t distribution (N. L. Johnson and
    B. L. Welch, Biometrika 31, 1940, 362).
    """
    factors = {name: factor(name, column) for name, column in labels.items()}
    recovery = tuple(factors.values())
    slope = tuple(one for one in recovery if one.name != _DECLARED)
    models = {"station": (slope, SLOPE_SD)}
    return Foresight(
        estimable={
            one.name: _estimable(one, models.get(one.name, (recovery, 0.0))[0])
            for one in recovery
        },
        power={
            one.name: _power(
                one,
                *models.get(one.name, (recovery, RECOVERY_SD)),
                faults_percent[one.name],
            )
            for one in recovery
        },
    )


def _estimable(one: Factor, factors: tuple[Factor, ...]) -> FactorForesight:
    others = tuple(other for other in factors if other is not one)
    apart = {}
    for other in others:
        label = islands(one, other)
        if label.size and label.max() > 0:
            apart[other.name] = [
                tuple(one.levels[k] for k in np.flatnonzero(label == n).tolist())
                for n in range(int(label.max()) + 1)
            ]
    return FactorForesight(one.name, len(one), _contrasts(one, others), apart)


def _contrasts(one: Factor, others: tuple[Factor, ...]) -> int:
    """Return the rank of a factor's information, all others being unknown.

    The reduced normal equations of a block design: S. R. Searle, Linear Models for
    Unbalanced Data, 1987, chapter 5.
    """
    if len(one) < 2:
        return 0
    n = one.codes.size
    ends = np.cumsum([1, *(len(other) for other in others)])
    rest = np.zeros((n, int(ends[-1])))
    rest[:, 0] = 1.0
    for (start, _), other in zip(pairwise(ends.tolist()), others, strict=True):
        rest[np.arange(n), start + other.codes] = 1.0
    own = np.zeros((n, len(one)))
    own[np.arange(n), one.codes] = 1.0
    cross = rest.T @ own
    reduced = own.T @ own - cross.T @ np.linalg.pinv(rest.T @ rest) @ cross
    return int(np.linalg.matrix_rank(reduced, tol=1e-8 * n, hermitian=True))


def _power(
    one: Factor, factors: tuple[Factor, ...], sigma: float, fault_percent: float
) -> FamilyPower:
    spread_sq = SPREADS[one.name] ** 2
    error_sq = _own_variance(one, factors, sigma)
    # Found on its own side only; on the other it would be blamed on the wrong thing.
    stands_out = abs(fault_percent) / np.sqrt(spread_sq + error_sq)
    tested = (one.count >= FEWEST) & ~_is_aliased(one, factors)
    tail = Q / (2.0 * max(int(np.sum(one.count >= FEWEST)), 1))
    if one.name == _DECLARED:
        bound = -ndtri(tail)
        found = ndtr(stands_out - bound)
    else:
        df = max(len(one) - 2, 1)
        found = 1.0 - nctdtr(df, stands_out, stdtrit(df, 1.0 - tail))
    return FamilyPower(
        one.name,
        fault_percent,
        one.levels,
        one.count,
        np.where(tested, np.clip(found, 0.0, 1.0), 0.0),
    )


def _own_variance(one: Factor, factors: tuple[Factor, ...], sigma: float) -> FloatArray:
    """Return the variance of what each level will say itself, in percent², (L,)."""
    weight = np.full(one.codes.size, TELLING / sigma**2)
    spreads = [np.full(len(each), SPREADS[each.name] ** -2) for each in factors]
    # Slopes lie anywhere; recoveries lie about one, as far as a class is usually off.
    has_lots = any(each.name == _DECLARED for each in factors)
    precision = np.concatenate([*spreads, [CLASS_SD**-2 if has_lots else 0.0]])
    solved = Equations(factors).solve(weight, np.zeros(one.codes.size), precision)
    start = sum(len(each) for each in factors[: factors.index(one)])
    variance = solved.variance[start : start + len(one)]
    kept = np.clip(1.0 - variance / SPREADS[one.name] ** 2, 1e-9, 1.0)
    return np.asarray(variance / kept)


def _is_aliased(one: Factor, factors: tuple[Factor, ...]) -> BoolArray:
    place = factors.index(one)
    return np.asarray(partners(factors, place).overlap >= SAME_ROWS)
