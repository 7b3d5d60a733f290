"""Which slip of arithmetic explains the numbers a group reported."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from results.science.answer import Answers, Readings
from results.science.arrays import BoolArray, FloatArray, IntArray
from results.science.dilution import Scheme
from results.science.worked.evidence import Paths, likelihood
from results.science.worked.paths import nameless, pair_paths, single_paths, slips_on
from results.science.worked.reported import Digits, ReportedValues, lay_out
from results.science.worked.slips import Stage, WorkedSlip
from results.science.worked.working import (
    Bases,
    Library,
    Workings,
    bases,
    content,
    conventions,
    library,
    work,
)

CHUNK = 1024
#: Below this, "no slip" is too unlikely to say nothing.
FLAG_BELOW = 0.5
#: Two explanations whose chances differ by no more than this are one.
ALIKE = 3.0
#: Relative change of the answer below which a slip did it no harm.
HARMLESS = 1e-3
#: Where no single slip gives the digits a better chance, pairs are looked at: one
#: number that it misses costs far more.
LOOK_FOR_PAIRS = 1e-4
#: A pair this much less likely than the best single explanation is not followed up.
NEGLIGIBLE = 1e-9


@dataclass(frozen=True, slots=True)
class WorkedFinding:
    """One slip in one group's working.

    Attributes
    ----------
    row : int
        Place of the group in the batch.
    code : str
    stage : str
        A member of `Stage`: the first number that it spoils.
    probability : float
    members : tuple of str
        Slips that give the very same digits, most usual first.
    numbers : mapping
        How many numbers were reported, and how many slips it takes.
    harmless : bool
        Whether the answer is what it would have been without the slip.
    """

    row: int
    code: str
    stage: str
    probability: float
    members: tuple[str, ...]
    numbers: dict[str, float]
    harmless: bool


class Verdict(StrEnum):
    """What is said of one reported number."""

    RIGHT = "right"
    RIGHT_GIVEN = "right_given_the_step_before"
    WRONG = "wrong"
    NOT_REPORTED = "not_reported"


@dataclass(frozen=True, slots=True)
class _Batch:
    """N groups ready to be weighed.

    ``workings`` are those of each way that a right working can be done, the first in
    full; ``can_answer`` (N,) marks the groups that have all they need.
    """

    slips: Library
    workings: list[Workings]
    reported: dict[str, Digits]
    can_answer: BoolArray

    def rows(self, chosen: IntArray) -> "_Batch":
        return _Batch(
            self.slips,
            [one.rows(chosen) for one in self.workings],
            {name: digits.rows(chosen) for name, digits in self.reported.items()},
            self.can_answer[chosen],
        )


def check_worked(
    scheme: Scheme,
    readings: Readings,
    answers: Answers,
    reported: Sequence[ReportedValues],
) -> list[WorkedFinding]:
    """Check every group's own arithmetic against its own readings.

    Parameters
    ----------
    scheme : Scheme
    readings : Readings
        Of N groups.
    answers : Answers
        `compute_answers` of the same.
    reported : sequence of N ReportedValues

    Returns
    -------
    list of WorkedFinding
        In the order of the rows and, within a row, of the working.  Pairs of slips
        are named only where two numbers or more were reported: from one number
        alone a pair can always be found.
    """
    with np.errstate(all="ignore"):
        start = bases(scheme, readings, answers)
    digits, slips = lay_out(reported), library(scheme)
    found: list[WorkedFinding] = []
    for first in range(0, len(reported), CHUNK):
        rows = np.arange(first, min(first + CHUNK, len(reported)))
        part = {name: one.rows(rows) for name, one in digits.items()}
        found += _check(_lay_out(scheme, start.rows(rows), slips, part), rows)
    return found


def _lay_out(
    scheme: Scheme, start: Bases, slips: Library, reported: dict[str, Digits]
) -> _Batch:
    with np.errstate(all="ignore"):
        workings = [work(scheme, one, slips) for one in conventions(scheme, start)]
    return _Batch(slips, workings, reported, np.isfinite(start.percent_of_mg_L))


def _check(batch: _Batch, rows: IntArray) -> list[WorkedFinding]:
    singles = single_paths(batch.slips)
    # What cannot compete with no slip, or with something unknown, is soon seen.
    plain = singles.rows(nameless(singles, batch.slips))
    likely = np.exp(np.max(_chances(batch, plain, np.zeros(len(rows))), axis=0))
    chance = _chances(batch, singles, NEGLIGIBLE * likely)
    count = _reported(batch)
    slip = (_posterior(chance)[0] < FLAG_BELOW) & (count > 0) & batch.can_answer
    best = np.max(chance - singles.log_prior[:, None], axis=0)
    by_pairs = slip & (count >= 2) & (best < np.log(LOOK_FOR_PAIRS))
    once, twice = np.flatnonzero(slip & ~by_pairs), np.flatnonzero(by_pairs)
    found = list(_findings(batch.rows(once), rows[once], singles, chance[:, once]))
    if len(twice):
        part, pairs = batch.rows(twice), pair_paths(batch.slips)
        alone = chance[:, twice]
        floor = NEGLIGIBLE * np.exp(np.max(alone, axis=0))
        both = np.concatenate([alone, _chances(part, pairs, floor)])
        found += _findings(part, rows[twice], _join(singles, pairs), both)
    return sorted(found, key=lambda one: one.row)


def _chances(batch: _Batch, paths: Paths, floor: FloatArray) -> FloatArray:
    """Log chance of the reported digits and of each path; (T, N)."""
    with np.errstate(all="ignore"):
        chances = [
            likelihood(workings, batch.reported, paths, batch.slips, floor)
            for workings in batch.workings
        ]
        total = np.sum(chances, axis=0)
        return np.asarray(np.log(total) + paths.log_prior[:, None])


def _posterior(log_chance: FloatArray) -> FloatArray:
    top = np.max(log_chance, axis=0)
    weight = np.exp(log_chance - np.where(np.isfinite(top), top, 0.0))
    with np.errstate(all="ignore"):
        return np.asarray(weight / weight.sum(axis=0))


def _reported(batch: _Batch) -> FloatArray:
    values = np.stack([digits.value for digits in batch.reported.values()])
    return np.asarray(np.isfinite(values).sum(axis=0))


def _join(one: Paths, other: Paths) -> Paths:
    return Paths(
        *(
            np.concatenate([getattr(one, name), getattr(other, name)])
            for name in ("line", "unknown", "back", "second_back", "log_prior")
        )
    )


def _findings(
    batch: _Batch, rows: IntArray, paths: Paths, log_chance: FloatArray
) -> Iterator[WorkedFinding]:
    """Yield what is likeliest of each of N groups, by log chances (T, N)."""
    index = np.stack([paths.line, paths.unknown, paths.back, paths.second_back], 1)
    workings, count = batch.workings[0], _reported(batch)
    for column, row in enumerate(rows.tolist()):
        mine = log_chance[:, column]
        best = int(np.argmax(mine))
        if best == 0:
            continue
        alike, share = _alike(mine, paths.log_prior, index, best)
        ways = [slips_on(tuple(path), batch.slips) for path in index[alike].tolist()]
        named = slips_on(tuple(index[best].tolist()), batch.slips)
        numbers = {
            "numbers_reported": float(count[column]),
            "slips": float(len(named)),
        }
        harmless = None not in named and _harmless(workings, column, index[best])
        for order, slip in enumerate(named):
            yield WorkedFinding(
                row,
                slip.code if slip else "worked_unexplained",
                str(_stage(index[best], order, slip)),
                share,
                _members([way[order] for way in ways if len(way) > order]),
                numbers,
                harmless,
            )


def _alike(
    log_chance: FloatArray, log_prior: FloatArray, index: IntArray, best: int
) -> tuple[IntArray, float]:
    """Paths to the same digits as the best, likeliest first, and their probability.

    The same up to what was thought of them beforehand.
    """
    weight = np.exp(log_chance - log_chance[best])
    evidence = log_chance - log_prior
    near = np.abs(evidence - evidence[best]) < np.log(ALIKE)
    alike = np.flatnonzero(near & (weight > 0.0))
    size = (index[alike] > 0).sum(axis=1)
    alike = alike[size == (index[best] > 0).sum()]
    share = float(weight[alike].sum() / weight.sum())
    return alike[np.argsort(-weight[alike], kind="stable")], share


def _stage(path: IntArray, order: int, slip: WorkedSlip | None) -> Stage:
    if slip is not None:
        return slip.stage
    stages = (Stage.LINE, Stage.UNKNOWN, Stage.SOLID, Stage.SOLID)
    return [stage for stage, k in zip(stages, path.tolist(), strict=True) if k][order]


def _members(slips: list[WorkedSlip | None]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(slip.name if slip else "unknown" for slip in slips))


def _harmless(workings: Workings, column: int, path: IntArray) -> bool:
    """Whether the answer comes out the same with the slips as without."""
    a, b, c, d = path.tolist()
    with np.errstate(all="ignore"):
        right = content(workings, (0, 0, 0, 0), column)
        change = content(workings, (a, b, c, d), column)
        return bool(abs(change / right - 1.0) < HARMLESS)
