"""A first look by medians: effects, scatter, and levels that a fault may have moved."""

from dataclasses import dataclass

import numpy as np

from results.science.arrays import BoolArray, FloatArray
from results.science.effects.design import Factor, level_medians
from results.science.robust import MAD_TO_SD

SWEEPS = 4
#: Medians fit their own rows too well, so that what is left over looks too small.
POLISH_FACTOR = 1.1
#: A level this many robust standard deviations off may carry a fault.
FAR = 6.0
#: A fault is coherent: so large a share of a level's rows lie within this many
#: standard deviations of their own median.  Blunders scatter.
COHERENT_SHARE, COHERENT_REACH = 0.65, 3.0
#: So many rows do not meet by accident; then half of the level is enough.
COHERENT_ROWS = 5
#: Standard error of a median over that of a mean, normal distribution, large samples.
MEDIAN_FACTOR = 1.2533
#: No more of a factor's levels than this share are taken for faulty at once: where
#: most differ, none stands out.
MOST_MOVED = 1.0 / 3.0


@dataclass(frozen=True, slots=True)
class Polish:
    """What medians say.

    Attributes
    ----------
    overall : float
    effects : list of array (L,)
        By factor.
    residual : array (N,)
    sigma : float
        Robust standard deviation of the residuals.
    """

    overall: float
    effects: list[FloatArray]
    residual: FloatArray
    sigma: float


def median_polish(y: FloatArray, factors: tuple[Factor, ...]) -> Polish:
    """Take medians out of the levels of one factor after another.

    J. W. Tukey, Exploratory Data Analysis (1977), here for rows instead of a table.
    """
    overall = float(np.median(y))
    residual = y - overall
    effects = [np.zeros(len(one)) for one in factors]
    for _ in range(SWEEPS):
        for place, one in enumerate(factors):
            step = level_medians(residual, one)
            residual = residual - step[one.codes]
            effects[place] = effects[place] + step
            shift = float(np.median(effects[place]))
            effects[place] -= shift
            overall += shift
    size = np.abs(residual)
    # Where most residuals are zero, their median says nothing.
    sigma = POLISH_FACTOR * MAD_TO_SD * float(np.median(size) or np.mean(size))
    return Polish(overall, effects, residual, sigma)


def moved_levels(
    polish: Polish, factors: tuple[Factor, ...], *, is_anchored: bool = False
) -> list[BoolArray]:
    """Mark the levels that a fault may have moved as a whole, by factor.

    Left shrunken, their rows would all be taken for blunders, and the fault would
    not be seen.

    Parameters
    ----------
    is_anchored : bool
        Whether usual levels lie near zero, so that of many that differ among
        themselves those far from zero are the faulty ones.
    """
    moved = []
    for one, effect in zip(factors, polish.effects, strict=True):
        own = MEDIAN_FACTOR * polish.sigma / np.sqrt(one.count)
        scale = np.maximum(MAD_TO_SD * np.median(np.abs(effect)), own)
        with np.errstate(invalid="ignore"):
            far = np.nan_to_num(np.abs(effect) / scale)
        chosen = (far > FAR) & _is_coherent(polish, one)
        # Of two declared levels one has to give way, or both would be set aside.
        most = max(int(MOST_MOVED * len(one)), int(one.declared_sd is not None))
        if np.sum(chosen) > most:
            size = np.abs(effect + polish.overall) if is_anchored else far
            keep = np.argsort(-np.where(chosen, size, 0.0), kind="stable")[:most]
            chosen = np.isin(np.arange(len(one)), keep)
        moved.append(chosen)
    return moved


def _is_coherent(polish: Polish, one: Factor) -> BoolArray:
    own = level_medians(polish.residual, one)
    near = np.abs(polish.residual - own[one.codes]) <= COHERENT_REACH * polish.sigma
    together = np.bincount(one.codes, near, len(one))
    most = together >= COHERENT_SHARE * one.count
    half = (2 * together >= one.count) & (together >= COHERENT_ROWS)
    return np.asarray(most | half)
