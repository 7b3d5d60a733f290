"""Weighs all shapes against one another and against "nothing went wrong"."""

from dataclasses import dataclass

import numpy as np

from results.science.arrays import BoolArray, FloatArray, IntArray
from results.science.diagnosis.assumptions import (
    BLACK_ABSORBANCE,
    CARE_LEVELS,
    LEAST_CARE,
    NEAR,
    ROUGH,
    UNEXPLAINED_SCALES,
)
from results.science.diagnosis.habits import ENTRIES
from results.science.diagnosis.hypotheses import Case, Family, Hypothesis, log_rate
from results.science.diagnosis.model import solve
from results.science.diagnosis.record import blackest
from results.science.diagnosis.shapes import families
from results.science.diagnosis.typed import lone_values

NOTHING = Hypothesis("clean")


@dataclass(frozen=True, slots=True)
class Weighed:
    """Posterior of H hypotheses for N groups.

    ``weight`` (H, N) sums to one over the hypotheses, the first of which is that
    nothing went wrong; ``log_density`` (N,) is the log density of the absorbances
    under all of them together; ``care`` (2K + 1, N) how dense they are at each level
    of care without a slip, at each with one, and with one that nothing explains, as
    shares of their sum; ``deficit`` (N,) how much less dense the absorbances are than
    those of clean work at their best.
    """

    hypotheses: tuple[Hypothesis, ...]
    weight: FloatArray
    log_density: FloatArray
    care: FloatArray
    deficit: FloatArray

    def rows(self, chosen: slice | IntArray) -> "Weighed":
        """Return some of the groups."""
        return Weighed(
            self.hypotheses,
            self.weight[:, chosen],
            self.log_density[chosen],
            self.care[:, chosen],
            self.deficit[chosen],
        )


def join_weighed(parts: list[Weighed]) -> Weighed:
    """Put posteriors of one scheme's groups side by side."""
    return Weighed(
        parts[0].hypotheses,
        np.concatenate([one.weight for one in parts], axis=1),
        np.concatenate([one.log_density for one in parts]),
        np.concatenate([one.care for one in parts], axis=1),
        np.concatenate([one.deficit for one in parts]),
    )


def weigh(case: Case) -> Weighed:
    """Compute the posterior of every hypothesis under every level of care.

    Groups that lie close to the model get the short look: the slips left out need
    readings far off it.  Memory grows as hypotheses times groups: call it with some
    thousand groups.
    """
    listed = families(case.scheme, case.record)
    hypotheses = (
        NOTHING,
        *(one for family in listed for one in family.hypotheses),
        Hypothesis("unexplained"),
    )
    prior = _log_prior(hypotheses)
    careful = solve(case.scheme, case.record, case.expected, CARE_LEVELS[0])
    near = careful.misfit < NEAR
    black = black_tubes(case).any(axis=0)
    near &= ~black & ~lone_values(case.scheme, case.record)
    result = Weighed(
        hypotheses,
        np.zeros((len(hypotheses), len(near))),
        np.zeros(len(near)),
        np.zeros((ENTRIES, len(near))),
        careful.log_density + 0.5 * careful.misfit,
    )
    for rows, short in ((np.flatnonzero(near), True), (np.flatnonzero(~near), False)):
        if len(rows):
            part = case if len(rows) == len(near) else case.rows(rows)
            part = part if short else part.with_meanings()
            used = _used(listed, short=short)
            chosen = [family for family in listed if family.is_near or not short]
            deepest = ROUGH if short else len(CARE_LEVELS)
            found = _look(part, chosen, prior[used], deepest)
            result.weight[used[:, None], rows] = found[0]
            result.log_density[rows] = found[1]
            result.care[:, rows] = found[2]
    result.deficit[:] -= result.log_density
    impossible = _impossible(case, hypotheses)
    if impossible is None:
        return result
    return _rule_out(result, impossible)


def _used(listed: list[Family], *, short: bool) -> IntArray:
    """Places of the hypotheses that a look takes in."""
    used = [True]
    for family in listed:
        used += [family.is_near or not short] * len(family.hypotheses)
    return np.flatnonzero([*used, True])


