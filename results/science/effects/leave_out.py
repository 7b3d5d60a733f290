"""Whether a claim rests on one group, or on one level of another factor."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from results.science.arrays import FloatArray, IntArray
from results.science.effects.design import Factor
from results.science.effects.robust_fit import RobustFit


@dataclass(frozen=True, slots=True)
class LeftOut:
    """What is left of a level's effect when something is left out.

    Attributes
    ----------
    factor : str
        Of what was left out: the name of a factor, or "group".
    level : object
        The level left out; of a group its row among those fitted.
    effect, se : float
        Of the level then; NaN if nothing is left of it.
    """

    factor: str
    level: object
    effect: float
    se: float


def weakest(
    fit: RobustFit, place: int, level: int, rows: IntArray
) -> tuple[LeftOut, ...]:
    """Leave out each group, then each level of every other factor; tell the worst.

    Everything else in the fit stays as it is, which is exact for the level's own
    weighted mean and leaves out how the other effects would move.

    Parameters
    ----------
    level : int
        Place of the level in its factor.
    rows : array (N,)
        What to call the fitted rows.

    Returns
    -------
    tuple of LeftOut
        For groups, and for each other factor with more than one level here, the one
        without which least is left.
    """
    one = fit.factors[place]
    here = np.flatnonzero(one.codes == level)
    own = fit.residual()[here] + fit.state.effect[place][level]
    weight = fit.state.weight[here]
    found = [_weakest("group", rows[here], own, weight, fit.state.sigma)]
    for k, other in enumerate(fit.factors):
        if k != place and np.unique(other.codes[here]).size > 1:
            names = _names(other)[other.codes[here]]
            found.append(_weakest(other.name, names, own, weight, fit.state.sigma))
    return tuple(found)


def _names(one: Factor) -> NDArray[Any]:
    names = np.empty(len(one), dtype=object)
    names[:] = one.levels
    return names


def _weakest(
    factor: str,
    names: NDArray[Any],
    own: FloatArray,
    weight: FloatArray,
    sigma: float,
) -> LeftOut:
    levels, codes = np.unique(names, return_inverse=True)
    total, above = np.sum(weight), np.sum(weight * own)
    left = total - np.bincount(codes, weight)
    with np.errstate(all="ignore"):
        effect = (above - np.bincount(codes, weight * own)) / left
    # Nothing left is less than any effect.
    size = np.where(left > 0.0, effect * np.sign(above), -np.inf)
    worst = int(np.argmin(size))
    with np.errstate(all="ignore"):
        se = float(sigma / np.sqrt(left[worst]))
    if not left[worst] > 0.0:
        return LeftOut(factor, levels[worst], float("nan"), float("nan"))
    return LeftOut(factor, levels[worst], float(effect[worst]), se)
