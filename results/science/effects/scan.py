"""Setting the levels free, one after another, that differ beyond chance.

A level that differs inflates the spread it is measured by, draws rows beside it along
and is itself drawn in.  So each candidate is tested only after it has been set free
and everything has been fitted again: against the spread of the others, by Student's t
with the degrees of freedom of that spread.  Nothing that is not told the spread can
name one level of many more sharply at the same rate of false flags (E. Paulson, Ann.
Math. Statist. 23, 1952, 610); with forty stations it takes 3.5 standard deviations
where 3.2 would do if the spread were known.  A spread that is known can be declared.
"""

import math

import numpy as np
from scipy.special import ndtri, stdtr

from results.science.arrays import BoolArray, FloatArray
from results.science.effects.discovery import two_sided
from results.science.effects.polish import MOST_MOVED
from results.science.effects.robust_fit import RobustFit
from results.science.effects.winsor import LOOSE
from results.science.robust import MAD_TO_SD

MOST_FREED = 8
#: Levels this many robust standard deviations off are suspects from the start, in
#: factors with so many levels that medians say what is usual.
SUSPECT, FEWEST_FOR_SUSPICION = 2.5, 8
#: Of many levels so many may be suspects by chance; then the bound is further out.
BY_CHANCE = 0.5
#: Levels less likely by chance than this are candidates: worth a fit of their own.
CANDIDATE = 0.5
_SWEEPS_AFTER = 4


def own_estimate(fit: RobustFit, place: int) -> tuple[FloatArray, FloatArray]:
    """Return what each level of a factor says itself, and its standard error.

    A prediction b with prediction error variance v, of a level whose spread is tau,
    was drawn towards zero from b / (1 - v / tau²), which has variance
    v / (1 - v / tau²).  Freed levels were not drawn.
    """
    state = fit.state
    spread_sq = state.spread[place] ** 2
    variance = state.variance[place]
    kept = np.clip(1.0 - variance / spread_sq, 1e-9, 1.0)
    kept = np.where(state.freed[place], 1.0, kept)
    return state.effect[place] / kept, np.sqrt(variance / kept)


def level_tests(fit: RobustFit, place: int) -> tuple[FloatArray, FloatArray]:
    """Compare each level with the others; distances in standard deviations, and p.

    The standard deviation is of spread and error together.  Where the spread is
    estimated, it is the others': a level's own share in it is taken out, as in
    F. E. Grubbs's test (Ann. Math. Statist. 21, 1950, 27) in its form with Student's
    t.  Freed levels have no share in it.  Degrees of freedom are those of the held
    levels, less what pulling in costs.
    """
    state, one = fit.state, fit.factors[place]
    own, error = own_estimate(fit, place)
    spread_sq = state.spread[place] ** 2
    if one.declared_sd is not None:
        z = own / np.sqrt(spread_sq + error**2)
        return z, two_sided(z)
    held = ~state.freed[place]
    n_held = int(np.sum(held))
    total = spread_sq + error**2
    pulled_in = np.minimum(own**2 / total, fit.cut.at**2) / fit.cut.mean_square
    share = (n_held - pulled_in) / max(n_held - 1, 1)
    of_others = np.where(held, share * total, total) - error**2
    least = fit.smallest_spread(place) ** 2
    z = own / np.sqrt(np.maximum(of_others, least) + error**2)
    df = np.maximum(fit.cut.efficiency * (n_held - 1 - held.astype(float)), 1.0)
    return z, np.asarray(2.0 * stdtr(df, -np.abs(z)))


def adjusted(p: FloatArray, tested: BoolArray, n_found: int) -> FloatArray:
    """Return probabilities as they count among many; 1 for levels not tested.

    Bonferroni's bound, shared by what was found before: the step of Y. Benjamini and
    Y. Hochberg, J. R. Stat. Soc. B 57 (1995) 289.
    """
    shared = p * np.sum(tested) / (1 + n_found)
    return np.where(tested, np.minimum(shared, 1.0), 1.0)


