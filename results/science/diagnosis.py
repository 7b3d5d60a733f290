"""What a submission's readings say about how they came about.

Each check compares a submission with what is declared of it (how the meter is read,
how volumes are delivered), moderated by how its other tubes scatter: its own three
degrees of freedom alone cannot judge their own points.  The thresholds were set by
simulation on groups without slips: see `TUBE_LIMIT`.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

import numpy as np
from scipy.special import expit, ndtr

from results.science.answer import Answers, Readings, Reason
from results.science.arrays import BoolArray, FloatArray, IntArray
from results.science.dilution import Scheme
from results.science.residuals import (
    StandardResiduals,
    TubeScores,
    best_swap,
    clean_level,
    standard_residuals,
    tube_scores,
    unknown_z,
)
from results.science.scales import other_scale, unreadable

#: Scores beyond which a tube is reported.  Set on 20 000 simulated groups without
#: slips (`results.science.simulate`: pairs of very different care, 40 meters of which
#: a fifth are read to 1 %T): 0.8 % exceed each.  Where all pairs are careful, with a
#: reading sd of 0.2 %T + 0.3 % of T, it is fewer than 0.1 %.
TUBE_LIMIT = 5.3
UNKNOWN_TUBE_LIMIT = 4.5
#: An exchange of two tubes must bring a sum of squares no clean group has (one in
#: ten thousand) down to an ordinary one, and at least this many times.
SWAP_FACTOR = 10.0
#: Before looking: one tube in fifty is off, by some 15 %; an assumption.
PRIOR_TUBE_OFF = 0.02
TUBE_OFF_RELATIVE_SD = 0.15
#: Degrees of freedom of honest tubes' scores; makes stated probabilities come true on
#: a simulated class with slips.
TAIL_DF = 6.0
#: Squared number of standard deviations in an unknown tube's whole content, roughly:
#: a tube read to 3 %.
UNKNOWN_INFORMATION = 1000.0


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing noticed about one submission.

    Attributes
    ----------
    row : int
        Place of the submission in the batch.
    code : str
        What was noticed.
    tube : str
        Label of the tube, two labels joined by a comma for an exchange, or empty.
    probability : float
        How sure this is, between 0 and 1.
    numbers : mapping
        The figures behind it, each with its unit in its name.
    """

    row: int
    code: str
    tube: str
    probability: float
    numbers: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class _Case:
    """All that the checks look at."""

    scheme: Scheme
    readings: Readings
    answers: Answers
    residuals: StandardResiduals
    scores: TubeScores
    on_other_scale: BoolArray
    exchanged: BoolArray


def diagnose(scheme: Scheme, readings: Readings, answers: Answers) -> list[Finding]:
    """Look for the usual slips in every submission of a batch.

    Parameters
    ----------
    scheme : Scheme
    readings : Readings
        Of N submissions.
    answers : Answers
        `compute_answers` of the same scheme and readings.

    Returns
    -------
    list of Finding
        In the order of the rows; within a row, the surest first.
    """
    mixed = other_scale(readings)
    residuals = standard_residuals(scheme, readings, answers)
    case = _Case(
        scheme=scheme,
        readings=readings,
        answers=answers,
        residuals=residuals,
        scores=tube_scores(residuals, unknown_z(scheme, readings, answers)),
        on_other_scale=mixed,
        exchanged=_exchanged(answers, residuals) & ~mixed.any(axis=1),
    )
    checks: tuple[Callable[[_Case], Iterator[Finding]], ...] = (
        _mistyped_readings,
        _scales_mixed_up,
        _tubes_swapped,
        _tubes_off,
        _unknown_tubes_off,
        _out_of_range,
    )
    found = [finding for check in checks for finding in check(case)]
    return sorted(found, key=lambda finding: (finding.row, -finding.probability))


def _labels(scheme: Scheme) -> tuple[str, ...]:
    return scheme.standard_labels + scheme.unknown_labels


def _mistyped_readings(case: _Case) -> Iterator[Finding]:
    """Report readings at or below 0 %T: they have no absorbance."""
    labels = _labels(case.scheme)
    for row, tube in np.argwhere(unreadable(case.readings)).tolist():
        yield Finding(row, "mistyped_reading", labels[tube], 1.0, {})


def _scales_mixed_up(case: _Case) -> Iterator[Finding]:
    labels = _labels(case.scheme)
    for row in np.flatnonzero(case.on_other_scale.any(axis=1)).tolist():
        tubes = np.flatnonzero(case.on_other_scale[row])
        numbers = {"tubes": float(tubes.size)}
        label = labels[tubes[0]] if tubes.size == 1 else ""
        yield Finding(row, "scale_mixed_up", label, 0.99, numbers)


def _exchanged(answers: Answers, residuals: StandardResiduals) -> BoolArray:
    """Rows whose standards scatter more than a clean group's ever do."""
    return np.asarray(
        residuals.sum_squares > clean_level(residuals.df, 0.9999)
    ) & np.isfinite(answers.slope)