def _look(
    case: Case, listed: list[Family], prior: FloatArray, deepest: int
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Posterior weights, log density and level of care of some groups.

    Levels from ``deepest`` on are not tried.
    """
    groups = len(case.record)
    log_care = np.log(np.maximum(case.care, 1e-12)).T
    # Each group by itself: what is tried on one must not hang on its batch.
    log_care = np.where(log_care > LEAST_CARE, log_care, -np.inf)
    log_care[deepest:] = -np.inf
    used = np.flatnonzero(np.isfinite(log_care).any(axis=1)).tolist()
    weighted = [_level(case, listed, k, prior) for k in used]
    for k, level in zip(used, weighted, strict=True):
        np.add(level, log_care[k], out=level)
    slipped = case.context.slipped
    rough = _unexplained(case) + prior[-1] + np.log(slipped)
    top = np.max([rough, *(level.max(axis=0) for level in weighted)], axis=0)
    weight = np.zeros_like(weighted[0])
    levels = len(CARE_LEVELS)
    care = np.zeros((ENTRIES, groups))
    for k, level in zip(used, weighted, strict=True):
        part = np.exp(np.subtract(level, top, out=level), out=level)
        share = np.exp(log_care[k])
        care[k] = part[0] / share / (1.0 - slipped)
        care[levels + k] = part[1:].sum(axis=0) / share / slipped
        weight += part
    weight[-1] = np.exp(rough - top)
    care[-1] = weight[-1] / slipped
    care = np.maximum(care, 1e-300)
    total = weight.sum(axis=0)
    return weight / total, np.log(total) + top, care / care.sum(axis=0)


def _rule_out(weighed: Weighed, impossible: BoolArray) -> Weighed:
    weight = np.where(impossible, 0.0, weighed.weight)
    left = weight.sum(axis=0)
    with np.errstate(divide="ignore", invalid="ignore"):
        density = weighed.log_density + np.log(left)
        weight = np.where(left > 0.0, weight / left, 0.0)
    return Weighed(weighed.hypotheses, weight, density, weighed.care, weighed.deficit)


def _log_prior(hypotheses: tuple[Hypothesis, ...]) -> FloatArray:
    prior = [0.0] + [log_rate(one.shape) + np.log(one.share) for one in hypotheses[1:]]
    return np.array(prior)[:, None]


def _level(
    case: Case, listed: list[Family], index: int, prior: FloatArray
) -> FloatArray:
    """Log joint density of absorbances and each hypothesis at one level of care."""
    level = CARE_LEVELS[index]
    solved = solve(case.scheme, case.record, case.expected, level)
    score = np.empty((len(prior), len(case.record)))
    slipped = case.context.slipped
    score[0] = np.log1p(-slipped) - np.log(slipped)
    row = 1
    for family in listed:
        for values in family.evidence(case, solved, level):
            end = row + (len(values) if values.ndim == 2 else 1)
            score[row:end] = values
            row = end
    score[-1] = -np.inf
    score += prior
    score += solved.log_density + np.log(slipped)
    return score


def _unexplained(case: Case) -> FloatArray:
    """Log density of absorbances that follow the model only very roughly."""
    rough = [
        solve(case.scheme, case.record, case.expected, CARE_LEVELS[-1], scale)
        for scale in UNEXPLAINED_SCALES
    ]
    stacked = np.stack([one.log_density for one in rough])
    top = stacked.max(axis=0)
    return np.asarray(top + np.log(np.exp(stacked - top).mean(axis=0)))


def _impossible(case: Case, hypotheses: tuple[Hypothesis, ...]) -> BoolArray | None:
    """Mark hypotheses under which a tube left out as black would not be black."""
    record, n = case.record, case.record.n
    black = ~record.present & black_tubes(case)
    if not black.any():
        return None
    darkest = np.where(black, case.expected.mean, np.inf)
    standards = darkest[:n].min(axis=0)
    unknowns = darkest[n:].min(axis=0, initial=np.inf)
    factor = np.array([(h.standard_factor, h.unknown_factor) for h in hypotheses])
    return np.asarray(
        (factor[:, :1] * standards < BLACK_ABSORBANCE)
        | (factor[:, 1:] * unknowns < BLACK_ABSORBANCE)
    )


def black_tubes(case: Case) -> BoolArray:
    """Mark the tubes (P, N) whose typed values lie at the end of the scale."""
    record = case.record
    with np.errstate(all="ignore"):
        absorbance = np.where(
            record.is_absorbance, record.signal, 2.0 - np.log10(record.signal)
        )
        return np.asarray(
            (absorbance >= blackest(case.scheme, record) - 1e-9).any(axis=0)
        )
