"""Performance scores of groups and sections against assigned values (ISO 13528)."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from results.models import Answer, AssignedValues, Lot
from results.models.courses import coordinated_course
from results.policy.access import Rights
from results.science.robust import algorithm_a
from results.science.scores import Judgement, judge, z_prime_scores, zeta_scores
from results.summaries.spread import FEWEST_FOR_A_CLAIM

# Standard error of a robust mean over that of a mean (ISO 13528, 7.7.3).
_ROBUST = 1.25


@dataclass(frozen=True, slots=True, kw_only=True)
class Score:
    """A group's answer, or a section's robust mean, against the assigned values.

    Attributes
    ----------
    group_id, group
        0 and empty for a section as a whole.
    error, u_error : float
        Relative to the assigned value and its standard uncertainty, both percent.
    u_assigned : float
        Standard uncertainty of the assigned value, percent of it.
    z_prime : float or None
        By the usual spread of all groups, or of all sections; None for fewer than
        five.
    zeta : float or None
        By the claimed uncertainties.
    judgement : Judgement or None
        What the z' score asks for, in the standard's words.
    """

    section_id: int
    section: str
    group_id: int
    group: str
    n: int
    error: float
    u_error: float
    u_assigned: float
    z_prime: float | None
    zeta: float | None
    judgement: Judgement | None


@dataclass(frozen=True, slots=True)
class CourseScores:
    """Scores of a course; `sigma_pt` are the usual spreads, percent."""

    course: str
    groups_sigma_pt: float | None
    sections_sigma_pt: float | None
    sections: tuple[Score, ...]
    groups: tuple[Score, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Raw:
    section_id: int
    section: str
    group_id: int = 0
    group: str = ""
    n: int = 1
    error: float
    u_error: float
    u_assigned: float


def course_scores(course_code: str, *, rights: Rights) -> CourseScores:
    """Return the scores of all groups and sections; four queries.

    The standard deviation for assessment comes from the class itself (algorithm A,
    ISO 13528, 8.6), so that scores tell who differs, not whether the class is good.

    Raises
    ------
    NotFound
        There is no such course, or the viewer does not coordinate it.
    """
    course = coordinated_course(course_code, rights=rights)
    groups = _groups(course.pk)
    sections = _sections(groups)
    of_groups, of_sections = _sigma_pt(groups), _sigma_pt(sections)
    return CourseScores(
        course.code,
        of_groups,
        of_sections,
        _scored(sections, of_sections),
        _scored(groups, of_groups),
    )


def _groups(course_id: int) -> list[_Raw]:
    lots = Lot.objects.filter(course=course_id).values_list("pk", flat=True)
    values = AssignedValues(lots)
    found = []
    for lot_id, moment, iron, u_iron, section_id, section, group_id, group in (
        Answer.objects.filter(
            submission__group__section__course=course_id,
            submission__is_current=True,
            iron_percent__isnull=False,
            standard_uncertainty__isnull=False,
        )
        .order_by("submission__group__section__code", "submission__group__code")
        .values_list(
            "submission__vial__lot_id",
            "submission__received_at",
            "iron_percent",
            "standard_uncertainty",
            "submission__group__section_id",
            "submission__group__section__code",
            "submission__group_id",
            "submission__group__code",
        )
    ):
        assigned = values.at(lot_id, moment)
        if assigned is not None and iron is not None and u_iron is not None:
            percent = 100.0 / assigned.iron_percent
            found.append(
                _Raw(
                    section_id=section_id,
                    section=section,
                    group_id=group_id,
                    group=group,
                    error=(iron - assigned.iron_percent) * percent,
                    u_error=u_iron * percent,
                    u_assigned=assigned.u_iron_percent * percent,
                )
            )
    return found


def _sections(groups: Sequence[_Raw]) -> list[_Raw]:
    """Return each section of at least five groups as one robust mean."""
    members: dict[int, list[_Raw]] = {}
    for one in groups:
        members.setdefault(one.section_id, []).append(one)
    found = []
    for section_id, own in members.items():
        if len(own) >= FEWEST_FOR_A_CLAIM:
            mean, sd = algorithm_a(_errors(own))
            found.append(
                _Raw(
                    section_id=section_id,
                    section=own[0].section,
                    n=len(own),
                    error=float(mean),
                    u_error=_ROBUST * float(sd) / math.sqrt(len(own)),
                    # Lots are shared: their uncertainty does not average out.
                    u_assigned=math.sqrt(
                        sum(one.u_assigned**2 for one in own) / len(own)
                    ),
                )
            )
    return found


def _sigma_pt(raw: Sequence[_Raw]) -> float | None:
    if len(raw) < FEWEST_FOR_A_CLAIM:
        return None
    _, sd = algorithm_a(_errors(raw))
    return float(sd) if sd > 0 else None


def _errors(raw: Sequence[_Raw]) -> NDArray[np.float64]:
    return np.array([one.error for one in raw], dtype=np.float64)


def _scored(raw: Sequence[_Raw], sigma_pt: float | None) -> tuple[Score, ...]:
    error = _errors(raw)
    u_assigned = np.array([one.u_assigned for one in raw])
    zeta = zeta_scores(error, 0.0, [one.u_error for one in raw], u_assigned).tolist()
    z_prime: list[float | None] = [None] * len(raw)
    if sigma_pt is not None:
        z_prime = z_prime_scores(error, 0.0, sigma_pt, u_assigned).tolist()
    return tuple(
        Score(
            section_id=one.section_id,
            section=one.section,
            group_id=one.group_id,
            group=one.group,
            n=one.n,
            error=one.error,
            u_error=one.u_error,
            u_assigned=one.u_assigned,
            z_prime=by_spread,
            zeta=by_claim if math.isfinite(by_claim) else None,
            judgement=None if by_spread is None else judge(by_spread),
        )
        for one, by_spread, by_claim in zip(raw, z_prime, zeta, strict=True)
    )
