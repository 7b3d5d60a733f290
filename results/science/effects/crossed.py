"""Stations, lots, sections compared at once, with faults and blunders among them."""

import math
from collections.abc import Iterator, Mapping

import numpy as np
from numpy.typing import ArrayLike

from results.science.arrays import IntArray
from results.science.effects.design import Declared, factors_of
from results.science.effects.leave_out import LeftOut, weakest
from results.science.effects.plain import FEWEST, Medians, medians_of
from results.science.effects.polish import median_polish, moved_levels
from results.science.effects.result import (
    REACH,
    CrossedEffects,
    FactorEffects,
    LevelEffect,
    Verdict,
    partner_of,
)
from results.science.effects.robust_fit import RobustFit
from results.science.effects.scan import adjusted, level_tests, own_estimate, scan
from results.science.effects.separable import SAME_ROWS, Partner, islands, partners

#: False discovery rate in each factor.
Q = 0.05
#: Rows below which no crossed model is fitted.
FEWEST_ROWS = 10
_SWEEPS = 20


def crossed_effects(
    y: ArrayLike,
    labels: Mapping[str, ArrayLike],
    *,
    declared_sd: Mapping[str, Declared] | None = None,
    overall_sd: float = math.inf,
    q: float = Q,
) -> CrossedEffects:
    """Estimate the effects of crossed factors, robustly, and say which levels differ.

    y = overall + one effect of each factor + residual.  Effects are random, so that
    levels with few rows are drawn towards the others; a level that carries a fault
    is set free.  Rows are weighted down by their distance from what is fitted, and
    set aside beyond 4.7 residual standard deviations.

    Parameters
    ----------
    y : array (N,)
        Response on a scale on which effects add up, such as log slope, log recovery,
        or a curvature's z; rows with NaN are left out.
    labels : mapping of str to array (N,)
        Each row's level of each factor, such as station, lot, section.  Factors with
        a single level are left out.
    declared_sd : mapping of str to float or mapping
        Spread of a factor whose spread is declared (of lots, by their assay), in the
        unit of y; one number, or one for each level.
    overall_sd : float
        How far from zero the overall level may usually lie, in the unit of y: of log
        recoveries, the bias that a whole class shares.  Without it nothing tells
        which of two lots is the wrong one.
    q : float
        False discovery rate allowed in each factor.

    Returns
    -------
    CrossedEffects
        Without factors if there are fewer than ten rows or nothing to compare.

    Raises
    ------
    ValueError
        If labels are not as many as rows, or a declared spread is not above zero.

    Notes
    -----
    Median polish; levels that are coherently far off are freed; Tukey weights in
    Henderson's equations, by turns with residual variance and winsorised Schall
    steps; a forward scan that frees significant levels.  Sources stand beside each
    part.  Time and memory grow with N while rooms keep their size.

    Examples
    --------
    >>> rng = np.random.default_rng(1)
    >>> station = np.tile(np.arange(8), 15)
    >>> section = np.repeat(np.arange(12), 10)
    >>> y = rng.normal(0, 0.01, 120) + 0.08 * (station == 3)
    >>> found = crossed_effects(y, {"station": station, "section": section})
    >>> [one.level for one in found.factors["station"].levels if one.z > 4]
    [3]
    """
    values = np.asarray(y, dtype=np.float64)
    known = np.isfinite(values)
    rows = np.flatnonzero(known)
    made = factors_of(labels, known, declared_sd or {})
    factors = tuple(one for one in made if len(one) > 1)
    values = values[rows]
    if len(rows) < FEWEST_ROWS or not factors:
        middle = float(np.median(values)) if len(rows) else float("nan")
        return CrossedEffects(
            len(rows), middle, float("nan"), {}, np.zeros(0, dtype=np.int64)
        )
    polish = median_polish(values, factors)
    moved = moved_levels(polish, factors, is_anchored=math.isfinite(overall_sd))
    fit = RobustFit(values, factors, polish, moved, overall_sd)
    fit.sweep(_SWEEPS)
    scan(fit, q=q, fewest=FEWEST)
    return CrossedEffects(
        n=len(rows),
        overall=fit.state.overall,
        sigma=fit.state.sigma,
        factors={
            one.name: _factor_effects(fit, place, rows)
            for place, one in enumerate(factors)
        },
        set_aside=rows[fit.state.weight <= 0.0],
    )


def _factor_effects(fit: RobustFit, place: int, rows: IntArray) -> FactorEffects:
    one = fit.factors[place]
    return FactorEffects(
        name=one.name,
        spread=float(np.mean(fit.state.spread[place])),
        is_declared=one.declared_sd is not None,
        levels=tuple(_levels(fit, place, rows)),
        islands={
            other.name: islands(one, other)
            for k, other in enumerate(fit.factors)
            if k != place
        },
    )


def _levels(fit: RobustFit, place: int, rows: IntArray) -> Iterator[LevelEffect]:
    one, state = fit.factors[place], fit.state
    se = np.sqrt(state.variance[place])
    own, own_se = own_estimate(fit, place)
    z, p = level_tests(fit, place)
    n_freed = int(np.sum(state.freed[place]))
    p = adjusted(p, one.count >= FEWEST, max(n_freed - 1, 0))
    aside = np.bincount(one.codes, state.weight <= 0.0, len(one)).astype(np.int64)
    medians = medians_of(fit.y, one)
    shared = partners(fit.factors, place)
    names = tuple(other.name for other in fit.factors)
    levels = tuple(other.levels for other in fit.factors)
    for k, label in enumerate(one.levels):
        verdict = _verdict(fit, place, k, int(one.count[k] - aside[k]), shared)
        left_out = weakest(fit, place, k, rows) if verdict is Verdict.DIFFERS else ()
        partner_factor, partner_level, overlap = partner_of(shared, names, levels, k)
        effect, half = float(state.effect[place][k]), REACH * float(se[k])
        yield LevelEffect(
            level=label,
            n=int(one.count[k]),
            n_set_aside=int(aside[k]),
            effect=effect,
            se=float(se[k]),
            low=effect - half,
            high=effect + half,
            own=float(own[k]),
            own_se=float(own_se[k]),
            z=float(z[k]),
            p_adjusted=float(p[k]),
            **_of(medians, k),
            verdict=verdict,
            partner_factor=partner_factor,
            partner_level=partner_level,
            overlap=overlap,
            left_out=left_out,
            is_firm=_is_firm(left_out, float(state.spread[place][k])),
        )


def _of(medians: Medians, k: int) -> dict[str, float]:
    return {
        "median": float(medians.median[k]),
        "median_low": float(medians.low[k]),
        "median_high": float(medians.high[k]),
        "sd": float(medians.sd[k]),
    }


def _verdict(
    fit: RobustFit, place: int, k: int, n_kept: int, shared: Partner
) -> Verdict:
    """Say what can be said; an alias of a level that differs cannot be told either."""
    if n_kept < FEWEST:
        return Verdict.TOO_FEW
    aliased = shared.overlap[k] >= SAME_ROWS
    other, level = int(shared.other[k]), int(shared.level[k])
    partner_differs = aliased and bool(fit.state.freed[other][level])
    if fit.state.freed[place][k] or partner_differs:
        return Verdict.CANNOT_TELL if aliased else Verdict.DIFFERS
    return Verdict.LIKE_THE_OTHERS


def _is_firm(left_out: tuple[LeftOut, ...], spread: float) -> bool:
    """Whether each of what is left still lies outside 95 % of usual levels."""
    return bool(left_out) and all(
        abs(one.effect) > REACH * float(np.hypot(spread, one.se)) for one in left_out
    )