def scan(fit: RobustFit, *, q: float, fewest: int) -> None:
    """Free the levels that differ, over all factors.

    Backwards first: suspects are freed together, so that several faults do not hide
    one another, and the least significant held again, one after another, each tested
    as the most extreme of those left (B. Rosner, Technometrics 25, 1983, 165).  What
    remains is certain enough to judge the others without.  Then forwards: a candidate
    is freed, all is fitted again, and it stays free if it is significant then.

    Parameters
    ----------
    q : float
        False discovery rate allowed in each factor.
    fewest : int
        Levels with fewer rows are not tested.
    """
    _free_suspects(fit, fewest)
    fit.cut = LOOSE
    fit.sweep(_SWEEPS_AFTER)
    _hold_again(fit, q, fewest, is_shared=False)
    _free_candidates(fit, q, fewest)
    _hold_again(fit, q, fewest, is_shared=True)


def _free_suspects(fit: RobustFit, fewest: int) -> None:
    """Free levels that medians call far off.

    Whether they are to stay free is tested afterwards, against the levels held.
    """
    for place, one in enumerate(fit.factors):
        if one.declared_sd is not None or len(one) < FEWEST_FOR_SUSPICION:
            continue
        own, error = own_estimate(fit, place)
        scaled = np.abs(own) / np.hypot(fit.state.spread[place], error)
        far = scaled / max(MAD_TO_SD * float(np.median(scaled)), 1e-9)
        far = np.where(one.count >= fewest, far, 0.0)
        keep = np.argsort(-far, kind="stable")[: int(MOST_MOVED * len(one))]
        bound = max(SUSPECT, float(ndtri(1.0 - BY_CHANCE / 2.0 / len(one))))
        suspect = np.isin(np.arange(len(one)), keep) & (far > bound)
        fit.state.freed[place] |= suspect


def _free_candidates(fit: RobustFit, q: float, fewest: int) -> None:
    """Free the most significant level of all while it is significant once freed."""
    settled: set[int] = set()
    n_freed = 0
    while n_freed < MOST_FREED:
        best = _most_significant(fit, fewest, settled)
        if best is None or best[0] > CANDIDATE:
            break
        _, place, level = best
        before = fit.snapshot()
        fit.state.freed[place][level] = True
        fit.sweep(_SWEEPS_AFTER)
        if _p_of_freed(fit, place, fewest, is_shared=True)[level] > q:
            fit.state = before
            settled.add(place)
        else:
            # Without it, levels of other factors may stand out that did not before.
            settled.clear()
            n_freed += 1


def _p_of_freed(
    fit: RobustFit, place: int, fewest: int, *, is_shared: bool
) -> FloatArray:
    """Return adjusted probabilities, as of levels of which the last was just found."""
    n_before = max(int(np.sum(fit.state.freed[place])) - 1, 0) if is_shared else 0
    tested = fit.factors[place].count >= fewest
    return adjusted(level_tests(fit, place)[1], tested, n_before)


def _most_significant(
    fit: RobustFit, fewest: int, settled: set[int]
) -> tuple[float, int, int] | None:
    best = None
    for place in set(range(len(fit.factors))) - settled:
        freed = fit.state.freed[place]
        tested = fit.factors[place].count >= fewest
        p = adjusted(level_tests(fit, place)[1], tested, int(np.sum(freed)))
        p = np.where(freed, np.inf, p)
        level = int(np.argmin(p))
        if np.isfinite(p[level]) and (best is None or p[level] < best[0]):
            best = (float(p[level]), place, level)
    return best


def _hold_again(fit: RobustFit, q: float, fewest: int, *, is_shared: bool) -> None:
    """Hold freed levels that are not significant after all, the least so first.

    Of many a quarter at once, so that the time does not grow with their number.
    """
    while True:
        changed = False
        for place, freed in enumerate(fit.state.freed):
            p = _p_of_freed(fit, place, fewest, is_shared=is_shared)
            failing = np.flatnonzero(freed & (p > q))
            worst = failing[np.argsort(-p[failing], kind="stable")]
            freed[worst[: math.ceil(worst.size / 4)]] = False
            changed |= bool(worst.size)
        if not changed:
            return
        fit.sweep(_SWEEPS_AFTER)