def _tubes_swapped(case: _Case) -> Iterator[Finding]:
    rows = np.flatnonzero(case.exchanged)
    if not rows.size:
        return
    x, y = case.answers.concentration_mg_L, case.answers.standard_absorbance
    swap = best_swap(x[rows], y[rows], case.residuals.variance[rows])
    before, df = case.residuals.sum_squares[rows], case.residuals.df[rows]
    mended = swap.sum_squares < np.minimum(clean_level(df, 0.99), before / SWAP_FACTOR)
    case.exchanged[rows[~mended]] = False
    labels = case.scheme.standard_labels
    for place in np.flatnonzero(mended).tolist():
        tubes = f"{labels[swap.first[place]]},{labels[swap.second[place]]}"
        numbers = {
            "sum_squares_as_typed": float(before[place]),
            "sum_squares_exchanged": float(swap.sum_squares[place]),
        }
        yield Finding(int(rows[place]), "tubes_swapped", tubes, 0.95, numbers)


def _tubes_off(case: _Case) -> Iterator[Finding]:
    residuals, answers = case.residuals, case.answers
    score = case.scores.standards
    largest = _largest(score)
    judged = ~case.exchanged & ~case.on_other_scale.any(axis=1)
    above_zero = np.abs(answers.standard_absorbance - residuals.deviation)
    information = residuals.precision * above_zero**2
    probability = _probability_off(score, information)
    for row in np.flatnonzero(judged & (largest.size_of > TUBE_LIMIT)).tolist():
        tube = int(largest.tube[row])
        absorbance = float(answers.standard_absorbance[row, tube])
        numbers = {
            "score": float(score[row, tube]),
            "absorbance": absorbance,
            "expected_absorbance": absorbance - float(residuals.deviation[row, tube]),
        }
        label = case.scheme.standard_labels[tube]
        yield Finding(row, "tube_off", label, float(probability[row, tube]), numbers)


def _unknown_tubes_off(case: _Case) -> Iterator[Finding]:
    score = case.scores.unknowns
    largest = _largest(score)
    probability = _probability_off(score, np.full(score.shape, UNKNOWN_INFORMATION))
    judged = ~case.on_other_scale.any(axis=1) & (case.answers.slope > 0.0)
    for row in np.flatnonzero(judged & (largest.size_of > UNKNOWN_TUBE_LIMIT)).tolist():
        tube, count = int(largest.tube[row]), int(case.answers.n_unknowns[row])
        # Of two tubes that disagree, nobody can say which one is off.
        label = case.scheme.unknown_labels[tube] if count > 2 else ""
        sure = float(probability[row, tube])
        numbers = {"score": float(score[row, tube]), "tubes": float(count)}
        yield Finding(row, "unknown_tube_off", label, sure, numbers)


def _out_of_range(case: _Case) -> Iterator[Finding]:
    """Report unknowns that lie beyond the standards."""
    answers = case.answers
    standards = answers.standard_absorbance
    missing = np.isnan(standards)
    low = np.min(np.where(missing, np.inf, standards), axis=1)
    high = np.max(np.where(missing, -np.inf, standards), axis=1)
    unknown = answers.intercept + answers.slope * answers.unknown_mg_L
    beyond = np.maximum(unknown - high, low - unknown)
    judged = (answers.reason == Reason.COMPUTED) & ~case.on_other_scale.any(axis=1)
    for row in np.flatnonzero(judged & (beyond > 0.0)).tolist():
        sd = float(np.sqrt(np.nanmax(case.residuals.variance[row])))
        numbers = {
            "absorbance": float(unknown[row]),
            "lowest_standard_absorbance": float(low[row]),
            "highest_standard_absorbance": float(high[row]),
        }
        sure = float(ndtr(beyond[row] / sd)) if sd > 0.0 else 1.0
        yield Finding(row, "out_of_range", "", sure, numbers)


@dataclass(frozen=True, slots=True)
class _Largest:
    """The tube that deviates most, and by how much."""

    tube: IntArray
    size_of: FloatArray


def _largest(z: FloatArray) -> _Largest:
    size = np.where(np.isnan(z), -1.0, np.abs(z))
    return _Largest(tube=np.argmax(size, axis=1), size_of=np.max(size, axis=1))


def _probability_off(score: FloatArray, information: FloatArray) -> FloatArray:
    """Posterior probability that a tube is off, by Bayes' theorem.

    ``information`` is the squared number of standard deviations that a tube wrong
    by its whole content would show.  Scores of honest tubes have the long tails of
    Student's t, for some pairs are careless; a slip only makes its spread wider.
    """
    spread = 1.0 + TUBE_OFF_RELATIVE_SD**2 * information
    honest = np.log1p(score**2 / TAIL_DF)
    off = np.log1p(score**2 / (TAIL_DF * spread))
    evidence = 0.5 * (TAIL_DF + 1.0) * (honest - off) - 0.5 * np.log(spread)
    odds_before = np.log(PRIOR_TUBE_OFF / (1.0 - PRIOR_TUBE_OFF))
    return np.asarray(expit(odds_before + evidence))
