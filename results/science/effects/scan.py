"""Setting the levels free, one after another, that differ beyond chance."""

import numpy as np
from scipy.special import stdtr

from results.science.arrays import BoolArray, FloatArray
from results.science.effects.discovery import two_sided
from results.science.effects.polish import MOST_MOVED
from results.science.effects.robust_fit import (
    WINSORISED,
    WINSORISED_VARIANCE,
    RobustFit,
)
from results.science.robust import MAD_TO_SD

MOST_FREED = 8
#: Levels this many robust standard deviations off are suspects from the start, in
#: factors with so many levels that medians say what is usual.
SUSPECT, FEWEST_FOR_SUSPICION = 3.5, 8
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
    t.  Freed levels have no share in it.
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
    pulled_in = np.minimum(own**2 / total, WINSORISED**2) / WINSORISED_VARIANCE
    share = (n_held - pulled_in) / max(n_held - 1, 1)
    of_others = np.where(held, share * total, total) - error**2
    least = fit.smallest_spread(place) ** 2
    z = own / np.sqrt(np.maximum(of_others, least) + error**2)
    df = np.maximum(n_held - 1 - held.astype(float), 1.0)
    return z, np.asarray(2.0 * stdtr(df, -np.abs(z)))


def adjusted(p: FloatArray, tested: BoolArray, n_found: int) -> FloatArray:
    """Return probabilities as they count among many; 1 for levels not tested.

    Bonferroni's bound, shared by what was found before: the step of Y. Benjamini and
    Y. Hochberg, J. R. Stat. Soc. B 57 (1995) 289.
    """
    shared = p * np.sum(tested) / (1 + n_found)
    return np.where(tested, np.minimum(shared, 1.0), 1.0)


def scan(fit: RobustFit, *, q: float, fewest: int) -> None:
    """Free the most significant level over all factors until none is left.

    A fault that is not freed draws rows and levels beside it along (swamping); once
    it is freed, they fall back.  At the end, levels no longer significant are held
    again.

    Parameters
    ----------
    q : float
        False discovery rate allowed in each factor.
    fewest : int
        Levels with fewer rows are not tested.
    """
    if _free_suspects(fit, fewest):
        fit.sweep(_SWEEPS_AFTER)
        if _hold_again(fit, q, fewest):
            fit.sweep(_SWEEPS_AFTER)
    for _ in range(MOST_FREED):
        best = _most_significant(fit, fewest)
        if best is None or best[0] > q:
            break
        _, place, level = best
        fit.state.freed[place][level] = True
        fit.sweep(_SWEEPS_AFTER)
    if _hold_again(fit, q, fewest):
        fit.sweep(_SWEEPS_AFTER)


def _free_suspects(fit: RobustFit, fewest: int) -> bool:
    """Free levels that medians call far off; several faults would hide each other.

    Whether they are to stay free is tested afterwards, against the levels held.
    """
    changed = False
    for place, one in enumerate(fit.factors):
        if one.declared_sd is not None or len(one) < FEWEST_FOR_SUSPICION:
            continue
        own, error = own_estimate(fit, place)
        scaled = np.abs(own) / np.hypot(fit.state.spread[place], error)
        far = scaled / max(MAD_TO_SD * float(np.median(scaled)), 1e-9)
        far = np.where(one.count >= fewest, far, 0.0)
        keep = np.argsort(-far, kind="stable")[: int(MOST_MOVED * len(one))]
        suspect = np.isin(np.arange(len(one)), keep) & (far > SUSPECT)
        changed |= bool(np.any(suspect & ~fit.state.freed[place]))
        fit.state.freed[place] |= suspect
    return changed


def _most_significant(fit: RobustFit, fewest: int) -> tuple[float, int, int] | None:
    best = None
    for place, one in enumerate(fit.factors):
        freed = fit.state.freed[place]
        tested = one.count >= fewest
        p = adjusted(level_tests(fit, place)[1], tested, int(np.sum(freed)))
        p = np.where(freed, np.inf, p)
        level = int(np.argmin(p))
        if np.isfinite(p[level]) and (best is None or p[level] < best[0]):
            best = (float(p[level]), place, level)
    return best


def _hold_again(fit: RobustFit, q: float, fewest: int) -> bool:
    """Hold freed levels that are not significant after all; whether there were any."""
    changed = False
    for place, one in enumerate(fit.factors):
        freed = fit.state.freed[place]
        tested = one.count >= fewest
        _, found = level_tests(fit, place)
        # The least significant first: each that goes makes the bound stricter.
        for level in np.flatnonzero(freed)[np.argsort(-found[freed])].tolist():
            p = adjusted(found, tested, int(np.sum(freed)) - 1)
            if p[level] > q:
                freed[level] = False
                changed = True
    return changed
