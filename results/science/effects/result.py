"""What is known of the levels of crossed factors."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Any

import numpy as np

from results.science.arrays import IntArray
from results.science.effects.leave_out import LeftOut
from results.science.effects.separable import Partner

#: Standard errors to either side of a 95 % interval.
REACH = 1.96


class Verdict(StrEnum):
    """What can be said of a level against the others."""

    DIFFERS = "differs"
    LIKE_THE_OTHERS = "like_the_others"
    TOO_FEW = "too_few"
    CANNOT_TELL = "cannot_tell"


class CannotSeparate(ValueError):
    """A contrast that the layout of the class does not allow.

    Attributes
    ----------
    factor : str
        Whose levels were to be compared.
    other : str
        The factor that could as well be the cause of any difference.
    """

    def __init__(self, factor: str, other: str) -> None:
        super().__init__(
            f"Cannot separate {factor} from {other}: no chain of {other}s links "
            f"these two {factor}s."
        )
        self.factor = factor
        self.other = other


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelEffect:
    """One level of a factor against the others, in the unit of the response.

    Attributes
    ----------
    n, n_set_aside : int
        Groups, and those among them that were given no weight.
    effect, se, low, high : float
        Drawn towards the others as far as chance and the usual spread ask for, unless
        it differs; with standard error and 95 % interval.
    own, own_se : float
        Not drawn towards the others.
    z, p_adjusted : float
        Distance in standard deviations of spread and error together; probability of
        one as large among so many levels.
    median, median_low, median_high, sd : float
        Plain median of the response, its 95 % interval and robust standard deviation
        within the level; NaN for fewer than five groups.
    partner_factor, partner_level : object
        The level of another factor that shares most groups; "" and None if there is
        no other factor.
    overlap : float
        How nearly both have the same groups, 0 to 1.
    left_out : tuple of LeftOut
        Of a level that differs, what is left of it without the group, section, ...
        that it rests on most.
    is_firm : bool
        Whether it would still differ then.
    """

    level: Any
    n: int
    n_set_aside: int
    effect: float
    se: float
    low: float
    high: float
    own: float
    own_se: float
    z: float
    p_adjusted: float
    median: float
    median_low: float
    median_high: float
    sd: float
    verdict: Verdict
    partner_factor: str
    partner_level: Any
    overlap: float
    left_out: tuple[LeftOut, ...] = ()
    is_firm: bool = False

    @property
    def n_kept(self) -> int:
        """Groups that were given weight."""
        return self.n - self.n_set_aside


@dataclass(frozen=True, slots=True)
class FactorEffects:
    """All levels of a factor.

    Attributes
    ----------
    spread : float
        Usual standard deviation between levels; the mean one where it is declared
        by level.
    is_declared : bool
        Whether the spread was declared, not estimated.
    levels : tuple of LevelEffect
        In ascending order of their labels.
    islands : dict of str to array of int (L,)
        For each other factor, which levels are linked by it.
    """

    name: str
    spread: float
    is_declared: bool
    levels: tuple[LevelEffect, ...]
    islands: dict[str, IntArray]

    def of(self, level: Any) -> LevelEffect:
        """Return one level.

        Raises
        ------
        KeyError
            There is no such level.
        """
        return self.levels[self._place(level)]

    def _place(self, level: Any) -> int:
        for place, one in enumerate(self.levels):
            if one.level == level:
                return place
        raise KeyError(level)

    def separated_by(self, first: Any, second: Any) -> str:
        """Name the factor that could as well cause a difference; empty if none."""
        a, b = self._place(first), self._place(second)
        return next(
            (k for k, label in self.islands.items() if label[a] != label[b]), ""
        )


@dataclass(frozen=True, slots=True)
class Contrast:
    """Difference of two levels, in the unit of the response, with 95 % interval."""

    effect: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class CrossedEffects:
    """A crossed model of N rows.

    Attributes
    ----------
    n : int
        Rows with a response.
    overall : float
        Where a usual row lies.
    sigma : float
        Standard deviation within levels.
    factors : dict of str to FactorEffects
        Those with two levels or more.
    set_aside : array of int
        Rows (of those handed in) that were given no weight.
    """

    n: int
    overall: float
    sigma: float
    factors: dict[str, FactorEffects]
    set_aside: IntArray

    def contrast(self, factor: str, first: Any, second: Any) -> Contrast:
        """Return by how much one level lies above another.

        The levels' errors are added as if independent; they are not quite, since
        both were compared with the same other levels, and the interval is a little
        too wide.

        Raises
        ------
        CannotSeparate
            If nothing links them but levels that would have to be alike.
        KeyError
            There is no such factor or level.
        """
        among = self.factors[factor]
        other = among.separated_by(first, second)
        if other:
            raise CannotSeparate(factor, other)
        a, b = among.of(first), among.of(second)
        effect, se = a.effect - b.effect, float(np.hypot(a.se, b.se))
        return Contrast(effect, effect - REACH * se, effect + REACH * se)


def partner_of(
    partner: Partner,
    names: tuple[str, ...],
    levels: tuple[tuple[Any, ...], ...],
    k: int,
) -> tuple[str, Any, float]:
    """Return the name, level and overlap of what shares most with level k."""
    other = int(partner.other[k])
    if other < 0:
        return "", None, 0.0
    return names[other], levels[other][partner.level[k]], float(partner.overlap[k])
