"""Which slip of arithmetic explains the numbers a group reported."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from results.science.answer import Answers, Readings
from results.science.arrays import FloatArray, IntArray
from results.science.dilution import Scheme
from results.science.worked.evidence import Paths, likelihood
from results.science.worked.paths import pair_paths, single_paths, slips_on
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
    """N groups ready to be weighed."""

    scheme: Scheme
    slips: Library
    start: Bases
    workings: Workings
    reported: dict[str, Digits]

    def rows(self, chosen: IntArray) -> "_Batch":
        return _Batch(
            self.scheme,
            self.slips,
            self.start.rows(chosen),
            self.workings.rows(chosen),
            {name: digits.rows(chosen) for name, digits in self.reported.items()},
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
    batch = _lay_out(scheme, readings, answers, reported)
    found: list[WorkedFinding] = []
    for start in range(0, len(reported), CHUNK):
        rows = np.arange(start, min(start + CHUNK, len(reported)))
        found += _check(batch.rows(rows), rows)
    return found


def _lay_out(
    scheme: Scheme,
    readings: Readings,
    answers: Answers,
    reported: Sequence[ReportedValues],
) -> _Batch:
    with np.errstate(all="ignore"):
        start = bases(scheme, readings, answers)
        slips = library(scheme)
        workings = work(scheme, start, slips)
    return _Batch(scheme, slips, start, workings, lay_out(reported))


def _check(batch: _Batch, rows: IntArray) -> Iterator[WorkedFinding]:
    singles = single_paths(batch.slips)
    chance = _chances(batch, singles)
    count = _reported(batch)
    weight = _posterior(chance)
    slip = weight[0] < FLAG_BELOW
    answered = (count > 0) & np.isfinite(batch.start.percent_of_mg_L)
    open_ = slip & answered & (count >= 2)
    best = np.max(chance - singles.log_prior[:, None], axis=0)
    twice = np.flatnonzero(open_ & (best < np.log(LOOK_FOR_PAIRS)))
    once = slip & answered & ~np.isin(np.arange(len(slip)), twice)
    for column in np.flatnonzero(once).tolist():
        yield from _findings(
            batch, (column, int(rows[column])), singles, chance[:, column]
        )
    if len(twice):
        paths = _join(singles, pair_paths(batch.slips))
        part = batch.rows(twice)
        chance = _chances(part, paths)
        for place, column in enumerate(twice.tolist()):
            yield from _findings(
                batch, (column, int(rows[column])), paths, chance[:, place]
            )


def _chances(batch: _Batch, paths: Paths) -> FloatArray:
    """Log chance of the reported digits and of each path; (T, N)."""
    total: FloatArray = np.zeros(())
    with np.errstate(all="ignore"):
        for convention in conventions(batch.scheme, batch.start):
            workings = work(batch.scheme, convention, batch.slips)
            total = total + likelihood(workings, batch.reported, paths, batch.slips)
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
    batch: _Batch,
    place: tuple[int, int],
    paths: Paths,
    log_chance: FloatArray,
) -> Iterator[WorkedFinding]:
    column, row = place
    weight = np.exp(log_chance - log_chance.max())
    weight /= weight.sum()
    best = int(np.argmax(weight))
    if best == 0:
        return
    index = np.stack([paths.line, paths.unknown, paths.back, paths.second_back], 1)
    named = slips_on(tuple(index[best].tolist()), batch.slips)
    # The same digits, up to what was thought of them beforehand.
    evidence = log_chance - paths.log_prior
    alike = np.flatnonzero(np.abs(evidence - evidence[best]) < np.log(ALIKE))
    size = (index[alike] > 0).sum(axis=1)
    alike = alike[(size == len(named)) & (weight[alike] > 0.0)]
    alike = alike[np.argsort(-weight[alike], kind="stable")]
    ways = [slips_on(tuple(index[k].tolist()), batch.slips) for k in alike.tolist()]
    share = float(weight[alike].sum())
    numbers = {
        "numbers_reported": float(_reported(batch)[column]),
        "slips": float(len(named)),
    }
    harmless = _harmless(batch, column, named)
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


def _stage(path: IntArray, order: int, slip: WorkedSlip | None) -> Stage:
    if slip is not None:
        return slip.stage
    stages = (Stage.LINE, Stage.UNKNOWN, Stage.SOLID, Stage.SOLID)
    return [stage for stage, k in zip(stages, path.tolist(), strict=True) if k][order]


def _members(slips: list[WorkedSlip | None]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(slip.name if slip else "unknown" for slip in slips))


def _harmless(batch: _Batch, column: int, named: list[WorkedSlip | None]) -> bool:
    """Whether the answer comes out the same with the slips as without."""
    if any(slip is None for slip in named):
        return False
    places = [0, 0, 0]
    for slip in named:
        stages = (batch.slips.line, batch.slips.unknown, batch.slips.back)
        for place, stage in enumerate(stages):
            if slip in stage:
                places[place] = stage.index(slip)
    with np.errstate(all="ignore"):
        right = content(batch.workings, (0, 0, 0), column)
        change = content(batch.workings, (places[0], places[1], places[2]), column)
        return bool(abs(change / right - 1.0) < HARMLESS)
