"""What those find in a class who know more than its readings say.

The first knows every variance and which groups blundered. The second knows the
blunders, the scatter and the faulty levels, but has to learn from the other levels how
much levels usually differ: nobody who is not told that finds more at the same rate of
false flags (E. Paulson, Ann. Math. Statist. 23, 1952, 610: the level furthest off, by
Student's ratio, is the best decision).
"""

import numpy as np
from scipy.special import stdtr

from results.science.effects.design import factors_of
from results.science.effects.discovery import two_sided
from results.science.effects.small import equations_of
from tests.exam.crossed import LOT_SD, SPREAD, Q

FREE_SD, SWEEPS = 100.0, 25


class _Clean:
    """The equations of a class without its blunders, and true scatter."""

    def __init__(self, drawn):
        keep = ~drawn.blundered
        self.factors = factors_of(drawn.labels, keep, {"lot": LOT_SD})
        self._equations = equations_of(self.factors)
        self._y, self._weight = (
            drawn.y[keep],
            np.full(int(keep.sum()), drawn.sigma**-2.0),
        )
        self._ends = np.cumsum([len(one) for one in self.factors])[:-1]

    def solve(self, spread, freed):
        """Return effects and prediction error variances by factor."""
        precision = [
            np.where(free, FREE_SD, sd) ** -2.0
            for free, sd in zip(freed, spread, strict=True)
        ]
        solved = self._equations.solve(
            self._weight, self._y, np.concatenate([*precision, [0.0]])
        )
        return (
            np.split(solved.effect[:-1], self._ends),
            np.split(solved.variance[:-1], self._ends),
        )


def limit_finds(drawn):
    """Levels found by who knows all variances and which groups blundered."""
    clean = _Clean(drawn)
    factors = clean.factors
    spread = [np.full(len(one), SPREAD[one.name]) for one in factors]
    freed = [np.zeros(len(one), dtype=bool) for one in factors]
    while True:
        best = min(_candidates(factors, freed, spread, *clean.solve(spread, freed)))
        if best[0] > Q:
            return {
                one.name: set(np.array(one.levels)[free].tolist())
                for one, free in zip(factors, freed, strict=True)
            }
        freed[best[1]][best[2]] = True


def _candidates(factors, freed, spread, effects, variances):
    for place, one in enumerate(factors):
        free, tau_sq = freed[place], spread[place] ** 2
        z = effects[place] / np.sqrt(np.maximum(tau_sq - variances[place], 1e-16))
        p = two_sided(z) * len(one) / (1 + free.sum())
        p = np.where(free, np.inf, p)
        yield float(p.min()), place, int(p.argmin())


def untold_finds(drawn):
    """Faulty levels found by who knows all but the spreads, by factor."""
    clean = _Clean(drawn)
    factors = clean.factors
    freed = [np.isin(one.levels, list(drawn.faulty[one.name])) for one in factors]
    spread = [np.full(len(one), SPREAD[one.name]) for one in factors]
    effects, variances = clean.solve(spread, freed)
    for _ in range(SWEEPS):
        for place, one in enumerate(factors):
            if one.declared_sd is None:
                spread[place] = _likeliest(
                    spread[place], ~freed[place], effects[place], variances[place]
                )
        effects, variances = clean.solve(spread, freed)
    found = {}
    for place, one in enumerate(factors):
        z = effects[place] / np.sqrt(spread[place] ** 2 + variances[place])
        df = np.inf if one.declared_sd is not None else np.sum(~freed[place]) - 1.0
        p = two_sided(z) if np.isinf(df) else 2.0 * stdtr(df, -np.abs(z))
        allowed = Q * max(freed[place].sum(), 1) / len(one)
        chosen = freed[place] & (p <= allowed)
        found[one.name] = set(np.array(one.levels)[chosen].tolist())
    return found


def _likeliest(spread, held, effect, variance):
    """One step towards restricted maximum likelihood (R. Schall, 1991)."""
    tau_sq = spread[0] ** 2
    told = np.sum(1.0 - variance[held] / tau_sq)
    return np.full(spread.shape, np.sqrt(np.sum(effect[held] ** 2) / max(told, 1e-6)))
