"""One answer worked out step by step, its budget, and its check by drawing."""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby

from numpy.random import Generator, default_rng

from results.models import Answer, Submission
from results.policy.access import Rights
from results.policy.refusals import NotFound
from results.recompute.readings import ProtocolBatch, load_batches
from results.science.budget import SOURCES
from results.science.class_scale import ClassScale
from results.science.ledger import CalculationStep
from results.science.monte_carlo import MonteCarlo, check_interval
from results.science.readings import Readings
from results.science.scheme import Scheme
from results.science.steps import calculation_steps

_SOURCE_WORDS = {
    "masses": "both weighings",
    "flasks": "flasks of the chains",
    "pipettes": "pipettes of the chains",
    "burette": "burette",
    "purity": "purity of the salt",
    "reading": "reading of the unknown",
    "calibration": "the line, with its standards",
}


@dataclass(frozen=True, slots=True)
class Source:
    """One source of the uncertainty.

    Attributes
    ----------
    relative_percent : float
        Relative standard uncertainty that it brings, percent of the answer.
    share : float
        Its part of the squared standard uncertainty, 0 to 1.
    """

    code: str
    title: str
    relative_percent: float
    share: float


@dataclass(frozen=True, slots=True)
class Part:
    """The steps of one part of the calculation."""

    title: str
    steps: tuple[CalculationStep, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Explanation:
    """How one answer came about.

    Attributes
    ----------
    iron_percent, standard_uncertainty, low, high : float
        The answer and its 95 % interval, % by mass.
    coverage_factor, effective_df : float
        Student's t and its degrees of freedom.
    sources : tuple of Source
        Largest first; their shares add up to one.
    class_n : int
        Groups that lent their scatter; 0 where the group's own was used.
    details : dict of str to float or None
        Limits and tests by their names in `results.science.outcome.Answers`.
    """

    submission_id: int
    revision: int
    group_id: int
    group: str
    section_id: int
    section: str
    course: str
    iron_percent: float
    standard_uncertainty: float
    low: float
    high: float
    uses_fieller: bool
    coverage_factor: float
    effective_df: float
    sources: tuple[Source, ...]
    parts: tuple[Part, ...]
    class_n: int
    details: dict[str, float | None]


def explain_answer(group_id: int, *, rights: Rights) -> Explanation:
    """Work a group's current answer out the long way.

    Raises
    ------
    NotFound
        There is no such group among the viewer's, or it has no answer.
    """
    submission, answer = _current(group_id, rights)
    details = answer.details
    group = submission.group
    steps = calculation_steps(*_one(submission), class_scale=_scale(answer))
    return Explanation(
        submission_id=submission.pk,
        revision=submission.revision,
        group_id=group.pk,
        group=group.code,
        section_id=group.section_id,
        section=group.section.code,
        course=group.section.course.code,
        iron_percent=answer.iron_percent or 0.0,
        standard_uncertainty=answer.standard_uncertainty or 0.0,
        low=answer.low or 0.0,
        high=answer.high or 0.0,
        uses_fieller=answer.uses_fieller,
        coverage_factor=details["coverage_factor"],
        effective_df=details["effective_df"],
        sources=_sources(details),
        parts=_parts(steps),
        class_n=details["class_scale"]["n"] if details["class_scale"]["d0"] else 0,
        details={name: value for name, value in details.items() if name[:2] != "u_"},
    )


def check_answer(
    group_id: int, *, rights: Rights, rng: Generator | None = None
) -> MonteCarlo:
    """Check a group's interval by drawing everything it rests on (JCGM 101).

    The same submission is drawn alike each time, unless a generator is given.

    Raises
    ------
    NotFound
        There is no such group among the viewer's, or it has no answer.
    """
    submission, answer = _current(group_id, rights)
    scheme, readings = _one(submission)
    checked = check_interval(
        scheme,
        readings,
        default_rng(submission.pk) if rng is None else rng,
        class_scale=_scale(answer),
    )
    if checked is None:
        raise NotFound(_NO_ANSWER)
    return checked


_NO_ANSWER = "This group has no computed answer to explain yet."


def _current(group_id: int, rights: Rights) -> tuple[Submission, Answer]:
    submission = (
        Submission.objects.filter(group__pk=group_id, is_current=True)
        .select_related("group__section__course", "answer")
        .first()
    )
    if submission is None or not rights.may_see_section(
        submission.group.section_id, submission.group.section.course_id
    ):
        message = "There is no such group in your sections."
        raise NotFound(message)
    answer: Answer | None = getattr(submission, "answer", None)
    if answer is None or answer.reason:
        raise NotFound(_NO_ANSWER)
    return submission, answer


def _one(submission: Submission) -> tuple[Scheme, Readings]:
    batch: ProtocolBatch = next(
        load_batches(Submission.objects.filter(pk=submission.pk))
    )
    return batch.scheme, batch.readings


def _scale(answer: Answer) -> ClassScale:
    """Return the class scale that the answer was computed with."""
    return ClassScale(**answer.details["class_scale"])


def _sources(details: dict[str, float]) -> tuple[Source, ...]:
    squares = {code: (details[f"u_{code}"] or 0.0) ** 2 for code in SOURCES}
    whole = sum(squares.values()) or 1.0
    return tuple(
        Source(code, _SOURCE_WORDS.get(code, code), square**0.5, square / whole)
        for code, square in sorted(squares.items(), key=lambda item: -item[1])
    )


def _parts(steps: Iterable[CalculationStep]) -> tuple[Part, ...]:
    return tuple(
        Part(title, tuple(group)) for title, group in groupby(steps, lambda s: s.part)
    )
