"""Checks one answer's interval by drawing everything it rests on."""

from dataclasses import dataclass

import numpy as np
from numpy.random import Generator

from results.science.answer import Answers, Readings, Reason, compute_answers
from results.science.arrays import FloatArray, IntArray
from results.science.class_scale import ClassScale
from results.science.draws import Draws
from results.science.scheme import Scheme

FAST_TRIALS = 100_000
#: Trials drawn at a time (JCGM 101:2008, 7.9.4, asks for at least so many).
BLOCK = 10_000
MOST_BLOCKS = 100
HISTOGRAM_BINS = 60
LEVELS = (0.025, 0.975)
HISTOGRAM_LEVELS = (0.001, 0.999)


@dataclass(frozen=True, slots=True)
class MonteCarlo:
    """What the draws of one answer came to; all in percent of mass.

    Attributes
    ----------
    trials, failed : int
        Draws that gave an answer, and those that gave none.
    mean, sd : float
        With few degrees of freedom the sd is larger than the standard uncertainty,
        for it holds the long tails that the coverage factor stands for otherwise.
    low, high : float
        Probabilistically symmetric 95 % interval.
    shortest_low, shortest_high : float
        Shortest 95 % interval.
    counts, edges : array (60,), array (61,)
        Histogram of the central 99.8 % of the draws.
    tolerance : float
        Numerical tolerance: half a unit in the last digit kept of the standard
        uncertainty.
    low_differs, high_differs : float
        Distances between the computed and the drawn interval's ends.
    agrees : bool
        Whether neither distance exceeds the tolerance (JCGM 101:2008, 8.1).
    """

    trials: int
    failed: int
    mean: float
    sd: float
    low: float
    high: float
    shortest_low: float
    shortest_high: float
    counts: IntArray
    edges: FloatArray
    tolerance: float
    low_differs: float
    high_differs: float
    agrees: bool


@dataclass(frozen=True, slots=True)
class Plan:
    """How an interval is checked.

    Attributes
    ----------
    trials : int, optional
        Number of draws; none draws blocks until the results stand still within a
        fifth of the tolerance (JCGM 101:2008, 7.9.4 and 8.2), at most a million.
    digits : int
        Digits of the standard uncertainty that matter.
    """

    trials: int | None = FAST_TRIALS
    digits: int = 1


FAST = Plan()


def check_interval(
    scheme: Scheme,
    readings: Readings,
    rng: Generator,
    *,
    row: int = 0,
    class_scale: ClassScale | None = None,
    plan: Plan = FAST,
) -> MonteCarlo | None:
    """Draw readings, roundings, masses, volumes and purity, and recompute each time.

    Propagation of distributions (JCGM 101:2008): limits of glassware as the scheme's
    distribution says, readings and handling as normal, rounding as rectangular.
    What scatters the tubes is scaled, in each draw, by a residual variance drawn
    from its own distribution, so that few degrees of freedom give the long tails of
    Student's t.

    Parameters
    ----------
    scheme, readings
        As for `compute_answers`.
    row : int
        The submission to check.
    class_scale : ClassScale, optional
        As it was given to `compute_answers`.
    plan : Plan

    Returns
    -------
    MonteCarlo, or None if the submission has no answer.
    """
    one = readings.rows(np.array([row]))
    answer = compute_answers(scheme, one, class_scale=class_scale)
    if answer.reason[0] != Reason.COMPUTED:
        return None
    draws = Draws(scheme, one, answer, rng)
    tolerance = numerical_tolerance(float(answer.standard_uncertainty[0]), plan.digits)
    values = (
        _fixed(draws, plan.trials)
        if plan.trials
        else _until_still(draws, tolerance / 5.0)
    )
    return _summary(values, draws.failed, answer, tolerance)


def numerical_tolerance(u: float, digits: int) -> float:
    """Take half a unit in the last of so many digits (JCGM 101:2008, 7.9.2).

    Examples
    --------
    >>> numerical_tolerance(0.234, 1), numerical_tolerance(0.234, 2)
    (0.05, 0.005)
    """
    exponent = int(f"{u:.{digits - 1}e}".split("e")[1]) - (digits - 1)
    return float(f"5e{exponent - 1}")


def _fixed(draws: Draws, trials: int) -> FloatArray:
    return np.concatenate(
        [draws.block(min(BLOCK, trials - at)) for at in range(0, trials, BLOCK)]
    )


def _until_still(draws: Draws, tolerance: float) -> FloatArray:
    """Draw blocks until twice their results' standard error is small enough."""
    blocks = [draws.block(BLOCK), draws.block(BLOCK)]
    while len(blocks) < MOST_BLOCKS:
        results = np.array(
            [(b.mean(), b.std(), *np.quantile(b, LEVELS)) for b in blocks]
        )
        error = results.std(axis=0, ddof=1) / np.sqrt(len(blocks))
        if np.all(2.0 * error < tolerance):
            break
        blocks.append(draws.block(BLOCK))
    return np.concatenate(blocks)


def _summary(
    values: FloatArray, failed: int, answer: Answers, tolerance: float
) -> MonteCarlo:
    ordered = np.sort(values)
    low, high = np.quantile(ordered, LEVELS).tolist()
    held = int(np.ceil((LEVELS[1] - LEVELS[0]) * len(ordered)))
    start = int(np.argmin(ordered[held - 1 :] - ordered[: len(ordered) - held + 1]))
    ends = np.quantile(ordered, HISTOGRAM_LEVELS)
    counts, edges = np.histogram(ordered, HISTOGRAM_BINS, (ends[0], ends[1]))
    low_differs = abs(low - float(answer.low[0]))
    high_differs = abs(high - float(answer.high[0]))
    return MonteCarlo(
        trials=len(ordered),
        failed=failed,
        mean=float(ordered.mean()),
        sd=float(ordered.std(ddof=1)),
        low=low,
        high=high,
        shortest_low=float(ordered[start]),
        shortest_high=float(ordered[start + held - 1]),
        counts=counts.astype(np.int64),
        edges=edges,
        tolerance=tolerance,
        low_differs=low_differs,
        high_differs=high_differs,
        agrees=max(low_differs, high_differs) <= tolerance,
    )
